"""Scripts for the arithmetic, a word or two a page, typed by the tests."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from ledger.model.book import Book
from ledger.model.script import Draft
from ledger.read.script import read_script

#: The worked book of the trade facts: spreads begin on these pages, these pages reveal something.
SPREADS, REVEALS = (12, 64, 98, 140), (22, 56, 90, 132)


def page_text(number: int | str, *, wide: bool = False, reveal: bool = False, panel: int = 1, words: str = "") -> str:
    """A page of two panels, of one with `words` of its own; `wide` makes it a spread of this page and the next."""
    number = int(number)
    head = f"[pages {number}-{number + 1}]" if wide else f"[page {number}]"
    told = [words] if words else [f"Lamp {number} burns over the weir.", f"Somebody counts to {number * 7}."]
    parts = [head]
    for at, line in enumerate(told, 1):
        parts += [f"[panel {at}]", *(["[reveal]"] if reveal and at == panel else []), line]
    return "\n\n".join(parts)


def script_text(pages: int, spreads: Collection[int] = SPREADS, reveals: Mapping[int, int] | None = None) -> str:
    """A script of so many pages; `reveals` maps a page to the panel that reveals something."""
    told = dict.fromkeys(REVEALS, 1) if reveals is None else dict(reveals)
    parts, number = ["# Chapter 1: The weir"], 1
    while number <= pages:
        wide = number in spreads
        parts.append(page_text(number, wide=wide, reveal=number in told, panel=told.get(number, 1)))
        number += 2 if wide else 1
    return "\n\n".join(parts) + "\n"


def draft(text: str) -> Draft:
    """The draft that a text is."""
    return read_script([("script/01.md", text.encode())], ())


def worked(pages: int = 160) -> Draft:
    """The worked book's script."""
    return draft(script_text(pages))


def book(**said: object) -> Book:
    """A book of 160 pages on signatures of 16, unless told otherwise."""
    return Book("The Weir", 160)._replace(**said)  # type: ignore[arg-type]
