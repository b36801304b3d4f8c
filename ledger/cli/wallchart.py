"""`inkledger wallchart`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.cli.out_file import page_file


@click.option("--chapter", metavar="CHAPTER", help="Only this chapter: its number in order, or its title.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="Write it there as a page (.html).")
def _wallchart(here: Path, chapter: str | None, out: Path | None) -> Answer:
    """Page by pass: not begun, entered, stale and why, signed off, file gone; and where notes wait."""
    from ledger.desk.arithmetic.wall import wallchart
    from ledger.render.arithmetic.wall import wall_text, wallchart_document

    found = wallchart(here, chapter)
    if out is not None:
        from ledger.desk.arithmetic.chart_pages import write_wallchart

        write_wallchart(here, found, here / page_file(out))
        return Answer(f"The wallchart is in {out}.", partial(wallchart_document, found))
    return Answer(partial(wall_text, found), partial(wallchart_document, found))


command = verb("wallchart", "inkledger wallchart")(_wallchart)
