"""A small book with its pages signed off, made with git alone."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path

from PIL import Image, ImageDraw

from ledger.model.entry import Alteration, Entry, Lock, Reopen
from ledger.model.finding import Finding
from ledger.read.entries import write_entry
from tests.books import Book
from tests.usual_passes import usual_passes

WHEN = datetime.fromisoformat("2026-03-02T12:00:00+01:00")
BY = "Ida Kestrel <ida@example.org>"
TOML = """[book]
title = "The Salt Lantern"
pages = 2

[page]
trim_mm = [50.8, 76.2]
ppi = 25

[cast]
W = "Wren"
T = "Tomas Arde"
M = "Mara"
""" + usual_passes("script", "inks")
SCRIPT = """# Chapter 1: The tide gauge

## Harbour office

[page 1]
[panel 1]
Wren shoulders the door open. Paper everywhere.

W: You said the map was here.
T: It was.

[page 2]
[panel 1]
M: Three hours to high water.
"""
CUT = SCRIPT.replace("T: It was.\n", "")
GIVEN = SCRIPT.replace("T: It was.", "M: It was.")


def page(across: int) -> bytes:
    """A page with one black panel that begins so many px from the left."""
    picture = Image.new("L", (50, 75), 255)
    ImageDraw.Draw(picture).rectangle((across, 20, across + 15, 60), fill=0)
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def signed_book(top: Path) -> Book:
    """Script and two inked pages, `inks` signed off."""
    book = Book.new(top, {"book.toml": TOML, "script/01.md": SCRIPT, "art/inks/p001.png": page(5),
                          "art/inks/p002.png": page(15), "notes/README.md": "notes go here\n"})  # fmt: skip
    record(book, lock(book))
    return book


def lock(book: Book, number: int = 1, minutes: int = 0, pages: str | None = None) -> Lock:
    """A sign-off of what is staged now."""
    closed = {path: oid for path, oid in book.staged().items() if path.startswith(("script/", "art/"))}
    return Lock(
        path=f"ledger/lock-inks-{number}.toml", number=number, date=WHEN + timedelta(minutes=minutes), by=BY,
        pass_name="inks", scopes=("structure", "drawing"), files=closed, pages=pages,
    )  # fmt: skip


def slip(
    book: Book, pages: str, scopes: Sequence[str] = ("structure",), number: int = 1, minutes: int = 10
) -> Alteration:
    """A slip for what is staged now."""
    staged = {path: oid for path, oid in book.staged().items() if path.startswith(("script/", "art/"))}
    return Alteration(
        path=f"ledger/alteration-{number}.toml", number=number, date=WHEN + timedelta(minutes=minutes), by=BY,
        pages=pages, scopes=tuple(scopes), passes=("script",), files=staged, reason="the lamp must be lit",
    )  # fmt: skip


def reopened(pages: str, number: int = 1, minutes: int = 10) -> Reopen:
    """Pages of `inks` are open again."""
    return Reopen(
        path=f"ledger/reopen-{number}.toml", number=number, date=WHEN + timedelta(minutes=minutes), by=BY, pages=pages,
        scopes=("structure", "drawing"), passes=("inks",), reason="the flood is redrawn",
    )  # fmt: skip


def record(book: Book, *entries: Entry, message: str | None = None) -> str:
    """Commits entries, with whatever else is staged."""
    book.write({entry.path: write_entry(entry) for entry in entries})
    return book.commit(message or entries[0].name)


def renumbered(entry: Alteration, number: int) -> Alteration:
    """The same slip under another number."""
    return entry._replace(number=number, path=f"ledger/alteration-{number}.toml")


def short(findings: Sequence[Finding]) -> list[str]:
    """`block line-cut p1`."""
    return sorted(f"{'block' if f.blocks else 'look'} {f.rule}" + (f" p{f.page}" if f.page else "") for f in findings)
