"""`inkledger spreads`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


def _spreads(here: Path) -> Answer:
    """The book as openings: sides, page turns, spreads, reveals, signatures and blanks."""
    from ledger.desk.spreads import spreads
    from ledger.render.spreads_text import spreads_document, spreads_text

    found = spreads(here)
    blocked = any(finding.blocks for finding in found.findings)
    return Answer(partial(spreads_text, found), partial(spreads_document, found), BLOCKED if blocked else DONE)


command = verb("spreads", "inkledger spreads")(_spreads)
