"""Page pictures of four panels whose history is known, and what is true of notes on them."""

from __future__ import annotations

import copy
import io
import random
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from PIL import Image, ImageDraw

from tests.bench.notes.fate import Fate, fate

SIZE = (200, 300)
#: The corners of the four panels, in parts of the page, in reading order.
CORNERS = ((0.05, 0.04), (0.53, 0.04), (0.05, 0.52), (0.53, 0.52))
WIDE, HIGH = 0.42, 0.44


@dataclass
class Sheet:
    """A page picture: its identity, and which drawing each panel has."""

    id: int
    panels: list[int]


@dataclass(frozen=True)
class Mark:
    """What a note on the pictures points to: a page by identity, a panel (from 1) of it or none, a spot or none."""

    id: int
    panel: int | None = None
    spot: tuple[float, float] | None = None


Round = list[Sheet]


def begin(chance: random.Random, count: int) -> Round:
    """The first round."""
    return [Sheet(n, [chance.randrange(1 << 30) for _ in CORNERS]) for n in range(count)]


def revise(chance: random.Random, rounds: list[Round]) -> Round:
    """The next round: exports are put in and taken out so that the others shift, panels drawn anew, or put back."""
    pages = copy.deepcopy(rounds[-1])
    for _ in range(chance.randint(1, 2)):
        page = chance.choice(pages)
        page.panels[chance.randrange(4)] = chance.randrange(1 << 30)
    if chance.random() < 0.5:
        chance.choice(pages).panels[:] = [chance.randrange(1 << 30) for _ in CORNERS]
    if chance.random() < 0.6:
        _put_back(chance, pages, rounds[0])
    if chance.random() < 0.4 and len(pages) > 4:
        del pages[chance.randrange(len(pages))]
    if chance.random() < 0.7:
        new = Sheet(chance.randrange(100, 1 << 30), [chance.randrange(1 << 30) for _ in CORNERS])
        pages.insert(chance.randrange(len(pages) + 1), new)
    if [page.panels for page in pages] == [page.panels for page in rounds[-1]]:
        # A round of the same pictures is none.
        pages[0].panels[0] = chance.randrange(1 << 30)
    return pages


def _put_back(chance: random.Random, pages: Round, first: Round) -> None:
    known = {page.id: page for page in first}
    other = [page for page in pages if page.id in known and page.panels != known[page.id].panels]
    if other:
        page = chance.choice(other)
        page.panels[:] = known[page.id].panels


def files(pages: Round) -> dict[str, bytes]:
    """The exports of a round."""
    return {f"art/inks/p{number:03d}.png": _picture(tuple(page.panels)) for number, page in enumerate(pages, 1)}


@lru_cache(maxsize=256)
def _picture(panels: tuple[int, ...]) -> bytes:
    page = Image.new("L", SIZE, 255)
    pen = ImageDraw.Draw(page)
    for drawing, (left, top) in zip(panels, CORNERS, strict=True):
        box = (SIZE[0] * left, SIZE[1] * top, SIZE[0] * (left + WIDE), SIZE[1] * (top + HIGH))
        pen.rectangle(box, outline=0, width=2)
        chance = random.Random(drawing)
        for _ in range(9):
            x, y = chance.uniform(box[0] + 6, box[2] - 30), chance.uniform(box[1] + 6, box[3] - 30)
            pen.line((x, y, x + chance.uniform(4, 22), y + chance.uniform(4, 22)), fill=0, width=2)
            pen.ellipse((x, y, x + chance.uniform(4, 20), y + chance.uniform(4, 20)), outline=0)
    out = io.BytesIO()
    page.save(out, "PNG")
    return out.getvalue()


def what_became(mark: Mark, rounds: list[Round]) -> Fate:
    """The truth of a mark between the first and the last of these rounds.

    Where a page went and others were put in between its neighbours, or nothing of a page was left, the page may as well
    be one of these. Where more or fewer such pages stand between them than before, no place at all is right too.
    """
    may_be: set[int | None] = {mark.id}
    lost = False
    for old, new in pairwise(rounds):
        lost = lost or any(_lost(page, old, new) for page in may_be if page is not None)
        may_be = {to for page in may_be for to in (_may_be(page, old, new) if page is not None else [None])}
    was = next(page.panels for page in rounds[0] if page.id == mark.id)
    now = {page.id: page.panels for page in rounds[-1]}
    asked = [mark.panel - 1] if mark.panel else range(4)
    evidence: set[str] = set()
    spots: list[tuple[str, int, str] | None] = []
    for page in may_be:
        if page is None:
            evidence.add("cut")
            spots.append(None)
        else:
            evidence.add("redrawn" if any(was[n] != now[page][n] for n in asked) else "untouched")
            spots.append((labels(rounds[-1])[page], 0 if mark.spot else mark.panel or 0, ""))
    return fate(*evidence, *(["unplaced"] if lost else []), spots=[*spots, *([None] if lost else [])])


def _lost(page: int, old: Round, new: Round) -> bool:
    """Whether nothing is left of a page and its neighbours don't tell which one it is."""
    if _left(page, old, new):
        return False
    ids = [[each.id for each in side] for side in (old, new)]
    at, runs = ids[0].index(page), []
    before = next((each for each in reversed(ids[0][:at]) if _left(each, old, new)), None)
    after = next((each for each in ids[0][at:] if _left(each, old, new)), None)
    for side in ids:
        start = side.index(before) + 1 if before is not None else 0
        runs.append((side.index(after) if after is not None else len(side)) - start)
    return runs[0] != runs[1] and runs[1] > 0


def _left(page: int, old: Round, new: Round) -> bool:
    """Whether a panel of a page is the same in both rounds."""
    before, after = (next((set(each.panels) for each in side if each.id == page), set()) for side in (old, new))
    return bool(before & after)


def _may_be(page: int, old: Round, new: Round) -> list[int | None]:
    """What a page of one round may be in the next."""
    before, after = ({each.id: each for each in side} for side in (old, new))
    there = after.get(page)
    if there is not None and set(before[page].panels) & set(there.panels):
        return [page]
    known = [each.id in before and bool(set(before[each.id].panels) & set(each.panels)) for each in new]
    ids = [each.id for each in old]
    kept = {each.id: n for n, each in enumerate(new) if known[n]}
    low = max((kept[each] for each in ids[: ids.index(page)] if each in kept), default=-1)
    high = min((kept[each] for each in ids[ids.index(page) + 1 :] if each in kept), default=len(new))
    strange: list[int | None] = [new[n].id for n in range(low + 1, high) if not known[n]]
    return [*strange, *([None] if there is None else [page] if page not in strange else [])]


def marks(chance: random.Random, pages: Round, count: int) -> list[tuple[Mark, str]]:
    """Notes on a page, a panel or a spot, each with its anchor as it is typed."""
    found = []
    for _ in range(count):
        page = chance.choice(pages)
        label, panel = pages.index(page) + 1, chance.randint(1, 4)
        left, top = CORNERS[panel - 1]
        spot = (round(left + WIDE * chance.uniform(0.2, 0.8), 2), round(top + HIGH * chance.uniform(0.2, 0.8), 2))
        found.append(chance.choice([
            (Mark(page.id), f"p{label}"),
            (Mark(page.id, panel), f"p{label}.{panel}"),
            (Mark(page.id, panel, spot), f"p{label} @{spot[0]},{spot[1]}"),
        ]))  # fmt: skip
    return found


def labels(pages: Round) -> Mapping[int, str]:
    """Page identity -> label."""
    return {page.id: str(n) for n, page in enumerate(pages, 1)}
