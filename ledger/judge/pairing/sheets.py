"""A draft laid out as sheets: its pages, the panels on them, the lines in each, in the form in which they are set
against each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import NamedTuple

from ledger.model.script import Draft, Line, Page
from ledger.model.words import normalise

_EDGES = ".,;:!?\"'()[]-"


class Told(NamedTuple):
    """A line with who says it (by the names of the later draft) and its words in the form that is compared."""

    line: Line
    speaker: str
    words: str

    @property
    def key(self) -> tuple[str, str, str]:
        """Two lines of equal keys are the same line."""
        return (self.line.role, self.speaker, self.words)

    @property
    def mouth(self) -> tuple[str, str]:
        """Who or what says it: dialogue, caption or sound, and whose."""
        return (self.line.role, self.speaker)


class Slot:
    """A panel with its lines; number 0 holds what stands on a page before its first panel mark."""

    __slots__ = ("_print", "line", "number", "page", "path", "told")

    def __init__(self, page: str | None, number: int, told: tuple[Told, ...], path: str, line: int) -> None:
        self.page, self.number, self.told, self.path, self.line = page, number, told, path, line
        self._print: tuple[tuple[str, str, str], ...] | None = None

    @property
    def lettered(self) -> list[Told]:
        """Dialogue, captions and sounds."""
        return [each for each in self.told if each.line.role != "action"]

    @property
    def action(self) -> list[Told]:
        """What the panel shows."""
        return [each for each in self.told if each.line.role == "action"]

    @property
    def print(self) -> tuple[tuple[str, str, str], ...]:
        """Everything in it, as it is compared."""
        if self._print is None:
            self._print = tuple([(each.line.role, each.speaker, each.words) for each in self.told])
        return self._print

    @property
    def mouths(self) -> tuple[tuple[str, str], ...]:
        """Who speaks in it, in order."""
        return tuple(each.mouth for each in self.lettered)


class Sheet:
    """A page, or what stands before the first page mark (`page` None)."""

    __slots__ = ("_bag", "_print", "page", "slots")

    def __init__(self, page: Page | None, slots: tuple[Slot, ...]) -> None:
        self.page, self.slots = page, slots
        self._bag: Counter[str] | None = None
        self._print: tuple[tuple[tuple[str, str, str], ...], ...] | None = None

    @property
    def label(self) -> str | None:
        """The page's number as a label."""
        return self.page.label if self.page else None

    @property
    def print(self) -> tuple[tuple[tuple[str, str, str], ...], ...]:
        """Everything on it, as it is compared."""
        if self._print is None:
            self._print = tuple([slot.print for slot in self.slots])
        return self._print

    @property
    def bag(self) -> Counter[str]:
        """Its words, counted; action too, because it tells one page from another."""
        if self._bag is None:
            self._bag = bag_of(each for slot in self.slots for each in slot.told)
        return self._bag


@lru_cache(maxsize=1 << 16)
def _compared(text: str) -> str:
    """The form in which words are compared; both sides of a comparison hold mostly the same ones."""
    return normalise(text)


def bag_of(told: Iterable[Told]) -> Counter[str]:
    """The words of lines, counted, without the signs around them; words of action are not those of a balloon."""
    bag: Counter[str] = Counter()
    for each in told:
        words = filter(None, (word.strip(_EDGES) for word in each.words.split()))
        bag.update(words if each.line.lettered else (f"[{word}" for word in words))
    return bag


def likeness(one: Counter[str], other: Counter[str]) -> float:
    """Share of words in common, 0 to 1, by the longer side."""
    longer = max(one.total(), other.total())
    return (one & other).total() / longer if longer else 0.0


def sheets_of(draft: Draft, name_now: Callable[[str], str] = str) -> list[Sheet]:
    """The sheets of a draft in reading order; `name_now` gives a speaker the name of the draft it is set against."""
    by_page: dict[str | None, list[Told]] = {}
    for line in draft.lines:
        told = Told(line, name_now(line.speaker), _compared(line.text))
        by_page.setdefault(line.page, []).append(told)
    front = by_page.pop(None, [])
    sheets = [Sheet(None, (_slot(None, 0, front),))] if front else []
    sheets += [_sheet(page, by_page.get(page.label, [])) for page in draft.pages if not page.omitted]
    return sheets


def _sheet(page: Page, told: list[Told]) -> Sheet:
    if not page.panels:
        return Sheet(page, (_slot(page.label, 1, told, page),) if told or page.holds else ())
    by_panel: dict[int, list[Told]] = {}
    for each in told:
        by_panel.setdefault(each.line.panel or 0, []).append(each)
    before = [_slot(page.label, 0, by_panel[0], page)] if 0 in by_panel else []
    marks = [
        Slot(page.label, mark.number, tuple(by_panel.get(mark.number, ())), mark.path, mark.line)
        for mark in page.panels
    ]
    return Sheet(page, (*before, *marks))


def _slot(label: str | None, number: int, told: list[Told], page: Page | None = None) -> Slot:
    first = page or told[0].line
    return Slot(label, number, tuple(told), first.path, first.line)
