"""The pages of a state that rest on older content; which pictures differ is looked at once and remembered."""

from __future__ import annotations

from ledger.desk.opening import OpenBook
from ledger.desk.pictures.picture_memory import remember, remembered
from ledger.model.stale import Stale
from ledger.read.state import BookState


def stale_now(book: OpenBook, state: BookState) -> Stale:
    """The stale pages of a state; a picture that was looked at before is not decoded again."""
    from ledger.judge.resting.findings import stale

    kinds = remembered(book.repo)
    known = len(kinds)
    found = stale(state, kinds)
    if len(kinds) > known:
        remember(book.repo, kinds)
    return found
