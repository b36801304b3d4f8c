"""`inkledger wallchart`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import Answer, verb


@click.option("--chapter", metavar="CHAPTER", help="Only this chapter: its number in order, or its title.")
def _wallchart(here: Path, chapter: str | None) -> Answer:
    """Page by pass: not begun, entered, stale and why, signed off, file gone; and where notes wait."""
    from ledger.desk.wall import wallchart
    from ledger.render.wall_text import wall_text, wallchart_document

    found = wallchart(here, chapter)
    return Answer(partial(wall_text, found), partial(wallchart_document, found))


command = verb("wallchart", "inkledger wallchart")(_wallchart)
