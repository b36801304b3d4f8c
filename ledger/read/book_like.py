"""A new `book.toml` that takes the page, limits, cast and passes of another, remarks and all."""

from __future__ import annotations

import re

from ledger.model.errors import Refusal
from ledger.read.config import read_book

#: What one book takes over from another.
TAKEN = ("page", "limits", "cast", "pass")
_HEADER = re.compile(r"\[{1,2}\s*([A-Za-z0-9_-]+)[^\],]*\]{1,2}\s*(?:#.*)?\Z")


def book_like(other: bytes, head: str, path: str = "book.toml") -> str:
    """The text of a new book: `head` (its `[book]` table), then the tables taken from the bytes of the other.

    Raises Refusal where the other can't be read, or is laid out so that its tables can't be told apart by line.
    """
    theirs = read_book(other, path)
    parts = [text for name, text in _sections(other.decode("utf-8-sig").replace("\r\n", "\n")) if name in TAKEN]
    made = "\n".join([head.rstrip("\n") + "\n", *(part.strip("\n") + "\n" for part in parts)])
    ours = read_book(made.encode(), path)
    if (ours.page, ours.limits, ours.cast, ours.passes) != (theirs.page, theirs.limits, theirs.cast, theirs.passes):
        raise Refusal(
            "the tables of this book can't be taken over one by one", path=path,
            remedy="write [page], [limits], [cast] and every [[pass]] as tables of their own, then try again",
        )  # fmt: skip
    return made


def _sections(text: str) -> list[tuple[str, str]]:
    """(name of the table, its lines with the remarks above it) in order; "" for what stands before the first."""
    found: list[tuple[str, list[str]]] = [("", [])]
    waiting: list[str] = []
    for line in text.split("\n"):
        header = _HEADER.match(line.strip())
        if header:
            found.append((header.group(1), [*waiting, line]))
            waiting = []
        elif not line.strip() or line.lstrip().startswith("#"):
            waiting.append(line)
        else:
            found[-1][1].extend([*waiting, line])
            waiting = []
    found[-1][1].extend(waiting)
    return [(name, "\n".join(lines)) for name, lines in found]
