"""A typed script cut at its chapters, byte for byte."""

from __future__ import annotations

import re
from typing import NamedTuple

from ledger.read.blocks import blocks_of
from ledger.read.marks import leading_marks, trade_heading
from ledger.read.numerals import number
from ledger.read.plain_words import plain_words
from ledger.read.typed_text import rows_of
from ledger.read.word_processor.headings import says_chapter

_LINE_END = re.compile(rb"\r\n|\n|\r")
_NUMBERED = re.compile(r"chapter\s+([\w-]+)", re.IGNORECASE)
_PIN = re.compile(r"\s*\{#[^\s{}]+\}\s*\Z")


class Piece(NamedTuple):
    """A chapter's bytes, its heading as words ("" for a draft without chapters) and the number that says."""

    title: str
    number: int | None
    data: bytes


def chapters_of(path: str, data: bytes) -> list[Piece]:
    """The chapters of a file in order; together they are its bytes. What stands before the first belongs to it."""
    rows, _ = rows_of(path, data)
    starts = [(line, title) for block in blocks_of(rows) if block.level == 1 and (title := _title(block.rows[0][1]))
              for line, _ in block.rows]  # fmt: skip
    if not starts:
        return [Piece("", None, data)]
    ends = [0, *(found.end() for found in _LINE_END.finditer(data)), len(data)]
    cuts = [0, *(ends[line - 1] for line, _ in starts[1:]), len(data)]
    return [Piece(title, _number(title), data[cuts[at] : cuts[at + 1]]) for at, (_, title) in enumerate(starts)]


def with_headings(path: str, data: bytes) -> tuple[bytes, list[int]]:
    """A plain text without any heading with its lines `CHAPTER TWO` made headings, and the numbers of those lines.

    Only a line that stands alone between empty ones is one; every other byte stays.
    """
    rows, _ = rows_of(path, data)
    if any(block.level > 0 for block in blocks_of(rows)):
        return data, []
    said = dict(rows)
    lines = [
        line for line, text in rows
        if says_chapter(text.strip()) and not said.get(line - 1, "").strip() and not said.get(line + 1, "").strip()
    ]  # fmt: skip
    starts = [0, *(found.end() for found in _LINE_END.finditer(data))]
    for line in reversed(lines):
        at = starts[line - 1] + (3 if line == 1 and data.startswith(b"\xef\xbb\xbf") else 0)
        data = data[:at] + b"# " + data[at:].lstrip(b" \t")
    return data, lines


def _title(typed: str) -> str | None:
    """The words of a chapter's heading; None where it is a mark of a page or panel."""
    bare = _PIN.sub("", typed)
    if trade_heading(bare, alone=True) or (leading_marks(bare)[0] and not leading_marks(bare)[1]):
        return None
    return plain_words(bare) or None


def _number(title: str) -> int | None:
    found = _NUMBERED.match(title)
    return number(found[1]) if found else None
