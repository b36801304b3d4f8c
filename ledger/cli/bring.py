"""`inkledger bring`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("source", metavar="FILE-OR-FOLDER", type=click.Path(path_type=Path))
@click.option("--to", metavar="PATH", help="Where the draft goes, such as script/03.md.")
@click.option("--cast", is_flag=True, help="Write the speakers it has into [cast] of book.toml.")
@click.option("--pass", "pass_name", metavar="PASS", help="Exports: the pass they are of.")
@click.option("--first", metavar="PAGE", type=click.IntRange(1, 9999),
              help="Exports: count pages from here in name order, whatever the names say.")  # fmt: skip
def _bring(here: Path, **wish: Any) -> Answer:
    """Take in a draft (.docx, .odt, .md, .txt), cut at its chapters, or exports as the pages of a pass; nothing is
    recorded: look it through, then enter the pass."""
    from ledger.desk.arriving.bringing import BringWish, bring
    from ledger.model.bringing import BroughtPages
    from ledger.render.bringing import brought_document, brought_text

    found = bring(here, BringWish(**wish))
    stopped = found.blocked if isinstance(found, BroughtPages) else bool(found.clashes)
    return Answer(brought_text(found), brought_document(found), BLOCKED if stopped else DONE)


command = verb("bring", "inkledger bring art/inks --pass inks")(_bring)
