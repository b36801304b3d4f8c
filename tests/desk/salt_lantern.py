"""A small book, "The Salt Lantern", entered with git alone: its ledger is written here, not by the command."""

from __future__ import annotations

import zlib
from datetime import datetime
from pathlib import Path

from ledger.model.entry import Entry, Round
from ledger.read.entries import write_entry
from tests.books import Book

WHEN = datetime.fromisoformat("2026-03-02T12:00:00+01:00")
TOML = """[book]
title = "The Salt Lantern"
pages = 3

[page]
trim_mm = [50.8, 76.2]
ppi = 25

[cast]
W = "Wren"
T = "Tomas Arde"

[[pass]]
name = "outline"
kind = "text"
files = "outline/*.md"

[[pass]]
name = "script"
kind = "text"
files = "script/*.md"

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
from = ["script"]
locks = ["structure", "drawing"]
"""
OFFICE = """# Chapter 1: The tide gauge

## Harbour office

[page 1]
[panel]
Wren shoulders the door open. Paper everywhere.

W: You said the map was here.
T: It was.

[page 2]
[panel]
CAP: Three hours to high water.
"""
STAIRS = """
## The stairs

[page {page}]
[panel]
They run up the wet stairs, the lamp swinging.

W: Up. Now. Before the water has the second landing.
T: I left the ledger. We need the ledger, you know that we do.
"""
BOAT = """
## The boat

[page 3]
[panel]
The boat, empty, knocking against the steps.

T: Who moored it? Nobody comes here in winter with a boat like that.
"""
FIRST = OFFICE + STAIRS.format(page=3)
SECOND = OFFICE.replace("T: It was.", "W: It was.") + BOAT + STAIRS.format(page=4)


def page(seed: int) -> bytes:
    """A grey PNG of 50 x 75 px: black bars whose places go by `seed`."""
    rows = b"".join(
        b"\0" + bytes(0 if (x // 5 + y // 9 * seed) % 23 < 6 else 255 for x in range(50)) for y in range(75)
    )
    chunks = ((b"IHDR", b"\0\0\0\x32\0\0\0\x4b\x08\0\0\0\0"), (b"IDAT", zlib.compress(rows)), (b"IEND", b""))
    packed = (
        len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big") for kind, data in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(packed)


def entered(book: Book, pass_name: str, number: int, **more: object) -> Round:
    """Enters what is staged of a pass, as git alone would, with its tag."""
    folder = "art/inks/" if pass_name == "inks" else f"{pass_name}/"
    files = {path: oid for path, oid in book.staged().items() if path.startswith(folder)}
    entry = Round(
        path=f"ledger/{pass_name}-{number}.toml", pass_name=pass_name, number=number, date=WHEN,
        by="Ada Quill <ada@quill.example>", files=files, **more,
    )  # fmt: skip
    recorded(book, entry)
    book.git("tag", "-a", "-m", entry.name, entry.tag)
    return entry


def recorded(book: Book, entry: Entry) -> None:
    """Commits an entry with everything else that lies in the book."""
    book.write({entry.path: write_entry(entry)})
    book.commit(entry.name)


def salt_lantern(top: Path, form: str = "sha1") -> Book:
    """Two rounds of the script and one of the inks."""
    book = Book.new(top, {"book.toml": TOML, "script/01.md": FIRST}, form=form)
    entered(book, "script", 1, message="first draft")
    book.write({f"art/inks/p00{n}.png": page(n) for n in (1, 2, 3)})
    book.commit("inked")
    entered(book, "inks", 1, pages="1-3", basis={"script": "script-1"}, message="all inked")
    book.write({"script/01.md": SECOND})
    book.commit("the boat")
    entered(book, "script", 2, message="the boat comes in")
    return book
