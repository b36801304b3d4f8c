"""`inkledger recall`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb
from ledger.model.errors import Refusal


@click.argument("ref", metavar="REF")
@click.option("--pages", metavar="PAGES", help="Only these pages: 1-24,30; of a script the files they stand in.")
@click.option("--to", metavar="DIR", type=click.Path(path_type=Path), help="A new or empty folder beside the book.")
@click.option("--put-back", "back", is_flag=True, help="Into the book itself, where a file is missing; never over one.")
def _recall(here: Path, ref: str, pages: str | None, to: Path | None, back: bool) -> Answer:
    """Copies of what a round held, byte for byte, in the folders they lay in.

    REF is a round (script-2), a pass (its newest round), a sign-off, a slip, a hand-off, a delivery or a git revision.
    The copies are there all or none, and none of the book's own files is touched.
    """
    from ledger.desk.history.recalling import put_back, recall
    from ledger.render.outcome import outcome_document, outcome_text

    if (to is None) != back:
        raise Refusal(
            "say where: --to DIR for copies beside the book, or --put-back", remedy="see: inkledger recall -h"
        )
    outcome = put_back(here, ref, pages) if to is None else recall(here, ref, pages, to)
    return Answer(outcome_text(outcome), outcome_document(outcome), BLOCKED if outcome.blocked else DONE)


command = verb("recall", "inkledger recall script-2 --to ../script-2")(_recall)
