"""Words from the book set into Markdown as words: nothing in them acts as a sign of Markdown or HTML."""

from __future__ import annotations

import re
from datetime import date

from ledger.render.plain import one_line

#: Signs that act wherever they stand; `&` only before what would be an entity, some only at the start.
_ACTS = re.compile(r"[\\`*_\[\]<]|~~|&(?=#?\w+;)|\A(?:[#>+=|~-]|\d+(?=[.)]))")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def words(text: str) -> str:
    """The text on one line, every sign that would act in Markdown made plain."""
    return _ACTS.sub(_made_plain, one_line(text))


def _made_plain(found: re.Match[str]) -> str:
    sign = found.group()
    return f"{sign}\\" if sign.isdigit() else f"\\{sign}"


def quoted(text: str) -> str:
    """The words in quotation marks."""
    return f"“{words(text)}”"


def day(when: date) -> str:
    """`2 March 2026`, whatever the locale."""
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}"


def bullets(items: list[str]) -> list[str]:
    """A list, one row an item."""
    return [f"- {item}" for item in items]


def in_a_row(items: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join(part for part in (", ".join(items[:-1]), items[-1] if items else "") if part)


def sentence(text: str) -> str:
    """The text with a capital and a full stop, unless the words it quotes at its end bring one."""
    closed = text.rstrip("”*").endswith((".", "!", "?", ":", "…"))
    return text[:1].upper() + text[1:] + ("" if closed else ".")
