"""The cast as it stood when an entry was recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ledger.gitedge import snapshots
from ledger.gitedge.history import first_with
from ledger.gitedge.repository import Repository
from ledger.gitedge.tags import recorded_as, tag_of
from ledger.model.book import Person
from ledger.model.entry import Entry
from ledger.model.errors import ContentMissing, Refusal
from ledger.read.config import read_book

CastOf = Callable[[Entry], Sequence[Person] | None]


def cast_lookup(repo: Repository) -> CastOf:
    """Gives the cast of the commit that recorded an entry, None where that commit is not known here."""
    known: dict[str, Sequence[Person] | None] = {}

    def cast_then(entry: Entry) -> Sequence[Person] | None:
        if entry.path not in known:
            known[entry.path] = _cast(repo, entry)
        return known[entry.path]

    return cast_then


def _cast(repo: Repository, entry: Entry) -> Sequence[Person] | None:
    tag = tag_of(entry)
    commit = snapshots.resolve_commit(repo, f"refs/tags/{tag}") if tag else None
    if commit is None:
        commit = first_with(repo, recorded_as(repo, [entry.path])).get(entry.path)
    if commit is None:
        return None
    try:
        return read_book(snapshots.at_commit(repo, commit).read("book.toml")).cast
    except (KeyError, ContentMissing, Refusal):
        return None
