"""`inkledger receive`."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("source", metavar="DIR|ZIP|PDF", type=click.Path(path_type=Path))
@click.option("--check", "only", is_flag=True, help="Judge and write nothing; pages of a helper need no book then.")
@click.option("--proofs", is_flag=True, help="Set a printer's pages against what was delivered.")
def _receive(here: Path, source: Path, only: bool, proofs: bool) -> Answer:
    """Pages back from a helper, judged one by one against what was handed out.

    DIR is the folder that `inkledger handoff` made, or a ZIP archive of it, with handoff.toml in it. Pages that are as
    asked are put into the book and recorded, never over a newer one of yours. The others stay where they are and are
    named, on the screen and on a sheet to send back. With --check the helper can have the folder judged before sending
    it, without git and without the book.

    With --proofs what came is a printer's proof, a folder of pictures or a PDF: it is set against what was delivered,
    and pages that are missing, double, swapped, out of order or not ours become a round of notes.
    """
    if proofs:
        return _proofs(here, source, only)

    from ledger.render.lending.return_text import return_document
    from ledger.render.outcome import outcome_text

    if only:
        from ledger.desk.lending.receiving_check import check as work
    else:
        from ledger.desk.lending.receiving import receive as work
    made = work(here, source)
    blocked = made.outcome.blocked
    text = partial(outcome_text, made.outcome)
    return Answer(text, partial(return_document, made.outcome, made.returned), BLOCKED if blocked else DONE)


def _proofs(here: Path, source: Path, only: bool) -> Answer:
    from ledger.desk.lending.proofs import receive_proofs
    from ledger.render.lending.proofs_text import proofs_document, proofs_text

    made = receive_proofs(here, source, only=only)
    code = BLOCKED if made.outcome.blocked else DONE
    return Answer(partial(proofs_text, made.outcome), partial(proofs_document, made.outcome, made.proof), code)


command = verb("receive", "inkledger receive ../for-odd --check")(_receive)
