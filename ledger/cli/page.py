"""`inkledger page`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.model.errors import Refusal


@click.argument("page", metavar="PAGE")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="Write it as HTML (not made yet).")
def _page(here: Path, page: str, out: Path | None) -> Answer:
    """The life of a page: its script then and now, every pass and round, sign-offs, slips and notes.

    PAGE is its number now (12, 24-25, f1, cover); a page that is gone goes by the number it had last.
    """
    from ledger.desk.page_life import page_life
    from ledger.render.life_documents import page_document
    from ledger.render.page_text import page_text

    if out is not None:
        raise Refusal("a page's life can't be written as HTML yet", remedy="leave --out away to read it here")
    found = page_life(here, page)
    return Answer(page_text(found), page_document(found))


command = verb("page", "inkledger page 15")(_page)
