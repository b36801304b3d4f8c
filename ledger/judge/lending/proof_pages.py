"""A proof's sheets, each with the pages that it may show, set against what was delivered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from ledger.judge.lending.proofs import astray, blanks_between, by_place, not_there, runs, settled
from ledger.model.pages import page_numbers
from ledger.model.proof import Astray, Run

#: Pass and label of a page.
Place = tuple[str, str]
#: A sheet that shows one tone only is bare paper where that is lighter than this.
_PAPER = 128


class View(NamedTuple):
    """What is seen on a sheet, or on half of one that holds facing pages.

    `places` are the pages that it may show, `flat` its tone where it shows nothing else, `turned` the kind of `Astray`
    that says how, `entry` the delivery that the first of its pages went out with, `older` whether another state of it
    was delivered since, `likest` the page that it is like where it shows none.
    """

    sheet: int
    places: tuple[Place, ...] = ()
    flat: float | None = None
    turned: str = ""
    entry: str = ""
    older: bool = False
    likest: Place | None = None
    unread: bool = False


class Judged(NamedTuple):
    """`pages` in the order in which they are expected, the page on every view ("" for none), and what is to be said.

    Where passes of a delivery hold the same pages and the proof has each pass by itself, a page is `12 (inks)`.
    """

    pages: tuple[str, ...]
    shown: tuple[str, ...]
    blank: frozenset[int]
    runs: tuple[Run, ...]


def likeliest(expected: Sequence[Sequence[Place]], views: Sequence[View]) -> int:
    """Which of several sets of pages a proof is of: the one with the fewest pages missing and sheets too many."""
    seen = {place for view in views for place in view.places[:1]}

    def misses(places: Sequence[Place]) -> int:
        whole = set(_halved(places, views))
        labels = {label for _, label in seen}
        return sum(label not in labels for _, label in whole) + sum(place not in whole for place in seen)

    return min(range(len(expected)), key=lambda at: misses(expected[at]))


def judged(places: Sequence[Place], views: Sequence[View]) -> Judged:
    """What is wrong with a proof of these pages (in the order of the book, pass by pass where they share labels)."""
    names = _names(_halved(places, views), views)
    pages = _with_the_cover(list(dict.fromkeys(names.values())), names, views)
    may_be = [tuple(dict.fromkeys(names[place] for place in view.places if place in names)) for view in views]
    loose = [at for at, view in enumerate(views) if view.flat is not None]
    found = settled(pages, may_be, loose=loose)
    blank = {at for at in loose if found[at] is None and (views[at].flat or 0) >= _PAPER}
    read = [at for at, view in enumerate(views) if not view.unread and at not in blank]
    told = [_placed(each, views, read, names) for each in astray(pages, [found[at] for at in read])]
    told += _turned(views, found)
    told = _with_unread(told, pages, views, found)
    by_sheet = {views[at].sheet: page for at, page in enumerate(found) if page}
    told += blanks_between(by_sheet, sorted({views[at].sheet for at in blank}))
    blank_sheets = frozenset(views[at].sheet for at in blank)
    return Judged(tuple(pages), tuple(page or "" for page in found), blank_sheets, runs(list(by_place(told)), pages))


def _halved(places: Sequence[Place], views: Sequence[View]) -> list[Place]:
    """The places, a spread as two pages where the proof has it on two sheets."""
    seen = {place for view in views for place in view.places}
    found: list[Place] = []
    for pass_name, label in places:
        halves = [(pass_name, str(number)) for number in page_numbers(label)]
        split = len(halves) == 2 and (pass_name, label) not in seen and any(half in seen for half in halves)
        found += halves if split else [(pass_name, label)]
    return found


def _names(places: Sequence[Place], views: Sequence[View]) -> dict[Place, str]:
    """What a page is called: its label, with its pass where the proof has pages of several passes under one label."""
    passes: dict[str, set[str]] = defaultdict(set)
    seen: dict[str, set[str]] = defaultdict(set)
    for pass_name, label in places:
        passes[label].add(pass_name)
    for view in views:
        for pass_name, label in view.places[:1]:
            seen[label].add(pass_name)
    shared = [label for label, own in passes.items() if len(own) > 1]
    apart = sum(len(seen[label]) > 1 for label in shared) * 2 > len(shared)
    if not (shared and apart):
        return {place: place[1] for place in places}
    # Whichever pass the printer has first: neither comes before the other.
    came = [pass_name for view in views for pass_name, _ in view.places[:1]]
    order = list(dict.fromkeys([*came, *(pass_name for pass_name, _ in places)]))
    ranked = sorted(places, key=lambda place: order.index(place[0]))
    return {place: f"{place[1]} ({place[0]})" if len(passes[place[1]]) > 1 else place[1] for place in ranked}


def _with_the_cover(pages: list[str], names: dict[Place, str], views: Sequence[View]) -> list[str]:
    """The pages, the cover last where it is on the last sheet that is known: a cover goes to the press by itself."""
    known = [names[place] for view in views for place in view.places[:1] if place in names]
    if "cover" in pages and known and known[-1] == "cover" and known.count("cover") == 1:
        return [*(page for page in pages if page != "cover"), "cover"]
    return pages


def _placed(each: Astray, views: Sequence[View], read: Sequence[int], names: dict[Place, str]) -> Astray:
    """The same with the numbers of the sheets, and the page that a sheet not known is like."""
    view = views[read[each.sheet - 1]] if each.sheet else None
    also = views[read[each.also - 1]].sheet if each.also else 0
    like = view.likest if view and each.kind == "unknown" else None
    beside = view.places[0][1] if view and each.kind == "unknown" and view.places else ""
    other = (names.get(like, like[1]) if like else "") or each.other
    entry = view.entry if view and beside else ""
    return each._replace(sheet=view.sheet if view else 0, also=also, other=beside or other, entry=entry)


def _turned(views: Sequence[View], found: Sequence[str | None]) -> list[Astray]:
    return [
        Astray(kind, page, view.sheet, entry=view.entry if kind == "older" else "")
        for view, page in zip(views, found, strict=True)
        for kind in (view.turned, "older" if view.older else "")
        if kind and page
    ]


def _with_unread(
    told: list[Astray], pages: Sequence[str], views: Sequence[View], found: Sequence[str | None]
) -> list[Astray]:
    """The same with the pages that may be on a sheet that was not read, and the unread sheets that hold none."""
    unread = [view.sheet for view in views if view.unread]
    beside = [each.sheet for kind in ("unknown", "doubled") for each in told if each.kind == kind]
    missing = [each for each in told if each.kind == "missing"]
    astray_ = {page for each in told if each.kind in ("swapped", "out-of-order") for page in (each.page, each.other)}
    seen = {view.sheet: page for view, page in zip(views, found, strict=True) if page not in astray_}
    settled_ = not_there(missing, pages, seen, unread, beside)
    used = {each.sheet for each in settled_ if each.kind == "not-read"}
    others = [Astray("unread", "", sheet) for sheet in unread if sheet not in used]
    return [*(each for each in told if each.kind != "missing"), *settled_, *others]
