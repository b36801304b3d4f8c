"""`hook install / remove`."""

from __future__ import annotations

from pathlib import Path

from ledger.gitedge import hooks
from ledger.gitedge.repository import Repository
from ledger.model.outcome import Outcome


def put_in(here: Path) -> Outcome:
    """Installs the hooks. Raises Refusal where git would not run them from there."""
    return _told(hooks.install(Repository.find(here)), "The hooks are in: a late edit is refused at git commit.")


def take_out(here: Path) -> Outcome:
    """Removes the hooks and puts back what was there before."""
    return _told(hooks.remove(Repository.find(here)), "The hooks are out; what was there before is back.")


def _told(changed: tuple[str, ...], sentence: str) -> Outcome:
    if not changed:
        return Outcome(False, ("Nothing to do: the hooks are as they should be.",))
    return Outcome(True, (sentence,), paths=changed)
