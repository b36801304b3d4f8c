"""`inkledger status`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


def _status(here: Path) -> Answer:
    """Passes, sign-offs, stale pages, notes, and what to do next with the command that does it."""
    from ledger.desk.standing import standing

    found = standing(here)
    code = BLOCKED if any(finding.blocks for finding in found.findings) else DONE
    if click.get_current_context().params["as_json"]:
        from ledger.render.documents import status_document

        return Answer(document=status_document(found), code=code)
    from ledger.render.status_text import status_text

    return Answer(status_text(found), code=code)


command = verb("status", "inkledger status")(_status)
