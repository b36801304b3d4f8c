"""Pages and panels of two drafts, paired by what stands on them, never by number alone."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import is_
from typing import NamedTuple

from ledger.compare.bodies import Body, DraftBody
from ledger.compare.chain import heaviest_chain
from ledger.model.change import PageChange, PanelChange
from ledger.model.script import Page

#: Two pages are one only if they share this part of the words of the smaller.
PART = 0.2
#: A tie of less than this part of the strongest one of either page waits until that is settled.
WEAK = 0.5

#: A panel: the place of its page in the draft, its number on it.
Spot = tuple[int, int]
#: An old one and a new one, by their places or numbers.
Pair = tuple[int, int]


class Sheet:
    """A page with its panels and what stands in each; number 0 holds what stands before the first panel."""

    def __init__(self, page: Page, at: int) -> None:
        self.page = page
        self.at = at
        self.panels: dict[int, list[Body]] = {panel.number: [] for panel in page.panels} or (
            {1: []} if page.holds else {}
        )

    @property
    def bodies(self) -> list[Body]:
        """Everything on the page in reading order."""
        return [body for bodies in self.panels.values() for body in bodies]

    @property
    def numbers(self) -> list[int]:
        """Its panels' numbers; a page without panel marks is one panel."""
        return [number for number in self.panels if number]


class Paged(NamedTuple):
    """The pages of a draft, and for every line of it the panel it stands in; None before the first page."""

    sheets: list[Sheet]
    spots: list[Spot | None]


def paged(draft: DraftBody) -> Paged:
    """The pages of a draft; omitted ones take no part."""
    found = [Sheet(page, at) for at, page in enumerate(page for page in draft.draft.pages if not page.omitted)]
    by_label: dict[str | None, Sheet] = {}
    for sheet in found:
        by_label.setdefault(sheet.page.label, sheet)
    spots: list[Spot | None] = []
    before: tuple[str | None, int | None] = (None, None)
    spot: Spot | None = None
    there: list[Body] = []
    for body in draft.bodies:
        line = body.line
        here = (line.page, line.panel)
        if here != before:
            before, on = here, by_label.get(line.page)
            number = line.panel if line.panel is not None else int(on is None or not on.page.panels)
            spot = (on.at, number) if on else None
            there = on.panels.setdefault(number, []) if on else []
        there.append(body)
        spots.append(spot)
    for sheet in found:
        sheet.panels = dict(sorted(sheet.panels.items()))
    return Paged(found, spots)


class PageMatch(NamedTuple):
    """Pages and panels that are each other's, by the places of the pages in their drafts."""

    pages: tuple[tuple[int, int], ...]
    panels: Mapping[Spot, Spot]

    def turned(self) -> "PageMatch":
        """The same, with old and new exchanged."""
        return PageMatch(
            tuple(sorted((b, a) for a, b in self.pages)), {other: one for one, other in self.panels.items()}
        )


def match_pages(old: Paged, new: Paged, new_of: Mapping[Body, Body]) -> PageMatch:
    """Pairs pages by the lines they share, silent ones by their neighbours; then panels in the same way."""
    by_panel = _shared(old, new, new_of)
    weights = {pair: sum(shared.values()) for pair, shared in by_panel.items()}
    pairs = _best(
        {(a, b): w for (a, b), w in weights.items() if _enough(w, old.sheets[a]) or _enough(w, new.sheets[b])}
    )
    for olds, news in list(between(pairs, len(old.sheets), len(new.sheets))):
        pairs |= _best({(a, b): weights[a, b] for a in olds for b in news if (a, b) in weights})
    pairs |= _silent(pairs, (len(old.sheets), len(new.sheets)), lambda side, at: _quiet((old, new)[side].sheets[at]))
    panels: dict[Spot, Spot] = {}
    for a, b in pairs.items():
        for one, other in match_panels(old.sheets[a], new.sheets[b], by_panel.get((a, b), {})).items():
            panels[a, one] = (b, other)
    return PageMatch(tuple(sorted(pairs.items())), panels)


