"""`inkledger check`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.cli.looking import check


@click.option("--staged", is_flag=True, help="Judge what is about to be recorded, as git's hooks do.")
def _check(here: Path, staged: bool) -> Answer:
    """Judge the book: what is signed off, the drafts, the exports, the notes and the ledger."""
    return check(here, staged=staged)


command = verb("check", "inkledger check")(_check)
