"""`inkledger handoff`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("pass_name", metavar="PASS")
@click.option("--pages", metavar="PAGES", help="Only these pages: 1-24,30.")
@click.option("--to", metavar="DIR", required=True, type=click.Path(path_type=Path),
              help="A new or empty folder beside the book.")  # fmt: skip
@click.option("--for", "reader", metavar="NAME", default="", help="Who makes them; status says so.")
@click.option("--due", metavar="DATE", help="When they are wanted back; the pass's own due date if left out.")
@click.option("--zip", "archive", is_flag=True, help="One archive instead, DIR.zip.")
def _handoff(
    here: Path, pass_name: str, pages: str | None, to: Path, reader: str, due: str | None, archive: bool
) -> Answer:
    """Pages out to a helper, who needs neither git nor the book. PASS is the one to be made, such as flats.

    DIR holds the pages it is made from as they were entered, an empty folder for the answer, a sheet in words, the
    script by page where the pass is made from it, and handoff.toml, against which `inkledger receive DIR` holds what
    comes back. The ledger says who has the pages.
    """
    from ledger.desk.lending.handoff import HandoffWish, handoff
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = handoff(here, HandoffWish(pass_name, to, pages, reader, due, archive))
    return Answer(outcome_text(outcome), outcome_document(outcome), BLOCKED if outcome.blocked else DONE)


command = verb("handoff", "inkledger handoff letters --pages 1-2 --to ../for-odd --for Odd")(_handoff)
