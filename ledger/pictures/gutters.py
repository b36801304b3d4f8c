"""Gutters of a drawn page: the ground that is reached from the page's edge, and the straight bands of it that part
one panel from the next.

A band counts though a balloon or a figure stands in it, but on both sides it must be held by what is drawn, and no
thin line may run through it near its ends: that would be the frame of a panel whose own white this is.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]

#: Which share of a band must be ground at least; the rest are balloons and figures that cross it.
CLEAR = 0.6
#: Which share of a band's length must have something drawn beside it, on either side.
HELD = 0.8
#: Slopes that are tried: up to 0.3, about 17 degrees.
STEEPEST, STEP = 0.3, 0.005


class Cut(NamedTuple):
    """A band from `start` to `end` (rows, at the middle of the region) that falls by `slope` px a px."""

    start: int
    end: int
    slope: float
    weight: float


def reached(ground: Mask) -> Mask:
    """The part of the ground that is connected with the page's edge."""
    import numpy as np

    rows, columns = _runs(ground), _runs(ground.T).T
    marked = np.zeros_like(ground)
    for side in (np.s_[0, :], np.s_[-1, :], np.s_[:, 0], np.s_[:, -1]):
        marked[side] = ground[side]
    known = -1
    while (count := int(marked.sum())) != known:
        known = count
        for runs in (rows, columns):
            hit = np.zeros(int(runs.max()) + 1, dtype=bool)
            hit[runs[marked]] = True
            marked = hit[runs] & ground
    return marked


def _runs(ground: Mask) -> NDArray[Any]:
    """A number for every run of ground along a row."""
    import numpy as np

    starts = ground.copy()
    starts[:, 1:] &= ~ground[:, :-1]
    return np.asarray(np.cumsum(starts, dtype=np.int32).reshape(ground.shape))


def strips(ground: Mask, thick: int, long: int) -> Mask:
    """Ground that lies in a strip, level or upright: a piece of gutter that balloons at its ends cut off."""
    import numpy as np

    lengths = []
    for mask in (ground, ground.T):
        runs = _runs(mask)
        sizes = np.bincount(runs[mask], minlength=int(runs.max()) + 1)
        lengths.append(np.where(mask, sizes[runs], 0))
    level, upright = lengths[0], lengths[1].T
    return ((level <= thick) & (upright >= long)) | ((upright <= thick) & (level >= long))


def best_cut(
    ground: Mask,
    inside: Mask,
    least: int,
    most: int,
    *,
    held: float = HELD,
    clear: float = CLEAR,
    slanted: bool = False,
) -> Cut | None:
    """The clearest band from side to side that parts a region into an upper and a lower piece.

    `least` and `most` are how wide a gutter is in px, `held` which share of it has something drawn beside it, `clear`
    which share is ground. Level bands unless `slanted`.
    """
    import numpy as np

    slopes = [0.0]
    if slanted:
        steps = np.arange(STEP, STEEPEST + STEP / 2, STEP)
        slopes = [float(slope) for step in steps for slope in (step, -step)]
    best: Cut | None = None
    for slope in slopes:
        for cut in _bands(ground, inside, slope, (least, most), clear):
            if (best is None or cut.weight > best.weight) and _stands(ground, inside, cut, least, held):
                best = cut
    return best


def sides(shape: tuple[int, int], cut: Cut) -> tuple[Mask, Mask]:
    """Which pixels lie above the band and which below."""
    import numpy as np

    drop = _drop(shape[1], cut.slope)
    level = np.arange(shape[0])[:, None] - drop[None, :]
    return level < cut.start, level >= cut.end


def _drop(width: int, slope: float) -> NDArray[Any]:
    import numpy as np

    return np.asarray(np.rint((np.arange(width) - width / 2) * slope).astype(np.int32))


def _bands(ground: Mask, inside: Mask, slope: float, width: tuple[int, int], clear: float) -> Iterator[Cut]:
    """Runs of levels that are mostly ground, with something above and below."""
    import numpy as np

    if slope:
        ground, inside, slope_now = ground[:, 1::3], inside[:, 1::3], slope * 3
        high, wide = ground.shape
        level = np.arange(high, dtype=np.int32)[:, None] - _drop(wide, slope_now)[None, :]
        low = int(level.min())
        level = level - low
        size = int(level.max()) + 1
        total = np.bincount(level[inside], minlength=size)
        hit = np.bincount(level[inside & ground], minlength=size)
    else:
        low, total, hit = 0, inside.sum(axis=1), (inside & ground).sum(axis=1)
    share = np.where(total > 0.3 * total.max(), hit / np.maximum(total, 1), 0)
    marks = np.diff(np.concatenate(([0], (share >= clear).astype(np.int8), [0])))
    starts, ends = np.flatnonzero(marks == 1), np.flatnonzero(marks == -1)
    drawn = np.cumsum(total - hit)
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        enough = 0.02 * drawn[-1]
        if width[0] <= end - start <= width[1] and drawn[start] > enough and drawn[-1] - drawn[end - 1] > enough:
            middle = float(share[start:end].mean())
            yield Cut(start + low, end + low, slope, min(end - start, 5 * width[0]) * middle**3)


def _stands(ground: Mask, inside: Mask, cut: Cut, least: int, held: float) -> bool:
    """Whether a band is a gutter: held on both sides, and no frame runs through it near its ends."""
    import numpy as np

    band, there = _levels(ground, inside, cut, cut.start, cut.end)
    columns = there.any(axis=0)
    if columns.sum() < 4 * least:
        return False
    for start, end in ((cut.start - 2 * least, cut.start), (cut.end, cut.end + 2 * least)):
        beside, valid = _levels(ground, inside, cut, start, end)
        touched = np.asarray((~beside & valid).any(axis=0))
        if touched[columns].mean() < held:
            return False
    through = (~band & there).sum(axis=0)[columns] >= 0.8 * there.sum(axis=0)[columns]
    return not _framed(np.flatnonzero(through), len(through), least)


def _framed(through: NDArray[Any], length: int, least: int) -> bool:
    """Whether a thin line runs through the band near either end; near one alone it is a balloon's."""
    import numpy as np

    if not len(through):
        return False
    runs = np.split(through, np.flatnonzero(np.diff(through) > 1) + 1)
    near = max(2 * least, round(0.05 * length))
    thin = [run for run in runs if len(run) <= 2 * least]
    return any(run[0] < near for run in thin) and any(run[-1] >= length - near for run in thin)


def _levels(ground: Mask, inside: Mask, cut: Cut, start: int, end: int) -> tuple[Mask, Mask]:
    """The pixels from one level to another, laid level, and which of them lie in the region."""
    import numpy as np

    high, wide = ground.shape
    rows = np.arange(start, end)[:, None] + _drop(wide, cut.slope)[None, :]
    within = (rows >= 0) & (rows < high)
    rows = np.clip(rows, 0, high - 1)
    columns = np.arange(wide)[None, :]
    return ground[rows, columns], inside[rows, columns] & within
