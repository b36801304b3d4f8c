"""Stretches of gutter: narrow bands of ground, level or upright, that run straight between two things drawn.

Every column of the small page is read for runs of ground no wider than a gutter; runs that go on in the next column
make a stretch, and the stretch's slope is that of the line through its middle. So slanted gutters cost no search, and
the white between strokes, which starts and ends anywhere, makes no stretches.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]
    Numbers = NDArray[Any]

#: The steepest slope of a gutter, about 17 degrees, and how far from one column to the next its edges may step, in px.
STEEPEST, _STEP = 0.3, 1
#: Columns that dust or a thin line may hide.
_BRIDGED = 3
#: How many times a crooked chain is split.
_BENDS = 3


class Stretch(NamedTuple):
    """A stretch of gutter along x: where it begins and ends, y of its middle at x = 0 and a px on, how wide it is."""

    first: float
    last: float
    at: float
    slope: float
    wide: float

    def middle(self, x: float) -> float:
        """The y of its middle at x."""
        return self.at + self.slope * x


def stretches(slices: Mask, least: float, most: float, short: float) -> list[Stretch]:
    """The stretches in ground of which each row of `slices` is one cut across: the columns of a page for level ones,
    its rows for upright ones. `least` to `most` px wide and at least `short` px long."""
    import numpy as np

    places, starts, ends = _runs(_closed(slices), least, most)
    if not len(places):
        return []
    root = _chains(places, starts, ends, slices.shape[1] + 2)
    kept = np.flatnonzero(np.bincount(root, minlength=len(root)) >= 0.8 * short)
    first = np.empty_like(root)
    first[root[::-1]] = np.arange(len(root))[::-1]
    rise = np.abs(starts[kept] + ends[kept] - starts[first[kept]] - ends[first[kept]]) / 2
    kept = kept[rise <= 2 * STEEPEST * (places[kept] - places[first[kept]])]
    number = np.full(len(root), -1)
    number[kept] = np.arange(len(kept))
    chain = number[root]
    there = chain >= 0
    return _fitted(chain[there], places[there], starts[there], ends[there], len(kept), short)


def _closed(slices: Mask) -> Mask:
    """The ground without gaps of a px or two from slice to slice: those between strokes that end at a panel's side."""
    drawn = ~slices
    near = drawn.copy()
    near[1:] |= drawn[:-1]
    closed = slices.copy()
    closed[1:-2] &= ~(near[:-3] & near[3:])
    return closed


def _runs(slices: Mask, least: float, most: float) -> tuple[Numbers, Numbers, Numbers]:
    """Runs of ground in each slice that something drawn bounds on both sides: slice, start, end."""
    import numpy as np

    count, long = slices.shape
    padded = np.zeros((count, long + 2), dtype=bool)
    padded[:, 1:-1] = slices
    flat = padded.ravel()
    steps = np.flatnonzero(flat[1:] != flat[:-1])
    starts, length = steps[::2], steps[1::2] - steps[::2]
    good = (length >= least) & (length <= most)
    places, start = np.divmod(starts[good], long + 2)
    end = start + length[good]
    inner = (start > 0) & (end < long)
    return places[inner], start[inner], end[inner]


def _chains(columns: Numbers, starts: Numbers, ends: Numbers, stride: int) -> Numbers:
    """For every run the last one of the chain it belongs to."""
    import numpy as np

    keys = columns * stride + starts
    follow = np.arange(len(keys))
    taken = np.zeros(len(keys), dtype=bool)
    loose = follow
    for step in range(1, _BRIDGED + 2):
        near = np.searchsorted(keys, keys[loose] + step * stride - _STEP)
        for extra in (0, 1):
            other = np.minimum(near + extra, len(keys) - 1)
            fits = (
                (columns[other] == columns[loose] + step)
                & (np.abs(starts[other] - starts[loose]) <= _STEP)
                & (np.abs(ends[other] - ends[loose]) <= _STEP)
                & ~taken[other]
            )
            follow[loose[fits]] = other[fits]
            taken[other[fits]] = True
        loose = loose[follow[loose] == loose]
    while True:
        further = follow[follow]
        if (further == follow).all():
            return follow
        follow = further


