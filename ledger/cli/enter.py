"""`inkledger enter`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("pass_name", metavar="PASS")
@click.option("--pages", help="Only these pages, such as 1-24,30.")
@click.option("-m", "--message", help="What this round is about.")
@click.option("--made-from", metavar="REF", help="What it was made from, where that is not the newest.")
@click.option("--stands", is_flag=True, help="Looked at and found good as it is (say why with -m).")
@click.option("--class", "alteration_class", metavar="CLASS", help="With --reason: PE, AA, EA or DA.")
@click.option("--reason", help="Admit a late change: write its alteration slip with the round.")
@click.option("--from", "past", metavar="FILE-OR-FOLDER", type=click.Path(path_type=Path),
              help="Old drafts or exports as a past round; your files now stay as they are.")  # fmt: skip
@click.option("--date", "stated", metavar="DATE", help="With --from: when that work was finished.")
def _enter(here: Path, **wish: Any) -> Answer:
    """Enter a round of a pass: its files, a ledger entry and a memo, as one commit with its tag."""
    from ledger.desk.recording.entering import Wish, enter
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = enter(here, Wish(**wish))
    return Answer(outcome_text(outcome), outcome_document(outcome), BLOCKED if outcome.blocked else DONE)


command = verb("enter", 'inkledger enter script -m "second draft"')(_enter)
