"""A letter to somebody who works on the book, as values: Markdown and HTML set the same one.

Every text in it is a told sentence (`ledger.render.told`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ledger.model.plate import Shown


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One sentence or several."""

    told: str


@dataclass(frozen=True, slots=True)
class Subhead:
    """The name of a chapter inside a section."""

    told: str


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Quoted:
    """Lines of the script in full, each with its place."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Polish:
    """How many small changes there are; `one_by_one` tells them, for a letter that can fold them away."""

    told: str
    one_by_one: Callable[[], list[Block]]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A picture with the words above it and, for those who do not see it, what it shows; None where it is missing."""

    told: str
    shows: str
    picture: Shown | None


@dataclass(frozen=True, slots=True)
class PagePlate:
    """A page in pictures, side by side, with its sentence."""

    told: str
    sheets: tuple[Sheet, ...]

    @property
    def shape(self) -> str:
        """Two pictures beside each other, one of a spread, one of a page."""
        alone = self.sheets[0].picture if len(self.sheets) == 1 else None
        return "pair" if len(self.sheets) > 1 else "spread" if alone and alone.width > alone.height else "single"


@dataclass(frozen=True, slots=True)
class Gallery:
    """Pages in pictures; only a letter that can hold pictures shows them.

    `legend` says how they are read, "" where nothing has to be said.
    """

    legend: str
    plates: tuple[PagePlate, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table, as many cells as the table has heads; the first one names it. `picture` has a column of its
    own, which only a letter that can hold pictures shows."""

    cells: tuple[str, ...]
    picture: Sheet | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Facts side by side under their heads; `name` says what they are about, `pictures` heads the column of pictures,
    "" where there is none. Heads and name are the teller's own words."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    pictures: str = ""


Block = Paragraph | Subhead | Items | Quoted | Polish | Gallery | Table


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the letter under its title; the title is the teller's own words."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Letter:
    """The book's title and what the letter is about, for whom and of which days, and what it says.

    `short` is the whole in a few sentences; `message` is "" where there is none.
    """

    title: str
    about: str
    opening: tuple[str, ...]
    message: str
    short: tuple[str, ...]
    sections: tuple[Section, ...]
    foot: str


def items(told: Iterable[str]) -> list[Items]:
    """One list; nothing where nothing is told."""
    kept = tuple(told)
    return [Items(kept)] if kept else []
