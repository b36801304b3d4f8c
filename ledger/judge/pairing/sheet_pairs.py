"""Pages and panels of two drafts paired by what stands on them, never by number alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from ledger.judge.pairing.in_order import best_in_order, longest_rising
from ledger.judge.pairing.sheets import Sheet, Slot, bag_of, likeness

#: Shares of words in common (common practice, no source): below the first, likeness says nothing about a page under
#: its own number, below the second about one under another; from the third on a page or panel found out of its order
#: is the same one, carried.
_PAGE_LIKE, _PAGE_LIKE_ELSEWHERE, _CARRIED_LIKE = 0.3, 0.4, 0.6
#: A panel in its own place is known again by half its words, in another place only by three quarters.
_PANEL_LIKE, _PANEL_LIKE_ELSEWHERE = 0.5, 0.75


Print = tuple[tuple[tuple[str, str, str], ...], ...]


class SheetPair(NamedTuple):
    """A page on both sides, or on one; `carried` is whether it left its order."""

    old: Sheet | None
    new: Sheet | None
    carried: bool = False


class SlotPair(NamedTuple):
    """A panel on both sides, or on one, with the pages that it stands on; of one that was carried, where it is now."""

    old: Slot | None
    new: Slot | None
    sheets: SheetPair
    carried: bool = False

    @property
    def alike(self) -> bool:
        """Whether everything in the panel is the same on both sides, as it is compared."""
        return self.old is not None and self.new is not None and self.old.print == self.new.print

    @property
    def home(self) -> str | None:
        """The page it stands on now, by the number that was signed off."""
        here = self.sheets.old or self.sheets.new
        return here.label if here else None


def pair_sheets(old: Sequence[Sheet], new: Sequence[Sheet]) -> list[SheetPair]:
    """Every page of both sides once: paired ones in the new order, then those cut."""
    partner, carried = _anchored(old, new)
    _pair_between(old, new, partner, carried)
    taken = set(partner.values()) | set(carried.values())
    _pair_leftovers(old, new, partner, carried, taken)
    by_new = {j: (i, False) for i, j in partner.items()} | {j: (i, True) for i, j in carried.items()}
    pairs = []
    for j, sheet in enumerate(new):
        i, away = by_new.get(j, (None, False))
        pairs.append(SheetPair(old[i] if i is not None else None, sheet, away))
    gone = [SheetPair(sheet, None) for i, sheet in enumerate(old) if i not in partner and i not in carried]
    return pairs + gone


def _anchored(old: Sequence[Sheet], new: Sequence[Sheet]) -> tuple[dict[int, int], dict[int, int]]:
    """Pages that are the same word for word: those in order, and those that left it.

    From both ends on pages are the same ones while nothing differs; between, a page that stands once on each side
    is known anywhere.
    """
    prints, prints_now = [s.print for s in old], [s.print for s in new]
    first, last = _same_ends(prints, prints_now)
    ends = {i: i for i in range(first)} | {len(old) - n: len(new) - n for n in range(1, last + 1)}
    left, right = range(first, len(old) - last), range(first, len(new) - last)
    before, after = Counter(prints[i] for i in left), Counter(prints_now[j] for j in right)
    place = {prints_now[j]: j for j in right if after[prints_now[j]] == 1}
    once = [(i, place[s]) for i in left if (s := prints[i]) in place and before[s] == 1 and old[i].bag]
    kept = longest_rising([j for _, j in once])
    in_order = {i: j for n, (i, j) in enumerate(once) if n in kept}
    return ends | in_order, {i: j for n, (i, j) in enumerate(once) if n not in kept}


def _same_ends(old: Sequence[Print], new: Sequence[Print]) -> tuple[int, int]:
    """How many pages are the same from the beginning on, and from the end back."""
    most = min(len(old), len(new))
    first = next((n for n in range(most) if old[n] != new[n]), most)
    last = next((n for n in range(most - first) if old[-1 - n] != new[-1 - n]), most - first)
    return first, last


def _pair_between(old: Sequence[Sheet], new: Sequence[Sheet], partner: dict[int, int], carried: dict[int, int]) -> None:
    """Pairs what stands between the anchors, in order."""
    away = set(carried.values())
    anchors = [(-1, -1), *sorted(partner.items()), (len(old), len(new))]
    for (i, j), (k, m) in pairwise(anchors):
        left = [x for x in range(i + 1, k) if x not in carried]
        right = [x for x in range(j + 1, m) if x not in away]
        here, there = [old[x] for x in left], [new[x] for x in right]
        partner.update((left[a], right[b]) for a, b in _in_order(here, there))


def _in_order(old: Sequence[Sheet], new: Sequence[Sheet]) -> list[tuple[int, int]]:
    pairs = list(zip(old, new, strict=False))
    if len(old) == len(new) and all(surely_same(a, b) for a, b in pairs):
        return [(i, i) for i in range(len(old))]
    same_shapes = len(old) == len(new) and all(_shape(a) == _shape(b) for a, b in pairs)
    elsewhere = _PANEL_LIKE_ELSEWHERE if same_shapes else _PAGE_LIKE_ELSEWHERE
    return best_in_order(len(old), len(new), lambda i, j: _alike(old[i], new[j], elsewhere))


def surely_same(old: Sheet, new: Sheet) -> bool:
    """Whether most words of a page are those of the page in the same place: no other page is asked then."""
    return (old.page is None) == (new.page is None) and likeness(old.bag, new.bag) >= _CARRIED_LIKE


def _shape(sheet: Sheet) -> list[tuple[tuple[str, str], ...]]:
    """Who speaks in each panel of a page."""
    return [slot.mouths for slot in sheet.slots]


def _alike(old: Sheet, new: Sheet, elsewhere: float) -> float:
    """How well two pages pair: by words first, then by who speaks where, then by number.

    `elsewhere` is the likeness from which on a page is known again under another number.
    """
    if (old.page is None) != (new.page is None):
        return 0.0
    like = likeness(old.bag, new.bag)
    shape = _shape(old)
    same_shape = any(shape) and shape == _shape(new)
    here = old.label == new.label
    floor = _PAGE_LIKE if here else elsewhere
    return (like if like >= floor else 0.0) + 0.01 + 0.02 * here + 0.1 * same_shape


def _pair_leftovers(
    old: Sequence[Sheet],
    new: Sequence[Sheet],
    partner: dict[int, int],
    carried: dict[int, int],
    taken: set[int],
) -> None:
    for i, sheet in enumerate(old):
        if i in partner or i in carried:
            continue
        likes = [(likeness(sheet.bag, new[j].bag), -j) for j in range(len(new)) if j not in taken]
        like, j = max(likes, default=(0.0, 0))
        if like >= _CARRIED_LIKE:
            carried[i] = -j
            taken.add(-j)


def pair_slots(pairs: Sequence[SheetPair]) -> list[SlotPair]:
    """Every panel of both sides once; one that went to another place is paired with itself there."""
    found: list[SlotPair] = []
    gone: list[tuple[Slot, SheetPair]] = []
    come: list[tuple[Slot, SheetPair]] = []
    for pair in pairs:
        old, new = (pair.old.slots if pair.old else ()), (pair.new.slots if pair.new else ())
        matched = _slots_in_order(old, new)
        found += [SlotPair(old[i], new[j], pair) for i, j in matched]
        if len(matched) < max(len(old), len(new)):
            kept, kept_now = {i for i, _ in matched}, {j for _, j in matched}
            gone += [(s, pair) for i, s in enumerate(old) if i not in kept]
            come += [(s, pair) for j, s in enumerate(new) if j not in kept_now]
    return found + _carried_slots(gone, come)


def _slots_in_order(old: Sequence[Slot], new: Sequence[Slot]) -> list[tuple[int, int]]:
    if len(old) == len(new) and all(a.number == b.number and a.print == b.print for a, b in zip(old, new, strict=True)):
        return [(i, i) for i in range(len(old))]
    bags, bags_now = [bag_of(s.told) for s in old], [bag_of(s.told) for s in new]
    if len(old) == len(new) and all(map(_surely_same_slot, old, new, bags, bags_now)):
        return [(i, i) for i in range(len(old))]

    def worth(i: int, j: int) -> float:
        if (old[i].number == 0) != (new[j].number == 0):
            return 0.0
        like = likeness(bags[i], bags_now[j])
        floor = _PANEL_LIKE if old[i].number == new[j].number else _PANEL_LIKE_ELSEWHERE
        same_mouths = bool(old[i].mouths) and old[i].mouths == new[j].mouths
        here = old[i].number == new[j].number
        return (like if like >= floor else 0.0) + 0.01 + 0.02 * here + 0.1 * same_mouths

    return best_in_order(len(old), len(new), worth)


def _surely_same_slot(old: Slot, new: Slot, bag: Counter[str], bag_now: Counter[str]) -> bool:
    return old.number == new.number and (old.print == new.print or likeness(bag, bag_now) >= _CARRIED_LIKE)


def _carried_slots(gone: list[tuple[Slot, SheetPair]], come: list[tuple[Slot, SheetPair]]) -> list[SlotPair]:
    """Panels left over: those found again elsewhere, then those cut, then those added."""
    pairs: list[SlotPair] = []
    waiting = list(come)
    for slot, pair in gone:
        bag = bag_of(slot.told)
        likes = [(likeness(bag, bag_of(other.told)), -n) for n, (other, _) in enumerate(waiting) if other.number]
        like, n = max(likes, default=(0.0, 0))
        if slot.number and like >= _CARRIED_LIKE:
            other, there = waiting.pop(-n)
            pairs.append(SlotPair(slot, other, there, carried=True))
        else:
            pairs.append(SlotPair(slot, None, pair))
    return pairs + [SlotPair(None, slot, pair) for slot, pair in waiting]
