"""Pages of a proof against the pages that were delivered: missing, doubled, swapped, out of order, not known."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import NamedTuple


class Astray(NamedTuple):
    """One thing about a proof.

    `kind` is missing, doubled, swapped, out-of-order or unknown. `page` is the page of the book, "" for a sheet that is
    known as none. `sheet` counts from 1, 0 where there is none. `other` is the page it was swapped with. `unsure` says
    that the page may be on a sheet that was not known.
    """

    kind: str
    page: str
    sheet: int = 0
    other: str = ""
    unsure: bool = False


def astray(delivered: Sequence[str], seen: Sequence[str | None]) -> list[Astray]:
    """What is wrong with the sheets of a proof, first by sheet, then the missing pages in the order of the book.

    `delivered` are the pages in their order, each once; `seen` the page on every sheet, None where it is not known. A
    page that was not delivered counts as not known.
    """
    place = {page: at for at, page in enumerate(delivered)}
    known = [(sheet, page) for sheet, page in enumerate(seen, 1) if page is not None and page in place]
    unknown = [Astray("unknown", "", sheet) for sheet, page in enumerate(seen, 1) if page is None or page not in place]
    kept = _kept(known, place)
    doubled = [Astray("doubled", page, sheet) for sheet, page in known if kept[page] != sheet]
    found = [*unknown, *doubled, *_order(kept, place)]
    missing = [Astray("missing", page, unsure=bool(unknown)) for page in delivered if page not in kept]
    return [*sorted(found, key=lambda each: each.sheet), *missing]


def _kept(known: Sequence[tuple[int, str]], place: Mapping[str, int]) -> dict[str, int]:
    """Page -> the sheet that counts as it: of several the one that keeps the order, else the first."""
    steady = {known[at] for at in _rising([place[page] for _, page in known])}
    kept = {page: sheet for sheet, page in reversed(known)}
    kept.update({page: sheet for sheet, page in steady})
    return kept


def _order(kept: Mapping[str, int], place: Mapping[str, int]) -> list[Astray]:
    """Two pages that stand in each other's place are one thing; of the others the fewest that must be put elsewhere."""
    want = sorted(kept, key=place.__getitem__)
    have = sorted(kept, key=kept.__getitem__)
    due = {page: at for at, page in enumerate(want)}
    pairs = [(at, due[page]) for at, page in enumerate(have) if at < due[page] and have[due[page]] == want[at]]
    swapped = [Astray("swapped", have[there], kept[have[there]], have[here]) for here, there in pairs]
    for here, there in pairs:
        have[here], have[there] = have[there], have[here]
    steady = set(_rising([due[page] for page in have]))
    return swapped + [Astray("out-of-order", page, kept[page]) for at, page in enumerate(have) if at not in steady]


def _rising(numbers: Sequence[int]) -> list[int]:
    """The places of a longest strictly rising row, by patience sorting."""
    ends: list[int] = []
    places: list[int] = []
    before: list[int] = []
    for at, number in enumerate(numbers):
        pile = bisect_left(ends, number)
        before.append(places[pile - 1] if pile else -1)
        ends[pile : pile + 1] = [number]
        places[pile : pile + 1] = [at]
    row = [places[-1]] if places else []
    while row and before[row[-1]] >= 0:
        row.append(before[row[-1]])
    return row[::-1]
