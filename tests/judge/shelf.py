"""Small books held in memory: files as text, sign-offs and slips as values, judged as any book is."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from ledger.model.entry import Alteration, Entry, Lock, Reopen
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.entries import write_entry
from ledger.read.state import BookState, read_state
from tests.usual_passes import usual_passes

BOOK = """
[book]
title = "The Salt Lantern"
pages = 24

[page]
trim_mm = [168.3, 258.8]
bleed_mm = 3.2
ppi = 20

[cast]
W = "Wren"
T = { name = "Tomas Arde", also = ["Tom", "TOMAS"] }
M = "Mara"
""" + usual_passes("outline", "script", "pencils", "inks", "letters")

FIRST = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
BY = "Ida Kestrel <ida@example.org>"

Files = Mapping[str, str | bytes]


def blob_id(data: bytes) -> str:
    """The id that git gives to a file of these bytes."""
    return hashlib.sha1(b"blob %d\0" % len(data) + data).hexdigest()


@dataclass
class Shelf:
    """Every content that any state of the book ever had, as git keeps it."""

    kept: dict[str, bytes] = field(default_factory=dict)
    missing: set[str] = field(default_factory=set)

    def put(self, data: bytes) -> str:
        oid = blob_id(data)
        self.kept[oid] = data
        return oid

    def read(self, file: FileAt) -> bytes:
        return self.blob(file.oid or "")

    def blob(self, oid: str) -> bytes:
        if oid in self.missing or oid not in self.kept:
            raise ContentMissing(oid, "not fetched")
        return self.kept[oid]

    def warm(self, files: list[FileAt]) -> None:
        return

    def state(
        self, files: Files, entries: Sequence[Entry] = (), *, book: str = BOOK, links: Files | None = None
    ) -> BookState:
        """A state of the book with these files and entries."""
        there: dict[str, str | bytes] = {"book.toml": book, **files}
        there.update({entry.path: write_entry(entry) for entry in entries})
        at = {path: FileAt(path, self.put(_bytes(data))) for path, data in there.items()}
        at.update({path: FileAt(path, self.put(_bytes(data)), "120000") for path, data in (links or {}).items()})
        return read_state(Snapshot("now", at, self))

    def ids(self, files: Files) -> dict[str, str]:
        """Path -> id, as entries name content."""
        return {path: self.put(_bytes(data)) for path, data in files.items()}


def _bytes(data: str | bytes) -> bytes:
    return data if isinstance(data, bytes) else data.encode()


def lock(
    shelf: Shelf, pass_name: str, scopes: Sequence[str], files: Files, *, pages: str | None = None, number: int = 1,
    minutes: int = 0,
) -> Lock:  # fmt: skip
    """A sign-off, recorded so many minutes after the first."""
    return Lock(
        path=f"ledger/lock-{pass_name}-{number}.toml", number=number, date=FIRST + timedelta(minutes=minutes), by=BY,
        pages=pages, files=shelf.ids(files), pass_name=pass_name, scopes=tuple(scopes),
    )  # fmt: skip


def slip(
    shelf: Shelf, files: Files, *, pages: str | None, scopes: Sequence[str] = ("structure",), number: int = 1,
    minutes: int = 10, passes: Sequence[str] = ("script",),
) -> Alteration:  # fmt: skip
    """An alteration slip that admits these files; an empty one is gone."""
    ids = {path: shelf.put(_bytes(data)) if data else "" for path, data in files.items()}
    return Alteration(
        path=f"ledger/alteration-{number}.toml", number=number, date=FIRST + timedelta(minutes=minutes), by=BY,
        pages=pages, files=ids, reason="the lamp must be lit", scopes=tuple(scopes), passes=tuple(passes),
    )  # fmt: skip


def reopening(pass_name: str, pages: str, *, number: int = 1, minutes: int = 10) -> Reopen:
    """Signed-off pages are open again."""
    return Reopen(
        path=f"ledger/reopen-{number}.toml", number=number, date=FIRST + timedelta(minutes=minutes), by=BY,
        pages=pages, reason="the flood is redrawn", scopes=("structure", "drawing"), passes=(pass_name,),
    )  # fmt: skip


def told(findings: Sequence[Finding]) -> list[str]:
    """Findings in short: `block line-cut p1.2`."""
    return sorted(
        f"{'block' if f.blocks else 'look'} {f.rule}"
        + (f" p{f.page}" if f.page else "")
        + (f".{f.panel}" if f.page and f.panel else "")
        for f in findings
    )