class _Fit(NamedTuple):
    """Straight lines of least squares through chains, an entry for each: first and last column, and how far off."""

    first: Numbers
    last: Numbers
    at: Numbers
    slope: Numbers
    wide: Numbers
    off: Numbers


def _fitted(
    chain: Numbers,
    columns: Numbers,
    starts: Numbers,
    ends: Numbers,
    count: int,
    short: float,
) -> list[Stretch]:
    """A straight line through each chain; crooked ones are split where they bend, steep and short ones left out."""
    import numpy as np

    if not count:
        return []
    x, y, wide = (
        columns.astype(float),
        (starts + ends - 1) / 2,
        (ends - starts).astype(float),
    )
    fit = _fit(chain, x, y, wide, count)
    for _ in range(_BENDS):
        bent = (fit.off > _straight(fit.wide)) & (fit.last - fit.first >= 2 * short)
        if not bent.any():
            break
        chain, count = _split(chain, x, y, bent, count)
        fit = _fit(chain, x, y, wide, count)
    good = (np.abs(fit.slope) <= STEEPEST) & (fit.off <= _straight(fit.wide)) & (fit.last - fit.first + 1 >= short)
    return [
        Stretch(
            float(fit.first[n]),
            float(fit.last[n]) + 1,
            float(fit.at[n]),
            float(fit.slope[n]),
            float(fit.wide[n]),
        )
        for n in np.flatnonzero(good).tolist()
    ]


def _straight(wide: Numbers) -> Numbers:
    """How far off a line its runs may lie on average."""
    import numpy as np

    return np.asarray(np.maximum(0.8, 0.15 * wide))


def _fit(chain: Numbers, x: Numbers, y: Numbers, wide: Numbers, count: int) -> _Fit:
    import numpy as np

    def mean(values: Numbers) -> Numbers:
        return np.asarray(np.bincount(chain, values, count) / n)

    n = np.maximum(np.bincount(chain, minlength=count), 1)
    mean_x, mean_y = mean(x), mean(y)
    dx, dy = x - mean_x[chain], y - mean_y[chain]
    slope = mean(dx * dy) / np.maximum(mean(dx * dx), 1e-9)
    off = np.sqrt(mean((dy - slope[chain] * dx) ** 2))
    first, last = np.full(count, np.inf), np.full(count, -1.0)
    np.minimum.at(first, chain, x)
    np.maximum.at(last, chain, x)
    return _Fit(first, last, mean_y - slope * mean_x, slope, mean(wide), off)


def _split(chain: Numbers, x: Numbers, y: Numbers, bent: Mask, count: int) -> tuple[Numbers, int]:
    """Bent chains in two, where they lie farthest from the line between their ends."""
    import numpy as np

    those = np.flatnonzero(bent[chain])
    order = those[np.lexsort((x[those], chain[those]))]
    of = chain[order]
    begins = np.flatnonzero(np.append(True, of[1:] != of[:-1]))
    finishes = np.append(begins[1:], len(of)) - 1
    group = np.cumsum(np.append(0, of[1:] != of[:-1]))
    x0, y0, x1, y1 = (
        x[order][begins],
        y[order][begins],
        x[order][finishes],
        y[order][finishes],
    )
    lean = (y1 - y0) / np.maximum(x1 - x0, 1)
    far = np.abs(y[order] - y0[group] - lean[group] * (x[order] - x0[group]))
    worst = np.lexsort((far, group))[finishes]
    beyond = x[order] >= x[order][worst][group]
    chain = chain.copy()
    chain[order[beyond]] = count + group[beyond]
    return chain, count + len(begins)
