"""`[cast]` of book.toml: people put in by line, every other byte left as it is."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ledger.model.book import Person
from ledger.model.errors import Refusal
from ledger.read.config import read_book
from ledger.read.toml_text import end_of_table, load_toml

_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")


def add_people(data: bytes, people: Sequence[Person], path: str = "book.toml") -> bytes:
    """The file with these people at the end of `[cast]`, which is made where there is none.

    Raises Refusal where `[cast]` can't be written to by line, or the file would not read as meant afterwards.
    """
    if not people:
        return data
    before = read_book(data, path)
    values, text = load_toml(data, path)
    end = "\r\n" if "\r\n" in text else "\n"
    lines = [f"{_key(each.key)} = {_string(each.name)}" for each in people]
    at = end_of_table(text, ("cast",))
    if at is None:
        if "cast" in values and not text.count("[cast."):
            raise _by_hand(path, lines)
        lead = "" if not text else end if text.endswith(("\n", "\r")) else end * 2
        changed = text + lead + end.join(["[cast]", *lines]) + end
    else:
        lead = "" if text[:at].endswith("\n") else end
        changed = text[:at] + lead + end.join(lines) + end + text[at:]
    mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    fresh = mark + changed.encode()
    try:
        after = read_book(fresh, path).cast
    except Refusal:
        raise _by_hand(path, lines) from None
    if sorted(each.key for each in after) != sorted(each.key for each in (*before.cast, *people)):
        raise _by_hand(path, lines)
    return fresh


def _by_hand(path: str, lines: Sequence[str]) -> Refusal:
    return Refusal(
        "[cast] is written in a way that no line can be added to", path=path,
        remedy=f"add it there by hand: {'; '.join(lines)}",
    )  # fmt: skip


def _key(typed: str) -> str:
    return typed if _BARE.match(typed) else _string(typed)


def _string(text: str) -> str:
    """A basic string of TOML."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(sign if sign >= " " and sign != "\x7f" else f"\\u{ord(sign):04x}" for sign in escaped) + '"'
