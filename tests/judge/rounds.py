"""A book held in memory that grows round by round: files by path, with the object ids git would give them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from ledger.judge.resting.made_from import blob_id, made_from
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing
from ledger.model.pages import pages_text, parse_pages
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.entries import write_entry
from ledger.read.patterns import label_of, matches
from ledger.read.state import BookState, read_state


class Drawer:
    """Bytes by object id, those git has not seen by path; what is taken out is missing."""

    def __init__(self) -> None:
        self.held: dict[str, bytes] = {}
        self.by_path: dict[str, bytes] = {}

    def read(self, file: FileAt) -> bytes:
        return self.by_path[file.path] if file.oid is None else self.blob(file.oid)

    def blob(self, oid: str) -> bytes:
        if oid not in self.held:
            raise ContentMissing(oid, "not fetched")
        return self.held[oid]

    def warm(self, files: list[FileAt]) -> None:
        """Everything is at hand."""


class Book:
    """A book that grows: files are put in, rounds entered."""

    def __init__(self, toml: str) -> None:
        self.drawer = Drawer()
        self.files: dict[str, bytes] = {"book.toml": toml.encode()}
        self.modes: dict[str, str] = {}

    def put(self, files: Mapping[str, bytes | str]) -> Book:
        """Files put in, over those of the same path."""
        for path, content in files.items():
            self.files[path] = content.encode() if isinstance(content, str) else content
        return self

    def gone(self, path: str) -> Book:
        """A file taken out."""
        del self.files[path]
        return self

    def state(self, *, unseen: bool = False) -> BookState:
        """The book as a commit has it; `unseen`: as the working tree has it, before git has seen a byte."""
        self.drawer.held |= {blob_id(data): data for data in self.files.values()}
        self.drawer.by_path = dict(self.files)
        files = {
            path: FileAt(path, None if unseen else blob_id(data), self.modes.get(path, "100644"))
            for path, data in self.files.items()
        }
        return read_state(Snapshot("now", files, self.drawer))

    def enter(self, name: str, pages: str | None = None, *, stands: str | None = None, of: Book | None = None) -> str:
        """A round of a pass as it stands, made from the book as it is, or from `of`. Gives the entry's name."""
        state = self.state()
        pass_ = state.book.pass_named(name)
        assert pass_ is not None
        mine = {path: blob_id(data) for path, data in self.files.items() if matches(path, pass_)}
        labels = [label for path in mine if (label := label_of(path, pass_)) and label in parse_pages(pages)]
        newest = {e.pass_name: e.name for e in state.entries if isinstance(e, Round)}
        number = 1 + sum(isinstance(e, Round) and e.pass_name == name for e in state.entries)
        entry = Round(
            path=f"ledger/{name}-{number}.toml", number=number, pass_name=name, by="Ines", message=stands or "",
            date=datetime.fromisoformat("2026-03-02T12:00:00+01:00"), pages=pages_text(labels) or None, files=mine,
            basis={each: newest[each] for each in pass_.comes_from if each in newest},
            made_from=made_from(of.state() if of else state, pass_, labels), stands=stands,
        )  # fmt: skip
        self.put({entry.path: write_entry(entry)})
        return entry.name
