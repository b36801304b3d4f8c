"""A commit judged before it is made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.desk.history.carried import lost_by_tags
from ledger.desk.opening import OpenBook
from ledger.desk.pictures.when_asked import looked_at_when_asked
from ledger.desk.staged import bases_of_next, casts_of_old
from ledger.judge.agreed.doors import judge
from ledger.judge.agreed.telling import Charge, told_findings
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


def charges(book: OpenBook, change: BookState, bases: Sequence[BookState] | None = None) -> tuple[Charge, ...]:
    """What a change must answer for, by the one judgement that every door asks for; its base is the newest commit."""
    before = list(bases) if bases is not None else [book.head] if book.head else bases_of_next(book.repo)
    casts = casts_of_old(book.repo, before, change)
    kept = lost_by_tags(book.repo, [base.snapshot for base in before])
    with looked_at_when_asked(book.repo) as pictures:
        return judge(before, change, change.snapshot.store, kept=kept, cast_then=casts, pictures=pictures).charged


def judged(book: OpenBook, change: BookState) -> tuple[Finding, ...]:
    """The same, worded."""
    return told_findings(charges(book, change))
