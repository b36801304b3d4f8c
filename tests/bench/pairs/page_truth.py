"""What became of pages and panels, by the lines that stand on them; only where that leaves one reading."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from tests.bench.pairs.script import Typed
from tests.bench.pairs.story import Row, Story

#: So many times more must be shared with the right one than with the next.
CLEAR = 1.5
#: A pair shares at least this part of the smaller one.
PART = 0.2

Place = TypeVar("Place", str, int)


@dataclass(frozen=True)
class PanelTruth:
    """A panel of a page pair by its numbers, 0 where it is not; unpaired ones may be paired with each other."""

    old: int
    new: int
    kinds: frozenset[str]


@dataclass(frozen=True)
class PageTruth:
    """A page by its labels, "" where it is not, and the kinds that are right; panels of a pair."""

    old: str
    new: str
    kinds: frozenset[str]
    panels: tuple[PanelTruth, ...] = ()


@dataclass
class Shared(Generic[Place]):
    """Words that two pages, or two panels, have in common by the rows that stand on both."""

    weights: dict[tuple[Place, Place], float]

    def put(self, old: Place, new: Place, row: Row) -> None:
        """Counts a row."""
        self.weights[old, new] = self.weights.get((old, new), 0) + 1 + row.size

    @property
    def of_old(self) -> set[Place]:
        """What of the old draft has anything in common with the new one."""
        return {a for a, _ in self.weights}

    @property
    def of_new(self) -> set[Place]:
        """What of the new draft has anything in common with the old one."""
        return {b for _, b in self.weights}

    def is_clear(self, old: Place, new: Place, weight: float) -> bool:
        """Whether neither has nearly so much in common with any other."""
        rivals = (other for (a, b), other in self.weights.items() if (a == old) != (b == new))
        return weight >= CLEAR * max(rivals, default=0)


@dataclass
class Laid:
    """Rows of a draft by page and panel."""

    pages: dict[str, dict[int, list[Row]]] = field(default_factory=lambda: defaultdict(lambda: defaultdict(list)))

    def size(self, page: str) -> float:
        """Words on a page."""
        return sum(1 + row.size for rows in self.pages[page].values() for row in rows)


def laid(story: Story, spots: Typed) -> Laid:
    """A story by its pages."""
    found = Laid()
    for row in story.rows():
        spot = spots.spots[row.id]
        found.pages[spot.page][spot.panel].append(row)
    return found


def page_truth(old: Story, new: Story, before: Typed, after: Typed, required: set[int]) -> list[PageTruth]:
    """Pages that have one clear partner, and pages none of whose lines is found again."""
    ones, others = laid(old, before), laid(new, after)
    where = {row: (spot.page, spot.panel) for row, spot in after.spots.items()}
    shared, ties = Shared[str]({}), Shared[str]({})
    for page, panels in ones.pages.items():
        for row in (row for rows in panels.values() for row in rows):
            if row.id in where:
                ties.put(page, where[row.id][0], row)
            if row.id in required:
                shared.put(page, where[row.id][0], row)
    clear = {
        a: b for (a, b), weight in shared.weights.items()
        if ties.is_clear(a, b, weight) and weight >= PART * min(ones.size(a), others.size(b))
    }  # fmt: skip
    names = old.names, new.names
    found = [_pair(a, b, ones.pages[a], others.pages[b], required, names) for a, b in clear.items()]
    tied_old, tied_new = ties.of_old, ties.of_new
    found += [PageTruth(a, "", frozenset({"cut"})) for a in ones.pages if a not in tied_old]
    found += [PageTruth("", b, frozenset({"added"})) for b in others.pages if b not in tied_new]
    return found


def _pair(
    a: str, b: str, old: Mapping[int, list[Row]], new: Mapping[int, list[Row]], required: set[int],
    names: tuple[list[str], list[str]],
) -> PageTruth:  # fmt: skip
    where = {row.id: number for number, rows in new.items() for row in rows}
    shared, ties = Shared[int]({}), Shared[int]({})
    for number, row in ((number, row) for number, rows in old.items() for row in rows if row.id in where):
        ties.put(number, where[row.id], row)
        if row.id in required:
            shared.put(number, where[row.id], row)
    panels = tuple(_panels(old, new, shared, ties, names))
    flat = [[[_mark(row) for row in rows] for rows in side.values()] for side in (old, new)]
    quiet = "kept" if a == b else "moved"
    if flat[0] != flat[1]:
        return PageTruth(a, b, frozenset({"changed"}), panels)
    same = all(renamed_alike(row, names) for rows in old.values() for row in rows)
    return PageTruth(a, b, frozenset({quiet} if same else {quiet, "changed"}), panels)


def _panels(
    old: Mapping[int, list[Row]], new: Mapping[int, list[Row]], shared: Shared[int], ties: Shared[int],
    names: tuple[list[str], list[str]],
) -> Iterable[PanelTruth]:  # fmt: skip
    for (a, b), weight in shared.weights.items():
        if ties.is_clear(a, b, weight):
            yield PanelTruth(a, b, _panel_kinds(old[a], new[b], names))
    yield from (PanelTruth(a, 0, frozenset({"cut"})) for a in old if a not in ties.of_old)
    yield from (PanelTruth(0, b, frozenset({"added"})) for b in new if b not in ties.of_new)


def _panel_kinds(old: list[Row], new: list[Row], names: tuple[list[str], list[str]]) -> frozenset[str]:
    if [_mark(row) for row in old] != [_mark(row) for row in new]:
        return frozenset({"changed"})
    return frozenset({"kept"} if all(renamed_alike(row, names) for row in old) else {"kept", "changed"})


def renamed_alike(row: Row, names: tuple[list[str], list[str]]) -> bool:
    """Whether a row that did not change mentions nobody who has another name now."""
    return all(f"@{n}@" not in row.text for n, (a, b) in enumerate(zip(*names, strict=True)) if a != b)


def _mark(row: Row) -> tuple[int, int, str]:
    return row.id, row.who, row.text.casefold()
