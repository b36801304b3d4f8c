"""`hook install / remove`."""

from __future__ import annotations

from pathlib import Path

from ledger.gitedge import hooks
from ledger.gitedge.finding_git import is_bare
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal
from ledger.model.outcome import Outcome

_IN = "The hooks are in: a late edit is refused at git commit."
_SERVER_IN = "The hook is in: a push that changes what is signed off is refused here."


def put_in(here: Path, *, server: bool = False) -> Outcome:
    """Installs the hooks; with `server` that of a bare repository. Raises Refusal where git would not run them."""
    bare = is_bare(here)
    if server and not bare:
        raise Refusal(
            "the hook of --server is for a bare repository, the one that others push to; this is none",
            remedy="go to that repository on its own machine; for the book here: inkledger hook install",
        )
    if bare and not server:
        raise Refusal(
            "this is a bare repository: nobody commits here, others push to it",
            remedy="to judge what they push: inkledger hook install --server",
        )
    if server:
        return _told(hooks.install(Repository.served(here), names=hooks.SERVER_NAMES), _SERVER_IN)
    return _told(hooks.install(Repository.find(here)), _IN)


def take_out(here: Path) -> Outcome:
    """Removes the hooks, those of a bare repository too, and puts back what was there before."""
    if is_bare(here):
        changed = hooks.remove(Repository.served(here), names=hooks.SERVER_NAMES)
    else:
        changed = hooks.remove(Repository.find(here))
    return _told(changed, "The hooks are out; what was there before is back.")


def _told(changed: tuple[str, ...], sentence: str) -> Outcome:
    if not changed:
        return Outcome(False, ("Nothing to do: the hooks are as they should be.",))
    return Outcome(True, (sentence,), paths=changed)
