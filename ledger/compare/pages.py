"""Pages and panels of two drafts, paired by what stands on them, never by number alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
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


class Sheet:
    """A page with its panels and what stands in each; number 0 holds what stands before the first panel."""

    def __init__(self, page: Page, at: int) -> None:
        self.page = page
        self.at = at
        self.panels: dict[int, list[Body]] = {}

    @property
    def bodies(self) -> list[Body]:
        """Everything on the page in reading order."""
        return [body for bodies in self.panels.values() for body in bodies]

    @property
    def numbers(self) -> list[int]:
        """Its panels' numbers; a page without panel marks is one panel."""
        return [number for number in self.panels if number]


def sheets(draft: DraftBody) -> list[Sheet]:
    """The pages of a draft; omitted ones take no part."""
    found = [Sheet(page, 0) for page in draft.draft.pages if not page.omitted]
    by_label: dict[str, Sheet] = {}
    for at, sheet in enumerate(found):
        sheet.at = at
        sheet.panels = {panel.number: [] for panel in sheet.page.panels} or ({1: []} if sheet.page.holds else {})
        by_label.setdefault(sheet.page.label, sheet)
    for body in draft.bodies:
        on = by_label.get(body.line.page or "")
        if on is not None:
            number = body.line.panel if body.line.panel is not None else (0 if on.page.panels else 1)
            on.panels.setdefault(number, []).append(body)
    for sheet in found:
        sheet.panels = dict(sorted(sheet.panels.items()))
    return found


class PageMatch(NamedTuple):
    """Pages and panels that are each other's, by the places of the pages in their drafts."""

    pages: tuple[tuple[int, int], ...]
    panels: Mapping[Spot, Spot]

    def turned(self) -> PageMatch:
        """The same, with old and new exchanged."""
        return PageMatch(
            tuple(sorted((b, a) for a, b in self.pages)), {other: one for one, other in self.panels.items()}
        )


def match_pages(old: Sequence[Sheet], new: Sequence[Sheet], new_of: Mapping[Body, Body]) -> PageMatch:
    """Pairs pages by the lines they share, silent ones by their neighbours; then panels in the same way."""
    home = {body: sheet for sheet in new for body in sheet.bodies}
    weights: dict[tuple[int, int], float] = defaultdict(float)
    for sheet in old:
        for body in sheet.bodies:
            there = home.get(new_of[body]) if body in new_of else None
            if there is not None:
                weights[sheet.at, there.at] += _weight(body, new_of[body])
    enough = {(a, b): w for (a, b), w in weights.items() if w >= PART * min(_size(old[a]), _size(new[b]))}
    pairs = _best(enough)
    for olds, news in list(between(pairs, len(old), len(new))):
        pairs |= _best({(a, b): weights[a, b] for a in olds for b in news if (a, b) in weights})
    pairs |= _silent(pairs, [_quiet(s) for s in old], [_quiet(s) for s in new])
    panels: dict[Spot, Spot] = {}
    for a, b in pairs.items():
        for one, other in match_panels(old[a], new[b], new_of).items():
            panels[a, one] = (b, other)
    return PageMatch(tuple(sorted(pairs.items())), panels)


def _weight(old: Body, new: Body) -> float:
    size = 1 + min(len(old.key[2]), len(new.key[2])) / 5
    return size if old.key == new.key else size / 2


def _size(sheet: Sheet) -> float:
    return sum(1 + len(body.key[2]) / 5 for body in sheet.bodies)


def _best(weights: Mapping[tuple[int, int], float]) -> dict[int, int]:
    """Pairs with most in common, each side once: rows that kept their order first, so that a page that gave its
    last panel to the next one is still itself; then what moved, the heaviest first.

    Beside a much stronger tie of either page a weak one does not count.
    """
    if len(weights) == len({a for a, _ in weights}) == len({b for _, b in weights}):
        return dict(sorted(weights))
    strongest: dict[tuple[int, int], float] = defaultdict(float)
    for (a, b), weight in weights.items():
        for end in ((0, a), (1, b)):
            strongest[end] = max(strongest[end], weight)
    found: dict[int, int] = {}
    left = [(a, b) for (a, b), w in weights.items() if w >= WEAK * max(strongest[0, a], strongest[1, b])]
    while left:
        left.sort(key=lambda pair: (pair[0], -pair[1]))
        chain = heaviest_chain([b for _, b in left], [1 + round(1000 * weights[pair]) for pair in left])
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