def _shared(old: Paged, new: Paged, new_of: Mapping[Body, Body]) -> dict[Pair, dict[Pair, int]]:
    """What the panels of two pages share, by the places of the pages and the numbers of the panels.

    A line weighs its letters, and five for being there; half of it if it is not quite the same.
    """
    by_spots: dict[tuple[Spot | None, Spot | None], int] = {}
    here, there = old.spots, new.spots
    for body, other in new_of.items():
        one, two = body.key, other.key
        weight = 10 + 2 * len(one[2]) if one is two or one == two else 5 + min(len(one[2]), len(two[2]))
        spots = here[body.at], there[other.at]
        by_spots[spots] = by_spots.get(spots, 0) + weight
    found: dict[Pair, dict[Pair, int]] = {}
    for (home, away), weight in by_spots.items():
        if home is not None and away is not None:
            found.setdefault((home[0], away[0]), {})[home[1], away[1]] = weight
    return found


def _enough(weight: int, sheet: Sheet) -> bool:
    """Whether so much is the least part of what the lines of a page weigh."""
    words = [body.key[2] for bodies in sheet.panels.values() for body in bodies]
    return weight >= PART * (10 * len(words) + 2 * sum(map(len, words)))


def _best(weights: Mapping[Pair, int]) -> dict[int, int]:
    """Pairs with most in common, each side once: rows that kept their order first, so that a page that gave its
    last panel to the next one is still itself; then what moved, the heaviest first.

    Beside a much stronger tie of either page a weak one does not count.
    """
    if len(weights) == len(one_each := dict(weights.keys())) == len(set(one_each.values())):
        return dict(sorted(weights))
    strongest: dict[Pair, int] = defaultdict(int)
    for (a, b), weight in weights.items():
        for end in ((0, a), (1, b)):
            strongest[end] = max(strongest[end], weight)
    found: dict[int, int] = {}
    left = [(a, b) for (a, b), w in weights.items() if w >= WEAK * max(strongest[0, a], strongest[1, b])]
    while left:
        left.sort(key=lambda pair: (pair[0], -pair[1]))
        chain = heaviest_chain([b for _, b in left], [1 + weights[pair] for pair in left])
        found.update(left[i] for i in chain)
        taken = set(found.values())
        left = [(a, b) for a, b in left if a not in found and b not in taken]
    taken = set(found.values())
    for a, b in sorted(weights, key=lambda pair: (-weights[pair], abs(pair[0] - pair[1]), pair)):
        if a not in found and b not in taken:
            found[a] = b
            taken.add(b)
    return found


def _quiet(sheet: Sheet) -> tuple[int, ...] | None:
    """How a page without a word looks (its panels); None where words stand on it."""
    return None if sheet.bodies else tuple(sheet.panels)


def _silent(pairs: Mapping[int, int], sizes: Pair, look: Callable[[int, int], object]) -> dict[int, int]:
    """Pairs what has no words between the same neighbours, the like ones first, then in order.

    `look` says how what stands at a place of the old (0) or new side (1) looks; None where it has words.
    """
    found: dict[int, int] = {}
    for olds, news in between(pairs, *sizes):
        quiet_old = [a for a in olds if look(0, a) is not None]
        quiet_new = [b for b in news if look(1, b) is not None]
        for b in list(quiet_new):
            twin = next((a for a in quiet_old if look(0, a) == look(1, b)), None)
            if twin is not None and len(quiet_old) != len(quiet_new):
                quiet_old.remove(twin)
                quiet_new.remove(b)
                found[twin] = b
        found.update(zip(quiet_old, quiet_new, strict=False))
    return found


def between(pairs: Mapping[int, int], old: int, new: int) -> Iterable[tuple[list[int], list[int]]]:
    """The places without partner between neighbours that kept their order, gap by gap where both sides have any."""
    if len(pairs) == old or len(pairs) == new:
        return
    ordered = sorted(pairs.items())
    chain = heaviest_chain([b for _, b in ordered], [1] * len(ordered))
    taken = set(pairs.values())
    at_old, at_new = 0, 0
    for a, b in [*(ordered[i] for i in sorted(chain)), (old, new)]:
        if at_old < a and at_new < b:
            olds = [i for i in range(at_old, a) if i not in pairs]
            news = [i for i in range(at_new, b) if i not in taken]
            if olds and news:
                yield olds, news
        at_old, at_new = a + 1, b + 1


