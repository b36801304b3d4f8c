"""The cast as it stood when an entry was recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

from ledger.gitedge.history import first_with
from ledger.gitedge.repository import Repository
from ledger.gitedge.tags import recorded_as, ref_of, tag_of
from ledger.model.book import Book, Person
from ledger.model.entry import Entry
from ledger.model.errors import Refusal
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
    data = repo.reader.named(f"{ref_of(tag)}^{{commit}}:book.toml") if tag else None
    if data is None:
        commit = first_with(repo, recorded_as(repo, [entry.path])).get(entry.path)
        data = repo.reader.named(f"{commit}:book.toml") if commit else None
    try:
        return _book_of(data).cast if data is not None else None
    except Refusal:
        return None


@lru_cache(maxsize=16)
def _book_of(data: bytes) -> Book:
    return read_book(data)
