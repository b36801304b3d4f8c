"""`inkledger audit`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("reach", metavar="[RANGE]", required=False)
@click.option("--since-lock", is_flag=True, help="From the oldest sign-off on.")
def _audit(here: Path, reach: str | None, since_lock: bool) -> Answer:
    """Judge history by the same rules: every commit, entry and tag, whatever hook it passed by."""
    from ledger.desk.auditing import audit
    from ledger.render.documents import judged_document
    from ledger.render.findings_text import findings_text

    findings = audit(here, reach, since_lock=since_lock)
    blocked = any(finding.blocks for finding in findings)
    nothing = "Nothing found: history holds what was agreed."
    return Answer(findings_text(findings) or nothing, judged_document(findings), BLOCKED if blocked else DONE)


command = verb("audit", "inkledger audit")(_audit)
