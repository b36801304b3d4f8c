"""`audit`: the same judgement over history, with the entries and their tags."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from ledger.desk.carried import lost_lookup
from ledger.desk.casts import cast_lookup
from ledger.desk.held import concerns
from ledger.desk.opening import OpenBook, open_history
from ledger.desk.walked import Walked
from ledger.gitedge import snapshots
from ledger.gitedge.history import first_with, range_of, walk
from ledger.gitedge.tags import moved_tags, recorded_as
from ledger.judge.closed import moment
from ledger.judge.ledger_rules import tag_findings
from ledger.model.entry import Lock
from ledger.model.errors import Refusal
from ledger.model.finding import Finding


def audit(here: Path, reach: str | None = None, *, since_lock: bool = False) -> tuple[Finding, ...]:
    """What history holds against what was agreed. `reach` is a range of git (`v1..main`) or one state.

    With `since_lock` from the commit of the oldest sign-off on. Raises Refusal where a side names no commit.
    """
    book = open_history(here)
    if reach is None and snapshots.resolve_commit(book.repo, "HEAD") is None:
        return ()
    include, exclude = range_of(book.repo, reach or "HEAD")
    if since_lock:
        exclude = (*exclude, *_before_oldest_lock(book))
    walked = Walked(cast_lookup(book.repo), lost_before=lost_lookup(book.repo))
    for step in walk(book.repo, include, exclude, ahead=concerns):
        walked.take(step)
    entries = book.head.entries if book.head else ()
    return (*walked.told(), *tag_findings(moved_tags(book.repo, entries)))


def _before_oldest_lock(book: OpenBook) -> Iterable[str]:
    """The parents of the commit that added the oldest sign-off."""
    entries = book.head.entries if book.head else ()
    locks = sorted((entry for entry in entries if isinstance(entry, Lock)), key=moment)
    if not locks:
        raise Refusal("nothing of this book is signed off yet", remedy="audit everything: inkledger audit")
    commits = first_with(book.repo, recorded_as(book.repo, [lock.path for lock in locks]))
    oldest = next((commits[lock.path] for lock in locks if lock.path in commits), None)
    parent = snapshots.resolve_commit(book.repo, f"{oldest}^") if oldest else None
    return [parent] if parent else []