def match_panels(old: Sheet, new: Sheet, shared: Mapping[Pair, int]) -> dict[int, int]:
    """Panels of two pages that are one page: by what they share, then by their place between paired panels."""
    ones, others = old.numbers, new.numbers
    if len(ones) == len(others) == 1 and (ones[0], others[0]) in shared:
        return {ones[0]: others[0]}
    here, there = ({number: at for at, number in enumerate(numbers)} for numbers in (ones, others))
    weights = {(here[a], there[b]): weight for (a, b), weight in shared.items() if a and b}
    pairs = _best(weights)
    if len(pairs) == len(ones) == len(others):
        return {ones[a]: others[b] for a, b in pairs.items()}
    for olds, news in list(between(pairs, len(ones), len(others))):
        if len(olds) == len(news):
            pairs.update(zip(olds, news, strict=True))
    there_are = (old, ones), (new, others)
    pairs |= _silent(pairs, (len(ones), len(others)), lambda side, at: _wordless(*there_are[side], at))
    return {ones[a]: others[b] for a, b in pairs.items()}


def _wordless(sheet: Sheet, numbers: Sequence[int], at: int) -> tuple[()] | None:
    """How a panel without a word looks; None where words stand in it."""
    return None if sheet.panels[numbers[at]] else ()


def page_changes(
    old: Sequence[Sheet], new: Sequence[Sheet], match: PageMatch, same: Mapping[Body, Body]
) -> tuple[PageChange, ...]:
    """What became of every page, in the new draft's order; a cut page stands where it was.

    `same` holds the pairs of lines of the same words and mouth, wherever they stand.
    """
    partner = {b: old[a] for a, b in match.pages}
    changes = [_told(partner.get(sheet.at), sheet, match, same) for sheet in new]
    place = dict(match.pages)
    for sheet in reversed([sheet for sheet in old if sheet.at not in place]):
        before = [place[at] for at in range(sheet.at) if at in place]
        panels = tuple(PanelChange("cut", number, None) for number in sheet.numbers)
        changes.insert((before[-1] if before else -1) + 1, PageChange("cut", sheet.page.label, None, panels))
    return tuple(changes)


def _told(old: Sheet | None, new: Sheet, match: PageMatch, same: Mapping[Body, Body]) -> PageChange:
    if old is None:
        added = tuple(PanelChange("added", None, number) for number in new.numbers)
        return PageChange("added", None, new.page.label, added)
    panels = _panels(old, new, match, same)
    quiet = all(panel.kind == "kept" for panel in panels) and _equal(old.bodies, new.bodies, same)
    kind = "changed" if not quiet else "kept" if old.page.label == new.page.label else "moved"
    return PageChange(kind, old.page.label, new.page.label, panels)


def _panels(old: Sheet, new: Sheet, match: PageMatch, same: Mapping[Body, Body]) -> tuple[PanelChange, ...]:
    ones, others, partner_of = old.numbers, new.numbers, match.panels
    pairs = {one: partner_of[old.at, one][1] for one in ones if (old.at, one) in partner_of}
    back = {other: one for one, other in pairs.items()}
    rows = [
        PanelChange("added", None, number)
        if number not in back
        else PanelChange(_kind(old.panels[back[number]], new.panels[number], same), back[number], number)
        for number in others
    ]
    if len(pairs) == len(ones):
        return tuple(rows)
    for number in reversed([one for one in ones if one not in pairs]):
        before = [others.index(pairs[one]) for one in ones if one < number and one in pairs]
        rows.insert(max(before, default=-1) + 1, PanelChange("cut", number, None))
    return tuple(rows)


def _kind(old: Sequence[Body], new: Sequence[Body], same: Mapping[Body, Body]) -> str:
    return "kept" if _equal(old, new, same) else "changed"


def _equal(old: Sequence[Body], new: Sequence[Body], same: Mapping[Body, Body]) -> bool:
    return len(old) == len(new) and all(map(is_, map(same.get, old), new))
