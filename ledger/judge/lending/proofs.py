"""Pages of a proof against the pages that were delivered: missing, doubled, swapped, out of order, not known."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence

from ledger.model.pages import page_numbers
from ledger.model.proof import Astray, Run


def astray(delivered: Sequence[str], seen: Sequence[str | None]) -> list[Astray]:
    """What is wrong with the sheets of a proof, first by sheet, then the missing pages in the order of the book.

    `delivered` are the pages in their order, each once; `seen` the page on every sheet, None where it is not known. A
    page that was not delivered counts as not known.
    """
    place = {page: at for at, page in enumerate(delivered)}
    known = [(sheet, page) for sheet, page in enumerate(seen, 1) if page is not None and page in place]
    unknown = [Astray("unknown", "", sheet) for sheet, page in enumerate(seen, 1) if page is None or page not in place]
    kept = _kept(known, place)
    doubled = [Astray("doubled", page, sheet, also=kept[page]) for sheet, page in known if kept[page] != sheet]
    found = [*unknown, *doubled, *_order(kept, place)]
    missing = [Astray("missing", page, unsure=bool(unknown)) for page in delivered if page not in kept]
    return [*sorted(found, key=lambda each: each.sheet), *missing]


def _kept(known: Sequence[tuple[int, str]], place: Mapping[str, int]) -> dict[str, int]:
    """Page -> the sheet that counts as it: of several the first that keeps the order, else the first."""
    steady = {known[~at] for at in _rising([-place[page] for _, page in reversed(known)])}
    kept = {page: sheet for sheet, page in reversed(known)}
    kept.update({page: sheet for sheet, page in steady})
    return kept


def _order(kept: Mapping[str, int], place: Mapping[str, int]) -> list[Astray]:
    """Two pages that stand in each other's place are one thing; of the others the fewest that must be put elsewhere."""
    want = sorted(kept, key=place.__getitem__)
    have = sorted(kept, key=kept.__getitem__)
    due = {page: at for at, page in enumerate(want)}
    stands_after = dict(zip(have, ["", *have], strict=False))
    pairs = [(at, due[page]) for at, page in enumerate(have) if at < due[page] and have[due[page]] == want[at]]
    swapped = [
        Astray("swapped", have[there], kept[have[there]], have[here], also=kept[have[here]]) for here, there in pairs
    ]
    for here, there in pairs:
        have[here], have[there] = have[there], have[here]
    steady = set(_rising([due[page] for page in have]))
    return swapped + [
        Astray("out-of-order", page, kept[page], after=stands_after[page], due=want[due[page] - 1] if due[page] else "")
        for at, page in enumerate(have)
        if at not in steady
    ]


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


# -- sheets that may be one of several pages, and bare ones


def settled(delivered: Sequence[str], seen: Sequence[Sequence[str]], *, loose: Sequence[int] = ()) -> list[str | None]:
    """The page on every sheet, of several that it may be the one whose turn it is, else one that is on no other sheet.

    `loose` are sheets (from 0) that show nothing: they are one of their pages only where that page's turn is.
    """
    place = {page: at for at, page in enumerate(delivered)}
    found: list[str | None] = [pages[0] if len(pages) == 1 and at not in loose else None
                               for at, pages in enumerate(seen)]  # fmt: skip
    taken = {page for page in found if page is not None}
    for at, pages in enumerate(seen):
        if found[at] is not None or not pages:
            continue
        before, after = _around(found, place, at)
        free = [page for page in pages if page in place and page not in taken]
        fit = [page for page in free if before < place[page] < after]
        if fit or (at not in loose):
            found[at] = min(fit, key=place.__getitem__) if fit else next(iter(free), pages[0])
            taken.add(found[at] or "")
    return found


def _around(found: Sequence[str | None], place: Mapping[str, int], at: int) -> tuple[int, int]:
    """The places of the pages on the nearest sheets before and after."""
    before = next((place[page] for page in reversed(found[:at]) if page and page in place), -1)
    after = next((place[page] for page in found[at + 1 :] if page and page in place), len(place))
    return before, after


