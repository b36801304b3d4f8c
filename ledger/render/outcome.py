"""What a recording verb has to say."""

from __future__ import annotations

from typing import Any

from ledger.model.outcome import Outcome
from ledger.render.plain import wrapped


def outcome_document(outcome: Outcome) -> dict[str, Any]:
    """The general document of commands.md §3."""
    from ledger.render.finding_documents import finding_document

    return {
        "done": outcome.done,
        "entry": outcome.entry,
        "commit": outcome.commit,
        "tag": outcome.tag,
        "paths": list(outcome.paths),
        "findings": [finding_document(finding) for finding in outcome.findings],
    }


def outcome_text(outcome: Outcome) -> str:
    """Sentences first, then what was found."""
    from ledger.render.findings_text import findings_text

    parts = [wrapped(sentence, hang="") for sentence in outcome.said]
    if outcome.findings:
        parts.append(findings_text(outcome.findings))
    return "\n".join(parts)
