"""`inkledger save`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.option("-m", "--message", help="What this is.")
def _save(here: Path, message: str | None) -> Answer:
    """Record everything in the book as it is now; no round is entered.

    Packets, charts and other files that inkledger made for somebody to read are named and left out, unless git was told
    to take them in (`git add`) or they lie under memos/.
    """
    from ledger.desk.recording.saving import save
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = save(here, message)
    return Answer(outcome_text(outcome), outcome_document(outcome), BLOCKED if outcome.blocked else DONE)


command = verb("save", 'inkledger save -m "notes from the train"')(_save)
