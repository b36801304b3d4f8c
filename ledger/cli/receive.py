"""`inkledger receive`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("source", metavar="DIR|ZIP", type=click.Path(path_type=Path))
@click.option("--check", "only", is_flag=True, help="Judge and write nothing; no book is needed.")
def _receive(here: Path, source: Path, only: bool) -> Answer:
    """Pages back from a helper, judged one by one against what was handed out.

    DIR is the folder that `inkledger handoff` made, or a ZIP archive of it, with handoff.toml in it. Pages that are as
    asked are put into the book and recorded, never over a newer one of yours. The others stay where they are and are
    named, on the screen and on a sheet to send back. With --check the helper can have the folder judged before sending
    it, without git and without the book.
    """
    from functools import partial

    from ledger.render.outcome import outcome_text
    from ledger.render.return_text import return_document

    if only:
        from ledger.desk.lending.receiving_check import check as work
    else:
        from ledger.desk.lending.receiving import receive as work
    made = work(here, source)
    blocked = made.outcome.blocked
    text = partial(outcome_text, made.outcome)
    return Answer(text, partial(return_document, made.outcome, made.returned), BLOCKED if blocked else DONE)


command = verb("receive", "inkledger receive ../for-odd --check")(_receive)
