"""A letter to somebody who works on the book, as values: Markdown and HTML set the same one.

Every text in it is a told sentence (`ledger.render.told`).
"""

from collections.abc import Callable, Iterable
from typing import NamedTuple, TypeAlias

from ledger.model.plate import Shown


class Paragraph(NamedTuple):
    """One sentence or several."""

    told: str


class Subhead(NamedTuple):
    """The name of a chapter inside a section."""

    told: str


class Items(NamedTuple):
    """A list."""

    items: tuple[str, ...]


class Quoted(NamedTuple):
    """Lines of the script in full, each with its place."""

    rows: tuple[tuple[str, str], ...]


class Polish(NamedTuple):
    """How many small changes there are; `one_by_one` tells them, for a letter that can fold them away."""

    told: str
    one_by_one: "Callable[[], list[Block]]"


class Sheet(NamedTuple):
    """A picture with the words above it and, for those who do not see it, what it shows; None where it is missing."""

    told: str
    shows: str
    picture: Shown | None


class PagePlate(NamedTuple):
    """A page in pictures, side by side, with its sentence."""

    told: str
    sheets: tuple[Sheet, ...]

    @property
    def shape(self) -> str:
        """Two pictures beside each other, one of a spread, one of a page."""
        alone = self.sheets[0].picture if len(self.sheets) == 1 else None
        return "pair" if len(self.sheets) > 1 else "spread" if alone and alone.width > alone.height else "single"


class Gallery(NamedTuple):
    """Pages in pictures; only a letter that can hold pictures shows them.

    `legend` says how they are read, "" where nothing has to be said.
    """

    legend: str
    plates: tuple[PagePlate, ...]


class Row(NamedTuple):
    """A row of a table, as many cells as the table has heads; the first one names it. `picture` has a column of its
    own, which only a letter that can hold pictures shows."""

    cells: tuple[str, ...]
    picture: Sheet | None = None


class Table(NamedTuple):
    """Facts side by side under their heads; `name` says what they are about, `pictures` heads the column of pictures,
    "" where there is none. Heads and name are the teller's own words."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    pictures: str = ""


Block: TypeAlias = Paragraph | Subhead | Items | Quoted | Polish | Gallery | Table


class Section(NamedTuple):
    """A part of the letter under its title; the title is the teller's own words."""

    title: str
    blocks: tuple[Block, ...]


class Letter(NamedTuple):
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
