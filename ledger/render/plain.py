"""Words from files, made safe for a terminal, and lines that fit 80 columns."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

WIDTH = 80

#: C0 and C1 controls but line feed, the bidirectional controls, and lone surrogates (undecodable bytes).
_STEERING = "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"


def visible(text: str) -> str:
    """The text with control characters shown (`\\x1b`), never sent; a tab becomes a blank."""
    return text if text.isprintable() else re.sub(_STEERING, _shown, text)


def _shown(found: re.Match[str]) -> str:
    sign = found.group()
    if sign == "\t":
        return " "
    code = ord(sign)
    if 0xDC80 <= code <= 0xDCFF:
        return f"\\x{code - 0xDC00:02x}"
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"


def one_line(text: str) -> str:
    """The text on one line, controls shown."""
    return visible(" ".join(text.split("\n")))


def columns(text: str) -> int:
    """Terminal columns a text takes; wide East Asian signs take two, combining signs none."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(s) else 2 if unicodedata.east_asian_width(s) in "WF" else 1 for s in text)


def clip(text: str, width: int) -> str:
    """The text cut to so many columns, with an ellipsis where something was cut."""
    if columns(text) <= width:
        return text
    kept = ""
    for sign in text:
        if columns(kept + sign) > width - 1:
            break
        kept += sign
    return kept.rstrip() + "…"


def wrapped(text: str, indent: str = "", hang: str = "  ", width: int = WIDTH) -> str:
    """A paragraph wrapped to the terminal, later lines hanging by `hang`; wide signs count as two columns."""
    rows, row, used = [], indent, 0
    filled, later = columns(indent), columns(indent + hang)
    for word in _short_words(text, width - later):
        wide = columns(word)
        if used and filled + 1 + wide > width:
            rows.append(row)
            row, used, filled = indent + hang, 0, later
        row += (" " if used else "") + word
        filled += wide + bool(used)
        used += 1
    return "\n".join([*rows, row] if used else rows)


def beside(margin: str, text: str, width: int = WIDTH) -> list[str]:
    """A paragraph set beside a margin: the margin's words stand in the first row, later rows leave it empty."""
    room = columns(margin)
    rows = wrapped(text, indent=" " * room, hang="", width=width).split("\n")
    return [margin + rows[0][room:], *rows[1:]]


def _short_words(text: str, room: int) -> Iterator[str]:
    """The words of a text; one that is wider than the room comes in pieces."""
    for word in text.split():
        if len(word) * 2 <= room or room <= 2 or columns(word) <= room:
            yield word
            continue
        start = used = 0
        for at, sign in enumerate(word):
            wide = columns(sign)
            if used + wide > room:
                yield word[start:at]
                start, used = at, 0
            used += wide
        yield word[start:]


def plural(count: int, noun: str, many: str | None = None) -> str:
    """`1 page`, `2 pages`."""
    return f"{count:,} {noun if count == 1 else many or noun + 's'}"


def bytes_words(size: int) -> str:
    """`612 MiB`, `3.4 GiB`."""
    amount, unit = float(size), "bytes"
    for larger in ("KiB", "MiB", "GiB", "TiB"):
        if amount < 1024:
            break
        amount, unit = amount / 1024, larger
    return f"{amount:.1f} {unit}" if amount < 10 and unit != "bytes" else f"{amount:.0f} {unit}"
