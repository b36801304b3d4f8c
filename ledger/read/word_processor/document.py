"""A draft as a word processor keeps it: paragraphs with their looks, and what was left out of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from ledger.model.errors import Refusal

#: No draft has more paragraphs or signs than this; a file that does is a slip or a trap (own choice: a script of a
#: million words has about 100,000 paragraphs and six million signs).
MOST_PARAGRAPHS = 500_000
MOST_SIGNS = 32_000_000
#: A paragraph is set off where it stands this much in from the margin, in millimetres (own choice).
FURTHER_IN = 12.0


@dataclass(frozen=True, slots=True)
class Run:
    """Text of one look; `size` is in points, 0 where nothing says it."""

    text: str
    bold: bool = False
    italic: bool = False
    size: float = 0.0


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph, numbered from 1 in the order of the document, empty ones and those of tables too.

    `level` is its heading level by style (1 to 9), 0 for none; `style` the name of its style in small letters.
    `set_off` is whether it is centred, set to the right or well in from the margin; `item` whether it stands in a list.
    `row` and `cell` count the rows of all tables and the cells of the row, 0 outside tables.
    """

    number: int
    runs: tuple[Run, ...] = ()
    level: int = 0
    style: str = ""
    set_off: bool = False
    item: bool = False
    row: int = 0
    cell: int = 0

    @property
    def text(self) -> str:
        """Its words; a line break inside it is a line feed."""
        return "".join(run.text for run in self.runs)

    @property
    def bold(self) -> bool:
        """Whether every word of it is bold."""
        said = [run for run in self.runs if run.text.strip()]
        return bool(said) and all(run.bold for run in said)

    @property
    def size(self) -> float:
        """The size of its words in points where they have one size, else 0."""
        sizes = {run.size for run in self.runs if run.text.strip()}
        return sizes.pop() if len(sizes) == 1 else 0.0


class Margin(NamedTuple):
    """What hangs on the words of a paragraph from the sign `at` of its text on.

    `kind` is "start", "end" or "point" of the comment `name`, or "insertion", "deletion", "move" with the words
    `text`. `date` is as it stands in the file.
    """

    kind: str
    name: str
    at: int
    text: str = ""
    author: str = ""
    date: str = ""
    paragraph: int = 0


class Comment(NamedTuple):
    """A comment: `date` as it stands in the file, `answers` the name of the comment that it replies to, or ""."""

    name: str
    text: str
    author: str = ""
    date: str = ""
    answers: str = ""
    resolved: bool = False


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document; `counted` says how often what was met that is no plain words (a deletion, a comment, a
    macro ...), `first` in which paragraph first. `margins` is what hangs on its words, in order, `said` the comments.
    """

    path: str
    paragraphs: tuple[Paragraph, ...]
    counted: Counter[str] = field(default_factory=Counter)
    first: dict[str, int] = field(default_factory=dict)
    margins: tuple[Margin, ...] = ()
    said: tuple[Comment, ...] = ()

    @property
    def changes(self) -> int:
        """Tracked changes, read as accepted."""
        return self.counted["insertion"] + self.counted["deletion"] + self.counted["move"]

    @property
    def comments(self) -> int:
        """Comments, left out."""
        return self.counted["comment"]


class Writer:
    """Takes paragraphs in one after the other, within bounds."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.paragraphs: list[Paragraph] = []
        self.counted: Counter[str] = Counter()
        self.first: dict[str, int] = {}
        self.margins: list[Margin] = []
        self.said: list[Comment] = []
        self.signs = 0

    @property
    def next_number(self) -> int:
        """The number of the paragraph that comes next."""
        return len(self.paragraphs) + 1

    def count(self, kind: str, times: int = 1) -> None:
        """Something that is no plain words was met in the paragraph that comes next."""
        self.counted[kind] += times
        self.first.setdefault(kind, self.next_number)

    def add(self, paragraph: Paragraph, margins: Iterable[Margin] = ()) -> None:
        """One paragraph more, which gets its number. Raises Refusal where there are too many for any draft."""
        self.margins += [margin._replace(paragraph=self.next_number) for margin in margins]
        self.paragraphs.append(replace(paragraph, number=self.next_number))
        self.signs += sum(len(run.text) for run in paragraph.runs)
        if len(self.paragraphs) > MOST_PARAGRAPHS or self.signs > MOST_SIGNS:
            raise Refusal(
                "this document is longer than any draft: more than half a million paragraphs or 32 million signs",
                path=self.path, remedy="split it into one file for each chapter",
            )  # fmt: skip

    def document(self) -> Document:
        """Everything taken in."""
        return Document(
            self.path, tuple(self.paragraphs), self.counted, self.first, tuple(self.margins), tuple(self.said)
        )


def joined(runs: list[Run]) -> tuple[Run, ...]:
    """Neighbours of one look as one run; empty ones gone."""
    kept: list[Run] = []
    pieces: list[str] = []
    for run in runs:
        if not run.text:
            continue
        if kept and (kept[-1].bold, kept[-1].italic, kept[-1].size) == (run.bold, run.italic, run.size):
            pieces.append(run.text)
            continue
        if kept:
            kept[-1] = Run("".join(pieces), kept[-1].bold, kept[-1].italic, kept[-1].size)
        kept.append(run)
        pieces = [run.text]
    if kept:
        kept[-1] = Run("".join(pieces), kept[-1].bold, kept[-1].italic, kept[-1].size)
    return tuple(kept)
