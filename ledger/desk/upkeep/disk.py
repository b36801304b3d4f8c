"""How much of a disk the art takes, and whether git itself has to carry it."""

from __future__ import annotations

import os
import time

from ledger.desk.opening import OpenBook
from ledger.gitedge.noted import newest_copy, note_said, said_before
from ledger.gitedge.objects import content_sizes
from ledger.gitedge.repository import Repository
from ledger.judge.exports.large_files import large_file_rules
from ledger.model.health import PassSize
from ledger.model.standing import LastCopy
from ledger.read.patterns import matches
from ledger.read.state import BookState

#: So many bytes of art that git itself carries are told of once.
MUCH = 500 * 1024 * 1024
_DAY = 86_400


def last_copy(repo: Repository) -> LastCopy | None:
    """The newest copy that `backup` made, as far as this book knows."""
    found = newest_copy(repo)
    return LastCopy(max(0, int((time.time() - found[0]) // _DAY)), found[1]) if found else None


def much_art(book: OpenBook, state: BookState) -> int | None:
    """Bytes of art that git itself carries, where that is much and was not said before; then it is noted as said."""
    if said_before(book.repo, "much-art"):
        return None
    art = [pass_ for pass_ in state.book.passes if pass_.kind == "art"]
    size = sum(_on_disk(book.repo, path) for pass_ in art for path in state.paths(pass_))
    if size <= MUCH or large_file_rules(state):
        return None
    note_said(book.repo, "much-art")
    return size


def _on_disk(repo: Repository, path: str) -> int:
    try:
        return os.lstat(repo.in_top(path)).st_size
    except OSError:
        return 0


def pass_sizes(book: OpenBook) -> tuple[PassSize, ...]:
    """What each pass takes: its files now, and everything that its rounds and sign-offs hold, each content once."""
    state = book.working
    found = []
    for pass_ in state.book.passes:
        now = sum(_on_disk(book.repo, path) for path in state.paths(pass_))
        held = {oid for entry in state.entries for path, oid in entry.files.items() if oid and matches(path, pass_)}
        sizes = content_sizes(book.repo, held)
        found.append(PassSize(pass_.name, len(state.paths(pass_)), now, len(sizes), sum(sizes.values())))
    return tuple(found)
