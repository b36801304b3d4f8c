"""Whether a difference is closed, at which level, and which reopening lets it go."""

from __future__ import annotations

from typing import NamedTuple

from ledger.judge.agreed.closed import Closing
from ledger.judge.agreed.differences import Difference
from ledger.model.entry import Reopen


class Verdict(NamedTuple):
    """The level of a closed difference ("block" or "query"), and the reopening that made it a query."""

    level: str
    reopen: Reopen | None = None


def verdict(difference: Difference, closing: Closing) -> Verdict | None:
    """What a sign-off says of a difference; None where it does not close it."""
    closed = [page for page in difference.on if closing.closes(difference.scope, page)]
    if not closed:
        return None
    opened = [closing.opened_by(page) for page in closed]
    if all(opened):
        return Verdict("query", opened[0])
    if difference.scope == "balloon" and not any(closing.closes("wording", page) for page in closed):
        return Verdict("query")
    return Verdict(difference.level)


def blocks(difference: Difference, closing: Closing) -> bool:
    """Whether a sign-off stops a difference."""
    found = verdict(difference, closing)
    return found is not None and found.level == "block"
