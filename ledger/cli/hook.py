"""`inkledger hook install / remove`."""

from __future__ import annotations

from pathlib import Path

import click

from ledger.cli.frame import Answer, verb


def _answer(here: Path, *, install: bool) -> Answer:
    from ledger.desk.hooks import put_in, take_out
    from ledger.render.outcome import outcome_document, outcome_text

    outcome = put_in(here) if install else take_out(here)
    return Answer(outcome_text(outcome), outcome_document(outcome))


def _install(here: Path) -> Answer:
    """Put inkledger's hooks into this repository; a hook of yours is kept and still runs."""
    return _answer(here, install=True)


def _remove(here: Path) -> Answer:
    """Take inkledger's hooks out; what was there before is put back."""
    return _answer(here, install=False)


command = click.Group("hook", help="Put git's hooks in or take them out.", no_args_is_help=False)
command.add_command(verb("install", "inkledger hook install", group="hook")(_install))
command.add_command(verb("remove", "inkledger hook remove", group="hook")(_remove))
