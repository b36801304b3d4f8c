"""The wallchart: every page of every drawn pass in one word each."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ledger.judge.agreed.closed import Closing, closings
from ledger.judge.resting.upstream import pictures_in
from ledger.model.book import Pass
from ledger.model.entry import Entry, Round
from ledger.model.pages import label_order, page_numbers
from ledger.model.stale import Stale
from ledger.model.standing import Away

#: What a page of a pass can be, the first that fits.
STATES = ("missing", "stale", "locked", "entered", "none")


class Cell(NamedTuple):
    """A page of a pass: its state, and how many different pictures of it were entered."""

    state: str
    round: int


class Row(NamedTuple):
    """A page with a cell for every pass, and how many notes on it wait for somebody."""

    page: str
    cells: Mapping[str, Cell]
    notes: int = 0


class Wall(NamedTuple):
    """The whole answer of `wallchart`; `chapter` is the one chosen, as a person calls it, "" for the whole book.

    `away` is with helpers.
    """

    title: str
    passes: tuple[str, ...]
    rows: tuple[Row, ...]
    stale: Stale = Stale()
    chapter: str = ""
    away: tuple[Away, ...] = ()


def halves(label: str) -> list[str]:
    """The pages of a label one by one: a spread is two, front and back matter and the cover stand for themselves."""
    return [str(number) for number in page_numbers(label)] or [label]


class Column:
    """One pass of the wallchart."""

    def __init__(self, pass_: Pass, entries: Iterable[Entry], there: Iterable[str], stale: Stale) -> None:
        kept = list(entries)
        mine = sorted(
            (e for e in kept if isinstance(e, Round) and e.pass_name == pass_.name), key=lambda entry: entry.number
        )
        held = [_by_page(pictures_in(entry, pass_)) for entry in mine]
        self.name = pass_.name
        self.entered = held[-1] if held else {}
        self.there = {page for label in there for page in halves(label)}
        self.stale = {page for label in stale.labels(pass_.name) for page in halves(label)}
        self.closed = [c for c in closings(kept, kept) if c.lock.pass_name == pass_.name]
        self.rounds = _rounds(held)

    def cell(self, page: str) -> Cell:
        """What a page is in this pass."""
        return Cell(self._state(page), self.rounds.get(page, 0))

    def _state(self, page: str) -> str:
        if page in self.entered and page not in self.there:
            return "missing"
        if page in self.stale:
            return "stale"
        if any(_holds(closing, page) for closing in self.closed):
            return "locked"
        return "entered" if page in self.entered else "none"


def _holds(closing: Closing, page: str) -> bool:
    closed = any(closing.closes(scope, page) for scope in closing.lock.scopes)
    return closed and not closing.opened_by(page)


def _by_page(pictures: Mapping[str, str]) -> dict[str, str]:
    return {page: oid for label, oid in pictures.items() for page in halves(label)}


def _rounds(held: Sequence[Mapping[str, str]]) -> dict[str, int]:
    """Page -> how many different pictures of it were entered; one that went on to another page is counted there."""
    seen: dict[str, set[str]] = {}
    for pictures in held:
        for page, oid in pictures.items():
            seen.setdefault(page, set()).add(oid)
    now = {oid: page for page, oid in (held[-1] if held else {}).items()}
    newest = held[-1] if held else {}
    return {page: sum(oid == newest.get(page) or oid not in now for oid in oids) for page, oids in seen.items()}


def wall_pages(story: Iterable[int], columns: Iterable[Column]) -> list[str]:
    """Every page of the wallchart in order: the story pages, and what other pages have a picture."""
    others = {page for column in columns for page in (*column.entered, *column.there)}
    return sorted({*map(str, story), *others}, key=label_order)
