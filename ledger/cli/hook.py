"""`inkledger hook install / remove`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ledger.cli.frame import Answer, verb, verb_of_two

if TYPE_CHECKING:
    from ledger.model.outcome import Outcome


def _answer(outcome: Outcome) -> Answer:
    from ledger.render.outcome import outcome_document, outcome_text

    return Answer(outcome_text(outcome), outcome_document(outcome))


@click.option("--server", is_flag=True, help="In a bare repository: judge what is pushed to it.")
def _install(here: Path, server: bool) -> Answer:
    """Put inkledger's hooks into this repository; a hook of yours is kept and still runs."""
    from ledger.desk.upkeep.hooks import put_in

    return _answer(put_in(here, server=server))


def _remove(here: Path) -> Answer:
    """Take inkledger's hooks out; what was there before is put back."""
    from ledger.desk.upkeep.hooks import take_out

    return _answer(take_out(here))


command = verb_of_two("hook", "Put git's hooks in or take them out.")
command.add_command(
    verb("install", "inkledger hook install", group="hook", does="Put the hooks into this repository.")(_install)
)
command.add_command(verb("remove", "inkledger hook remove", group="hook", does="Take them out again.")(_remove))