def _silent(pairs: Mapping[int, int], old: Sequence[object], new: Sequence[object]) -> dict[int, int]:
    """Pairs what has no words between the same neighbours, the like ones first, then in order."""
    found: dict[int, int] = {}
    for olds, news in between(pairs, len(old), len(new)):
        quiet_old = [a for a in olds if old[a] is not None]
        quiet_new = [b for b in news if new[b] is not None]
        for b in list(quiet_new):
            twin = next((a for a in quiet_old if old[a] == new[b]), None)
            if twin is not None and len(quiet_old) != len(quiet_new):
                quiet_old.remove(twin)
                quiet_new.remove(b)
                found[twin] = b
        found.update(zip(quiet_old, quiet_new, strict=False))
    return found


def between(pairs: Mapping[int, int], old: int, new: int) -> Iterable[tuple[list[int], list[int]]]:
    """The places without partner between neighbours that kept their order, gap by gap."""
    ordered = sorted(pairs.items())
    chain = heaviest_chain([b for _, b in ordered], [1] * len(ordered))
    taken = set(pairs.values())
    at_old, at_new = 0, 0
    for a, b in [*(ordered[i] for i in sorted(chain)), (old, new)]:
        yield [i for i in range(at_old, a) if i not in pairs], [i for i in range(at_new, b) if i not in taken]
        at_old, at_new = a + 1, b + 1


def match_panels(old: Sheet, new: Sheet, new_of: Mapping[Body, Body]) -> dict[int, int]:
    """Panels of two pages that are one page: by their lines, then by their place between paired panels."""
    ones, others = old.numbers, new.numbers
    where = {body: others.index(number) for number in others for body in new.panels[number]}
    weights: dict[tuple[int, int], float] = defaultdict(float)
    for i, number in enumerate(ones):
        for body in old.panels[number]:
            there = where.get(new_of[body]) if body in new_of else None
            if there is not None:
                weights[i, there] += _weight(body, new_of[body])
    pairs = _best(weights)
    if len(pairs) == len(ones) == len(others):
        return {ones[a]: others[b] for a, b in pairs.items()}
    for olds, news in list(between(pairs, len(ones), len(others))):
        if len(olds) == len(news):
            pairs.update(zip(olds, news, strict=True))
    quiet = [[() if not side.panels[n] else None for n in numbers] for side, numbers in ((old, ones), (new, others))]
    pairs |= _silent(pairs, quiet[0], quiet[1])
    return {ones[a]: others[b] for a, b in pairs.items()}


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
    quiet = _equal(old.bodies, new.bodies, same) and all(panel.kind == "kept" for panel in panels)
    kind = "changed" if not quiet else "kept" if old.page.label == new.page.label else "moved"
    return PageChange(kind, old.page.label, new.page.label, panels)


def _panels(old: Sheet, new: Sheet, match: PageMatch, same: Mapping[Body, Body]) -> tuple[PanelChange, ...]:
    pairs = {one: match.panels[old.at, one][1] for one in old.numbers if (old.at, one) in match.panels}
    back = {other: one for one, other in pairs.items()}
    rows = [
        PanelChange("added", None, number)
        if number not in back
        else PanelChange(_kind(old.panels[back[number]], new.panels[number], same), back[number], number)
        for number in new.numbers
    ]
    for number in reversed([one for one in old.numbers if one not in pairs]):
        before = [new.numbers.index(pairs[one]) for one in old.numbers if one < number and one in pairs]
        rows.insert(max(before, default=-1) + 1, PanelChange("cut", number, None))
    return tuple(rows)


def _kind(old: Sequence[Body], new: Sequence[Body], same: Mapping[Body, Body]) -> str:
    return "kept" if _equal(old, new, same) else "changed"


def _equal(old: Sequence[Body], new: Sequence[Body], same: Mapping[Body, Body]) -> bool:
    return len(old) == len(new) and all(same.get(a) is b for a, b in zip(old, new, strict=True))
