"""`inkledger lock`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ledger.cli.frame import BLOCKED, DONE, Answer, verb


@click.argument("pass_name", metavar="PASS")
@click.option("--pages", help="Only these pages, such as 1-24,30.")
@click.option("-m", "--message", help="What was signed off.")
@click.option("--approved-by", metavar="NAME", help="Who approved it.")
@click.option("--how", help='How, such as "mail of 3 March".')
def _lock(here: Path, **wish: Any) -> Answer:
    """Sign a pass off: what it closes can be changed only with an alteration slip."""
    from ledger.desk.recording.signing import SignOff, sign_off
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = sign_off(here, SignOff(**wish))
    return Answer(outcome_text(outcome), outcome_document(outcome), BLOCKED if outcome.blocked else DONE)


command = verb("lock", "inkledger lock pencils")(_lock)
