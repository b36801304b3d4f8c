"""What a change does to the book: sides that flip, spreads and reveals that break, signatures, what would mend it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ledger.model.finding import Finding
from ledger.model.pages import page_numbers
from ledger.model.script import Draft
from ledger.plan.block import Block
from ledger.plan.mending import Mark, Mend, mend
from ledger.plan.numbering import Numbering
from ledger.plan.openings import reveals_in, spreads_in
from ledger.plan.pace import Pace
from ledger.plan.unmarked import Guess


class Placed(NamedTuple):
    """A spread or reveal of the old book: where it was, where it is (None when all of it is gone), whether it holds.

    `new` is "64/66" where a spread is torn apart, "64" where half of it is gone; `why` says what is wrong, `before`
    whether it was so already. `spot` are its new story pages.
    """

    old: str
    new: str | None
    broken: bool
    why: str = ""
    before: bool = False
    spot: tuple[int, ...] = ()


class Redo(NamedTuple):
    """Pages of a pass to make, by their new numbers, with why; `days` at its fastest, usual and slowest pace."""

    pass_name: str
    pages: tuple[int, ...]
    pace: Pace
    why: Mapping[int, str]

    @property
    def days(self) -> tuple[float, float, float | None] | None:
        """Working days, None without a pace."""
        return self.pace.days(len(self.pages))


class InTheWay(NamedTuple):
    """A sign-off that the change runs into: its entry, what it closes, and the pages a slip would have to name."""

    entry: str
    scopes: tuple[str, ...]
    pages: str | None
    why: tuple[str, ...] = ()


class Weight(NamedTuple):
    """The whole answer of `weigh`. `scenes` are concerned, with what becomes of them; `asked` the what-if as typed.

    `guesses` are what drafts without page marks may come to, the old one and the new one.
    """

    old_name: str
    new_name: str
    old: Block
    new: Block
    numbering: Numbering
    flipped: tuple[int, ...]
    spreads: tuple[Placed, ...]
    reveals: tuple[Placed, ...]
    scenes: tuple[tuple[str, str], ...] = ()
    panels: tuple[int, int] = (0, 0)
    redo: tuple[Redo, ...] = ()
    locks: tuple[InTheWay, ...] = ()
    mend: Mend | None = None
    asked: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    guesses: tuple[Guess | None, Guess | None] = (None, None)

    @property
    def broken(self) -> tuple[Placed, ...]:
        """What does not hold any more."""
        return tuple(each for each in (*self.spreads, *self.reveals) if each.broken)


#: First story page of a script page -> the panels on it that reveal something.
Reveals = Mapping[int, Sequence[int]]


def flipped(numbering: Numbering, old: Block, new: Block) -> tuple[int, ...]:
    """Old pages whose side changes: their book page goes from odd to even or back (trade facts T-007, T-009)."""
    step = new.front - old.front
    return tuple(page for page, now in numbering.to.items() if now is not None and (now - page + step) % 2)


def placed_spreads(draft: Draft, numbering: Numbering, old: Block, new: Block) -> tuple[Placed, ...]:
    """Every spread of the old book."""
    return tuple(_spread(page.label, numbering, old, new) for page in spreads_in(draft))


def _spread(label: str, numbering: Numbering, old: Block, new: Block) -> Placed:
    halves = page_numbers(label)
    spot = tuple(now for page in halves if (now := numbering.to.get(page)) is not None)
    before = old.book_page(halves[0]) % 2 == 1
    if not spot:
        return Placed(label, None, True, "it is cut", before)
    if len(spot) < len(halves):
        return Placed(label, "/".join(map(str, spot)), True, "half of it is cut", before, spot)
    if list(spot) != list(range(spot[0], spot[0] + len(spot))):
        why = "other pages stand between its halves" if spot[0] < spot[-1] else "its halves stand in the other order"
        return Placed(label, "/".join(map(str, spot)), True, why, before, spot)
    recto = new.book_page(spot[0]) % 2 == 1
    why = f"{_folio(spot[0], new)} is a recto, {spot[-1]} comes overleaf" if recto else ""
    return Placed(label, f"{spot[0]}-{spot[-1]}", recto, why, before, spot)


def placed_reveals(draft: Draft, now: Reveals, numbering: Numbering, old: Block, new: Block) -> tuple[Placed, ...]:
    """Every page of the old book with a reveal; `now` are the reveals of the new book."""
    return tuple(_reveal(page.label, panels, now, numbering, old, new) for page, panels in reveals_in(draft))


def _reveal(label: str, panels: Sequence[int], now: Reveals, numbering: Numbering, old: Block, new: Block) -> Placed:
    halves = page_numbers(label)
    spot = tuple(page for half in halves if (page := numbering.to.get(half)) is not None)
    before = old.book_page(halves[0]) % 2 == 1 or any(panel != 1 for panel in panels)
    first = spot[0] if spot else None
    there = now.get(first) if first is not None else None
    if first is None or there is None:
        return Placed(label, None, True, "it is cut" if first is None else "the page no longer says [reveal]", before)
    name = f"{spot[0]}-{spot[-1]}" if len(spot) > 1 and spot[-1] == spot[0] + len(spot) - 1 else str(first)
    if new.book_page(first) % 2:
        return Placed(label, name, True, f"{_folio(first, new)} is a recto", before, spot[:1])
    panel = next((panel for panel in there if panel != 1), None)
    why = f"it is panel {panel} of {name}, not the first" if panel else ""
    return Placed(label, name, panel is not None, why, before, spot[:1])


def reveals_of(draft: Draft) -> dict[int, tuple[int, ...]]:
    """The reveals of a draft as they stand in it."""
    return {page_numbers(page.label)[0]: panels for page, panels in reveals_in(draft)}


def carried_reveals(draft: Draft, numbering: Numbering) -> dict[int, tuple[int, ...]]:
    """The reveals of a draft as they would stand with its pages renumbered."""
    told = ((numbering.to.get(page), panels) for page, panels in reveals_of(draft).items())
    return {now: panels for now, panels in told if now is not None}


def mended(placed: Iterable[Placed], new: Block) -> Mend | None:
    """The smallest single add or cut that puts everything left of the spreads and reveals on its side again.

    What is cut can't be mended, nor a reveal that is not the first panel of its page.
    """
    return mend([mark for each in placed if (mark := _mark(each, new))], new)


def _mark(placed: Placed, new: Block) -> Mark | None:
    spot, spread = placed.spot, "-" in placed.old
    if not spot:
        return None
    seated = new.book_page(spot[0]) % 2 == 0
    if placed.new and "/" in placed.new:
        return Mark(spot[0], spot[-1], False, torn=True, seated=seated)
    if spread and len(spot) < len(page_numbers(placed.old)) and placed.broken:
        return None
    return Mark(spot[0], spot[-1], seated)


def _folio(page: int, block: Block) -> str:
    return f"{page} (book page {block.book_page(page)})" if block.front else str(page)
