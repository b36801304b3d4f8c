"""`inkledger page`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb
from ledger.model.errors import Refusal
from ledger.model.pages import page_name


@click.argument("page", metavar="PAGE")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="Write it as a page (.html).")
def _page(here: Path, page: str, out: Path | None) -> Answer:
    """The life of a page: its script then and now, every pass and round, sign-offs, slips and notes.

    PAGE is its number now (12, 24-25, f1, cover); a page that is gone goes by the number it had last.
    """
    from ledger.desk.page_life import page_life
    from ledger.render.lives.documents import page_document

    if out is None:
        from ledger.render.lives.page_text import page_text

        found = page_life(here, page)
        return Answer(page_text(found), page_document(found))
    if out.suffix.lower() not in (".html", ".htm"):
        raise Refusal("the life of a page is written as HTML", path=str(out), remedy="name a file that ends in .html")
    from ledger.gitedge.one_file import put_whole
    from ledger.render.lives.page import life_html

    found = page_life(here, page, pictures=True)
    put_whole(here / out, life_html(found).encode("utf-8"))
    return Answer(f"The life of {page_name(found.label)} is in {out}.", page_document(found, [str(out)]))


command = verb("page", "inkledger page 15")(_page)
