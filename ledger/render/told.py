"""Sentences told of a book, its own words set apart in them, so that Markdown and HTML set the same sentence.

A told sentence is a text with marks in it. The marks are control characters, which `one_line` shows and never lets
through: none can come out of a file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from ledger.render.plain import one_line

_WORDS, _OLD, _NEW, _OTHER, _END, _PLACE = "\x01", "\x02", "\x03", "\x06", "\x07", "\x08"
_MARKS = {"\x04": "strong", "\x05": "/strong", "\x0e": "slanted", "\x0f": "/slanted"}
_MARKED = re.compile("([\x01-\x03\x08])([^\x06\x07]*)(?:\x06([^\x07]*))?\x07|([\x04\x05\x0e\x0f])")
_FIRST = re.compile("([\x01-\x05\x08\x0e\x0f]*)(.?)", re.DOTALL)
_KINDS = {_WORDS: "words", _OLD: "old", _NEW: "new", _PLACE: "place"}
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a told sentence.

    `kind` is "plain" for the teller's own words, "words" for words of the book, "place" for a place in it, "old" and
    "new" for one of the two wordings of a line (`other` is the other one); "strong", "/strong", "slanted" and
    "/slanted" stand between and have no text.
    """

    kind: str
    text: str = ""
    other: str = ""


def words(text: str) -> str:
    """Words from the book, on one line; "" where there are none."""
    return f"{_WORDS}{one_line(text)}{_END}" if text else ""


def place_told(text: str) -> str:
    """Where in the book: `p12.3`."""
    return f"{_PLACE}{one_line(text)}{_END}" if text else ""


def quoted(text: str) -> str:
    """Words from the book in quotation marks."""
    return f"“{words(text)}”"


def old_wording(old: str, new: str) -> str:
    """A line's old words in quotation marks; a setting may mark what is gone from them."""
    return f"“{_OLD}{one_line(old)}{_OTHER}{one_line(new)}{_END}”"


def new_wording(old: str, new: str) -> str:
    """A line's new words in quotation marks; a setting may mark what has come into them."""
    return f"“{_NEW}{one_line(new)}{_OTHER}{one_line(old)}{_END}”"


def strong(told: str) -> str:
    """What catches the eye first."""
    return f"\x04{told}\x05"


def slanted(told: str) -> str:
    """What is seen and not heard: descriptions."""
    return f"\x0e{told}\x0f"


def day(when: date) -> str:
    """`2 March 2026`, whatever the locale."""
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}"


def in_a_row(items: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join(part for part in (", ".join(items[:-1]), items[-1] if items else "") if part)


def sentence(told: str) -> str:
    """The same with a capital and a full stop, unless the words it quotes at its end bring one."""
    closed = plain(told).rstrip("”").endswith((".", "!", "?", ":", "…"))
    capital = _FIRST.sub(lambda found: found[1] + found[2].upper(), told, count=1)
    return capital + ("" if closed else ".")


def plain(told: str) -> str:
    """The sentence without its marks."""
    return _MARKED.sub(lambda found: found[2] or "", told)


def pieces(told: str) -> Iterator[Piece]:
    """The sentence cut at its marks, in order."""
    at = 0
    for found in _MARKED.finditer(told):
        if found.start() > at:
            yield Piece("plain", told[at : found.start()])
        yield Piece(_MARKS[found[4]]) if found[4] else Piece(_KINDS[found[1]], found[2], found[3] or "")
        at = found.end()
    if at < len(told):
        yield Piece("plain", told[at:])
