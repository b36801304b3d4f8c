"""`inkledger reopen`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import DONE, Answer, verb


@click.argument("pass_name", metavar="PASS")
@click.option("--pages", required=True, help="The pages to open, such as 60-84.")
@click.option("--reason", required=True, help="Why they are opened.")
@click.option("--class", "alteration_class", metavar="CLASS", default="AA", show_default=True,
              help="PE printer's error, AA author's, EA editor's, DA designer's.")  # fmt: skip
@click.option("--asked-by", metavar="NAME", help="Who asked for it.")
def _reopen(here: Path, **wish: Any) -> Answer:
    """Open signed-off pages until the next sign-off; changes there are told, not stopped."""
    from ledger.desk.recording.signing import ReopenWish, reopen
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = reopen(here, ReopenWish(**wish))
    return Answer(outcome_text(outcome), outcome_document(outcome), DONE)


command = verb("reopen", 'inkledger reopen pencils --pages 9-10 --reason "new ending"')(_reopen)
