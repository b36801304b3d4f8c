"""`inkledger deliver`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("passes", metavar="PASS...", nargs=-1, required=True)
@click.option("--pages", metavar="PAGES", help="Only these pages: 1-48,cover; counted as a part.")
@click.option("--to", metavar="DIR", required=True, type=click.Path(path_type=Path),
              help="A new or empty folder beside the book.")  # fmt: skip
@click.option("--again", is_flag=True, help="Say what changed since the last delivery of these passes.")
def _deliver(here: Path, passes: tuple[str, ...], pages: str | None, to: Path, again: bool) -> Answer:
    """The publisher's bundle: pages as committed, their checksums, a sheet in words with small pictures.

    DIR is a bag (RFC 8493): the pages alone lie in data/, their SHA-256 in manifest-sha256.txt. Before anything is
    written every page is judged: is it there, of the right size and mode, as it was signed off, not resting on older
    content. Where something blocks nothing is written. The ledger keeps what was delivered.
    """
    from functools import partial

    from ledger.desk.lending.deliver import DeliverWish, deliver
    from ledger.render.lending.delivery_text import delivery_document
    from ledger.render.outcome import outcome_text

    made = deliver(here, DeliverWish(passes, to, pages, again))
    document = partial(delivery_document, made.outcome, made.judged, made.bundle)
    return Answer(partial(outcome_text, made.outcome), document, BLOCKED if made.outcome.blocked else DONE)


command = verb("deliver", "inkledger deliver inks --pages 1-2 --to ../to-the-printer")(_deliver)
