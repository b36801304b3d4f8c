"""`inkledger weigh`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb
from ledger.model.errors import Refusal


@click.argument("references", metavar="[OLD] [NEW]", nargs=-1)
@click.option("--add", "adds", metavar="K@A", multiple=True, help="What if K pages came after story page A.")
@click.option("--cut", "cuts", metavar="PAGES", multiple=True, help="What if these pages were cut, such as 41-42,100.")
@click.option("--move", "moves", metavar="A-B@C", multiple=True, help="What if pages A to B stood behind page C.")
@click.option("--words-per-page", metavar="N|A-B", help="Before pages are marked: lettered words a page holds.")
@click.option("--why", is_flag=True, help="Show the working.")
def _weigh(
    here: Path, references: tuple[str, ...], adds: tuple[str, ...], cuts: tuple[str, ...], moves: tuple[str, ...],
    words_per_page: str | None, why: bool,
) -> Answer:  # fmt: skip
    """What a change costs: pages, sides, spreads, reveals, signatures, work to do again, sign-offs in the way.

    OLD and NEW are as in compare; without them the newest rounds against your files now. With --add, --cut or --move
    it asks "what if" of your files now and touches nothing; all may be repeated, all numbers are the old book's.
    """
    from ledger.desk.arithmetic.weighing import Asked, weigh
    from ledger.render.arithmetic.weigh_document import weigh_document
    from ledger.render.arithmetic.weigh_text import weigh_text

    if len(references) > 2:
        raise Refusal("weigh takes two references at most", remedy="inkledger weigh script-2 script-3")
    found = weigh(here, references, Asked(adds, cuts, moves), words_per_page=words_per_page)
    blocked = any(finding.blocks for finding in found.findings)
    return Answer(partial(weigh_text, found, why=why), partial(weigh_document, found), BLOCKED if blocked else DONE)


command = verb("weigh", "inkledger weigh --add 1@12 --why")(_weigh)
