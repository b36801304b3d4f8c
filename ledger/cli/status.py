"""`inkledger status`."""

from __future__ import annotations

from pathlib import Path

from ledger.cli.frame import Answer, verb
from ledger.cli.looking import status


def _status(here: Path) -> Answer:
    """Passes, sign-offs, stale pages, notes, and what to do next with the command that does it."""
    return status(here)


command = verb("status", "inkledger status")(_status)
