"""Flats whose edges are smoothed: colours that are there only because fills were mixed along their borders.

A pixel is *between* when, along its row or its column, the colours on both sides of it differ and its own is a mix of
them (`mixes`). Two equal pixels side by side count as one, so that a page smoothed and then enlarged up to twofold is
known too; a page every pixel of which is repeated so many times is judged at the size it was drawn at. A pixel that
differs from all four around it, three colours among them, is between when it is a mix of those three.

A colour is a *mix* when it covers no 3 x 3 px anywhere on the page and more than half of all its pixels are between. So
a fill whose colour happens to lie between its neighbours' is a fill, as is one that runs thin somewhere; a line or spot
inside one fill is no mix of anything. A colour that is nowhere but one or two pixels wide along a border, and exactly
between the colours on both sides of it, can't be told from smoothing, and counts as such.

Honest flats have few colours and long runs: what is looked at twice are only the ends of short runs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.pictures.returns.colours import Band, bands
from ledger.pictures.returns.mixes import mixes_of_three, mixes_of_two

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Numbers = NDArray[Any]
    Mask = NDArray[np.bool_]

#: Rows above and below a band that are needed to judge it.
_ABOVE, _BELOW = 1, 2
#: From how many equal pixels in a row on a page counts as enlarged; short runs that are weighed at once.
_ENLARGED, _AT_ONCE = 3, 1 << 18


class Smoothed(NamedTuple):
    """The first mixed pixel in reading order, its place from the left and the top from 0, and how many there are."""

    x: int
    y: int
    pixels: int


class _Changes(NamedTuple):
    """Where colours change: from each pixel to the next in its row, and to the one below it."""

    level: Mask
    upright: Mask


class _Runs(NamedTuple):
    """Runs of one or two equal pixels with what lies around them, an array each.

    `places` are those of their first pixels, counted row by row over the page, `on` what leads to their last ones.
    `own` are their colours, `before` and `after` those at their ends, `above` and `under` those beside a run of one
    pixel along a row; elsewhere these two are as `own`.
    """

    places: Numbers
    on: Numbers
    own: Numbers
    before: Numbers
    after: Numbers
    above: Numbers
    under: Numbers


def bands_for_edges(page: Image.Image) -> Iterator[Band]:
    """The bands of a page as `smoothed_edges` looks at them."""
    return bands(page, _ABOVE, _BELOW)


def smoothed_edges(page: Image.Image, passing: Iterable[Band] | None = None) -> Smoothed | None:
    """The mixed pixels of a decoded page ("L" or "RGB"); None for a page whose edges are all hard.

    `passing` are its `bands_for_edges`, where somebody else looks at them too.
    """
    import numpy as np

    columns, rows = np.zeros(page.width, dtype=bool), np.zeros(page.height, dtype=bool)
    found, waiting, many = [], [], 0
    for band in bands_for_edges(page) if passing is None else passing:
        changes = _changes(band.colours)
        at, y = _along(changes.level)
        columns[at - y * page.width + 1] = True
        rows[band.top + 1 : band.top + len(band.colours)] |= changes.upright.any(axis=1)
        runs = [*_in_rows(band, at, y), *_in_columns(band, changes.upright)]
        waiting += runs
        many += sum(len(each.places) for each in runs)
        if many > _AT_ONCE:
            found.append(_between(waiting))
            waiting, many = [], 0
    steps = _step(columns), _step(rows)
    if min(steps) >= _ENLARGED:
        across, down = _kept(columns, steps[0]), _kept(rows, steps[1])
        small = smoothed_edges(_picked(page, across, down))
        return small and _enlarged(small, page, across, down)
    found += [_between(waiting)] if waiting else []
    if not found:
        return None
    places, which = np.unique(np.concatenate([each for each, _ in found]), return_index=True)
    return _first_mixed(page, places, np.concatenate([each for _, each in found])[which])


def _step(changed: Mask) -> int:
    """The width of the steps at which colours change; 1 where they change nowhere or once."""
    import numpy as np

    at = np.flatnonzero(changed)
    return int(np.gcd.reduce(np.diff(at))) if len(at) > 1 else 1


def _kept(changed: Mask, step: int) -> Numbers:
    """The first row or column of each step."""
    import numpy as np

    first = int(changed.argmax()) % step
    return np.concatenate((np.zeros(int(first > 0), dtype=int), np.arange(first, len(changed), step)))


def _picked(page: Image.Image, across: Numbers, down: Numbers) -> Image.Image:
    import numpy as np
    from PIL import Image

    return Image.fromarray(np.ascontiguousarray(np.asarray(page)[down][:, across]))


def _enlarged(small: Smoothed, page: Image.Image, across: Numbers, down: Numbers) -> Smoothed:
    pixels = small.pixels * page.width * page.height // (len(across) * len(down))
    return Smoothed(int(across[small.x]), int(down[small.y]), pixels)


def _changes(colours: Numbers) -> _Changes:
    return _Changes(colours[:, 1:] != colours[:, :-1], colours[1:] != colours[:-1])


def _along(level: Mask) -> tuple[Numbers, Numbers]:
    """Places and rows of the pixels in a band after which the colour changes."""
    import numpy as np

    at = np.flatnonzero(level)
    y = at // max(1, level.shape[1])
    return at + y, y


def _in_rows(band: Band, at: Numbers, y: Numbers) -> Iterator[_Runs]:
    import numpy as np

    flat, wide = band.colours.ravel(), band.colours.shape[1]
    same = (y[1:] == y[:-1]) & (y[1:] >= band.first) & (y[1:] < band.last)
    short = np.flatnonzero((at[1:] - at[:-1] <= 2) & same)
    if not len(short):
        return
    first, last = at[short] + 1, at[short + 1]
    own = flat[first]
    above, under = (
        flat[np.where((first == last) & (beside >= 0) & (beside < len(flat)), beside, first)]
        for beside in (first - wide, first + wide)
    )
    places = first + band.top * wide
    yield _Runs(places, last - first, own, flat[first - 1], flat[last + 1], above, under)


def _in_columns(band: Band, changed: Mask) -> Iterator[_Runs]:
    import numpy as np

    flat, wide, below = band.colours.ravel(), band.colours.shape[1], changed.ravel()
    every = np.flatnonzero(below)
    own = every[(every >= (band.first - 1) * wide) & (every < (band.last - 1) * wide)]
    alone = below.take(own + wide, mode="clip") & (own + wide < len(below))
    pairs = own[~alone]
    pairs = pairs[below.take(pairs + 2 * wide, mode="clip") & (pairs + 2 * wide < len(below))]
    for long, before in ((1, own[alone]), (2, pairs)):
        at = before + wide
        if len(at):
            colour, places = flat[at], at + band.top * wide
            on = np.full(len(at), (long - 1) * wide)
            yield _Runs(places, on, colour, flat[before], flat[at + long * wide], colour, colour)


def _between(waiting: list[_Runs]) -> tuple[Numbers, Numbers]:
    """Places and colours of the pixels that are between, some of them twice."""
    import numpy as np

    runs = _Runs(*(np.concatenate(each) for each in zip(*waiting, strict=True)))
    mixed = mixes_of_two(runs.before, runs.own, runs.after)
    lone = np.flatnonzero(~mixed & (runs.own != runs.above) & (runs.own != runs.under))
    mixed[lone] = _of_three(_Runs(*(each[lone] for each in runs)))
    places, on, own = runs.places[mixed], runs.on[mixed], runs.own[mixed].astype(np.uint32)
    return np.concatenate((places, places + on)), np.concatenate((own, own))


def _of_three(runs: _Runs) -> Mask:
    """Whether they mix three of the four around them."""
    import numpy as np

    mixed = np.zeros(len(runs.own), dtype=bool)
    for three in combinations((runs.before, runs.after, runs.above, runs.under), 3):
        mixed |= mixes_of_three(*three, runs.own)
    return mixed


def _first_mixed(page: Image.Image, places: Numbers, colours: Numbers) -> Smoothed | None:
    """The first of the pixels that are between whose colour is a mix."""
    import numpy as np

    if not len(places):
        return None
    known, several = np.unique(colours, return_counts=True)
    everywhere, laid = _counted(page, known)
    at = places[np.isin(colours, known[~laid & (2 * several > everywhere)])]
    if not len(at):
        return None
    y, x = divmod(int(at.min()), page.width)
    return Smoothed(x, y, len(at))


def _counted(page: Image.Image, known: Numbers) -> tuple[Numbers, Mask]:
    """How often each of these colours (in order) is on the page, and whether it covers 3 x 3 px anywhere."""
    import numpy as np

    several, laid = np.zeros(len(known), dtype=np.int64), np.zeros(len(known), dtype=bool)
    for band in bands_for_edges(page):
        flat, wide = band.colours.ravel(), band.colours.shape[1]
        changes = _changes(band.colours)
        starts = _run_starts(changes.level, wide)
        number, there = _numbers(flat[starts].astype(np.uint32), known)
        long = np.diff(starts, append=len(flat))
        own = there & (starts >= band.first * wide) & (starts < band.last * wide)
        several += np.bincount(number[own], long[own], len(known)).astype(np.int64)
        covered = np.logical_or.reduceat(_covered(changes, band.colours.shape), starts)
        laid[number[there & covered]] = True
    return several, laid


def _run_starts(changed: Mask, wide: int) -> Numbers:
    """Places where runs of equal px begin, row by row."""
    import numpy as np

    begins = np.ones((len(changed), wide), dtype=bool)
    begins[:, 1:] = changed
    return np.flatnonzero(begins)


def _numbers(colours: Numbers, known: Numbers) -> tuple[Numbers, Mask]:
    """Which of the known ones each colour is, and whether it is one."""
    import numpy as np

    at = np.minimum(np.searchsorted(known, colours), len(known) - 1)
    return at, known[at] == colours


def _covered(changes: _Changes, shape: tuple[int, ...]) -> Mask:
    """The pixels in the middle of 3 x 3 equal ones, row by row."""
    import numpy as np

    middle = np.zeros(shape, dtype=bool)
    if min(shape) >= 3:
        level = ~(changes.level[:, 1:] | changes.level[:, :-1])
        upright = ~(changes.upright[1:, 1:-1] | changes.upright[:-1, 1:-1])
        middle[1:-1, 1:-1] = level[2:] & level[1:-1] & level[:-2] & upright
    return middle.ravel()