def not_there(
    missing: Sequence[Astray], delivered: Sequence[str], seen: Mapping[int, str | None], unread: Sequence[int],
    beside: Sequence[int] = (),
) -> list[Astray]:  # fmt: skip
    """Missing pages, those as not read for which a sheet that could not be read lies where they belong, others with
    the sheet that is none of the pages, or a page once too often, and does (`also`).

    `seen` is the page on every sheet by its number, of those that stand in their place; `unread` and `beside` are the
    numbers of sheets that could not be read, and that are none of the pages or one too many, the likeliest first.
    """
    gone = {each.page: each for each in missing}
    there = {page: sheet for sheet, page in reversed(list(seen.items())) if page is not None}
    blind, strange = sorted(unread), list(beside)
    found = []
    for at, page in enumerate(delivered):
        if page not in gone:
            continue
        first = next((there[other] for other in reversed(delivered[:at]) if other in there), 0)
        last = next((there[other] for other in delivered[at + 1 :] if other in there), 1 << 30)
        if fit := _taken(blind, first, last):
            found.append(gone[page]._replace(kind="not-read", sheet=fit, unsure=False))
        elif fit := _taken(strange, first, last):
            found.append(gone[page]._replace(also=fit))
        else:
            found.append(gone[page]._replace(unsure=gone[page].unsure or bool(unread)))
    return found


def _taken(sheets: list[int], first: int, last: int) -> int:
    """The first sheet between two others, which is taken away; 0 for none."""
    fit = next((sheet for sheet in sheets if first < sheet < last), 0)
    if fit:
        sheets.remove(fit)
    return fit


def blanks_between(seen: Mapping[int, str | None], blank: Sequence[int]) -> list[Astray]:
    """Bare sheets that stand between two pages of the story: what follows changes sides. Those of an even number in a
    row don't, and stand where nothing was meant to be all the same."""
    found = []
    for sheet in blank:
        before = next((page for number, page in reversed(list(seen.items())) if number < sheet and page), None)
        after = next((page for number, page in seen.items() if number > sheet and page), None)
        if before and after and page_numbers(before) and page_numbers(after):
            found.append(Astray("blank", "", sheet, after=before, due=after))
    return found


# -- one thing said once


def runs(found: Sequence[Astray], delivered: Sequence[str]) -> tuple[Run, ...]:
    """What is the same about pages that follow each other, put together."""
    place = {page: at for at, page in enumerate(delivered)}
    rows: list[list[Astray]] = []
    for each in found:
        if rows and _goes_on(rows[-1][-1], each, place):
            rows[-1].append(each)
        else:
            rows.append([each])
    return tuple(Run(tuple(row)) for row in rows)


def _goes_on(one: Astray, other: Astray, place: Mapping[str, int]) -> bool:
    if one.kind != other.kind or one.unsure != other.unsure or one.entry != other.entry:
        return False
    if one.kind == "blank":
        return other.sheet == one.sheet + 1
    if one.kind == "unread":
        return True
    if one.kind == "unknown":
        return other.sheet == one.sheet + 1 and not (one.other or other.other)
    follows = place.get(other.page, -1) == place.get(one.page, -3) + 1
    if one.kind == "missing":
        return follows and bool(one.also) == bool(other.also) and other.also - one.also in (0, 1)
    if one.kind == "not-read":
        return follows and other.sheet - one.sheet in (0, 1)
    if one.kind == "swapped" and place.get(other.other, -1) != place.get(one.other, -3) + 1:
        return False
    return follows and other.sheet - one.sheet in (0, 1)


def by_place(found: Sequence[Astray]) -> Iterator[Astray]:
    """First what stands on a sheet, by sheet, then what is on none."""
    yield from sorted((each for each in found if each.sheet), key=lambda each: (each.sheet, each.kind))
    yield from (each for each in found if not each.sheet)
