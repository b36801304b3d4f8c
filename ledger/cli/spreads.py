"""`inkledger spreads`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb
from ledger.cli.out_file import page_file


@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="Write it there as a page (.html).")
@click.option("--words-per-page", metavar="N|A-B", help="Before pages are marked: lettered words a page holds.")
def _spreads(here: Path, out: Path | None, words_per_page: str | None) -> Answer:
    """The book as openings: sides, page turns, spreads, reveals, signatures and blanks."""
    from ledger.desk.arithmetic.spreads import spreads
    from ledger.render.arithmetic.spreads import spreads_document, spreads_text

    found = spreads(here, words_per_page)
    code = BLOCKED if any(finding.blocks for finding in found.findings) else DONE
    if out is not None:
        from ledger.desk.arithmetic.chart_pages import write_spreads

        write_spreads(here, found, here / page_file(out))
        return Answer(f"The openings are in {out}.", partial(spreads_document, found), code)
    return Answer(partial(spreads_text, found), partial(spreads_document, found), code)


command = verb("spreads", "inkledger spreads")(_spreads)
