"""A commit judged before it is made."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.desk.opening import OpenBook
from ledger.judge.doors import charged
from ledger.model.finding import Finding
from ledger.model.overlay import overlaid
from ledger.model.snapshot import FileAt
from ledger.read.state import BookState, read_state


def would_be(
    book: OpenBook,
    *,
    contents: Mapping[str, bytes] | None = None,
    taken: Mapping[str, FileAt] | None = None,
    removed: frozenset[str] = frozenset(),
) -> BookState:
    """The newest commit with these files over it: what is about to be recorded."""
    below = book.head_snapshot
    held = dict(contents or {})
    if "book.toml" not in below.files and "book.toml" not in (taken or {}):
        held.setdefault("book.toml", book.working.snapshot.read("book.toml"))
    return read_state(overlaid(below, contents=held, taken=taken, removed=removed, name="about to be recorded"))


def judged(book: OpenBook, change: BookState) -> tuple[Finding, ...]:
    """What the change must answer for, by the one judgement that every door asks for."""
    bases = [book.head] if book.head else []
    return charged(bases, change, change.snapshot.store)
