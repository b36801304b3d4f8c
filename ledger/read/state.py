"""The book at one moment, read: its configuration, its entries, its drafts and where its exports lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ledger.model.book import Book, Pass
from ledger.model.entry import Entry
from ledger.model.finding import Finding
from ledger.model.script import Draft
from ledger.model.snapshot import FileAt, Snapshot


@dataclass(frozen=True)
class BookState:
    """A snapshot of a book with what its files say.

    `entries` holds every entry that could be read, `findings` what could not. Drafts are read when first
    asked for and kept.
    """

    snapshot: Snapshot
    book: Book
    entries: tuple[Entry, ...] = ()
    findings: tuple[Finding, ...] = ()
    _drafts: dict[str, Draft] = field(default_factory=dict, repr=False, compare=False)

    def draft(self, pass_name: str) -> Draft:
        """The draft of a text pass (an outline is read by its own rules when its pass is `outline`)."""
        raise NotImplementedError

    def paths(self, pass_: Pass) -> tuple[str, ...]:
        """Paths of a pass's files that are there, in byte order."""
        raise NotImplementedError

    def exports(self, pass_: Pass) -> Mapping[str, tuple[FileAt, ...]]:
        """Page label -> the export files of an art pass that stand for it (more than one is `page-number`)."""
        raise NotImplementedError


def read_state(snapshot: Snapshot) -> BookState:
    """Reads `book.toml` and `ledger/` of a snapshot. Raises Refusal for a broken or missing `book.toml`."""
    raise NotImplementedError
