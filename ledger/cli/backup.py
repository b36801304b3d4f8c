"""`inkledger backup`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("place", metavar="DIR", type=click.Path(path_type=Path))
def _backup(here: Path, place: Path) -> Answer:
    """Make a complete second copy of the book in a folder on another disk; run again it adds what is new. Every
    branch, tag, round and large file is in it, and it is checked after writing."""
    from ledger.desk.upkeep.backing_up import back_up
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = back_up(here, here / place)
    return Answer(outcome_text(outcome), outcome_document(outcome), BLOCKED if outcome.blocked else DONE)


command = verb("backup", "inkledger backup ../salt-lantern.git")(_backup)
