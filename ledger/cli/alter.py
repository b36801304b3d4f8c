"""`inkledger alter`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.option("--reason", required=True, help="Why the change is made after the sign-off.")
@click.option("--class", "alteration_class", metavar="CLASS", default="AA", show_default=True,
              help="PE printer's error, AA author's, EA editor's, DA designer's.")  # fmt: skip
@click.option("--pages", help="Only these pages; left out: those whose staged content is closed.")
@click.option("--asked-by", metavar="NAME", help="Who asked for it.")
@click.option("--late", is_flag=True, help="For a change that is recorded already.")
def _alter(here: Path, **wish: Any) -> Answer:
    """Write the alteration slip that admits exactly what is staged, and stage it."""
    from ledger.desk.recording.slips import SlipWish, write_slip
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = write_slip(here, SlipWish(**wish))
    return Answer(outcome_text(outcome), outcome_document(outcome), DONE if outcome.done else BLOCKED)


command = verb("alter", 'inkledger alter --reason "the lamp must be lit"')(_alter)
