"""Straight lines in a picture, level ones (upright ones in the turned picture): where they are drawn, and what they
enclose."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]
    Numbers = NDArray[Any]

#: Holes in a line that count as drawn, in px.
_HOLE = 3
#: Which share of a line two panels share must be drawn where it could show, and of its whole length.
_SHARED, _SEEN = 0.88, 0.64
#: Lines of one direction that are looked at: where there are more, this is a pattern and no frame.
MOST = 40

Rectangle = tuple[int, int, int, int]


class Lines(NamedTuple):
    """Where something inked ends upwards or downwards, and where all around is inked, so that no line could show."""

    drawn: Mask
    hidden: Mask

    def part(self, rows: slice, columns: slice) -> Lines:
        """The lines of a part of the picture."""
        return Lines(self.drawn[rows, columns], self.hidden[rows, columns])


class Stroke(NamedTuple):
    """A straight line: its row (or column), and from where to where."""

    place: int
    first: int
    last: int


def level_lines(tones: Numbers, ink: int, reach: int, lighter_by: int) -> Lines:
    """The level lines of a picture: what is inked and has something lighter above or below, up to `reach` px away.

    Tones are evened over eight px along a row first: strokes that cross it are then grey, a line is as dark as ever.
    """
    import numpy as np

    high = tones.shape[0]
    even = _evened(tones)
    around = np.pad(even, ((reach, reach), (0, 0)), mode="edge")
    brightest = np.maximum(around[:high], around[2 * reach :])
    for away in range(max(2, reach - 2), reach):
        brightest = np.maximum(
            brightest,
            np.maximum(around[reach - away :][:high], around[reach + away :][:high]),
        )
    inked = even < ink
    # What is inked is dark enough for the sum to stay within a byte; elsewhere it does not count.
    lighter = brightest > even + np.uint8(lighter_by)
    return Lines(
        np.asarray(inked & lighter),
        np.asarray(inked & ~lighter & (brightest < ink)),
    )


def _evened(tones: Numbers) -> Numbers:
    """The mean of eight px along a row around each px."""
    import numpy as np

    wide = tones.shape[1]
    total = np.pad(tones, ((0, 0), (4, 4)), mode="edge").astype(np.int16)
    for step in (1, 2, 4):
        total = total[:, step:] + total[:, :-step]
    return np.asarray((total[:, :wide] >> 3).astype(np.uint8))


def shared_line(lines: Lines, away: int) -> tuple[int, int] | None:
    """In which rows the surest line runs from side to side of a region; `away` from its own frame at least."""
    import numpy as np

    high, wide = lines.drawn.shape
    if high < 2 * away or wide < 24:
        return None
    drawn, hidden = (part[:, 3:-3].mean(axis=1) for part in lines)
    share = np.where(drawn >= _SEEN, drawn / np.maximum(1 - hidden, 0.01), 0)
    for side in (slice(3, 3 + wide // 12), slice(-3 - wide // 12, -3)):
        at_end, unseen = (part[:, side].mean(axis=1) for part in lines)
        share[at_end < 0.6 * (1 - unseen)] = 0
    rows = np.flatnonzero(share[away : high - away] >= _SHARED) + away
    if not len(rows):
        return None
    best = int(rows[np.argmax(share[rows])])
    near = [int(row) for row in rows if abs(row - best) <= 5]
    return near[0], near[-1] + 1


def strokes(lines: Lines, least: int) -> list[Stroke]:
    """Level strokes at least so long, the longest of those side by side."""
    import numpy as np

    drawn = lines.drawn
    high, wide = drawn.shape
    padded = np.zeros((high, wide + 2), dtype=bool)
    padded[:, 1:-1] = drawn
    flat = padded.ravel()
    steps = np.flatnonzero(flat[1:] != flat[:-1])
    if not len(steps):
        return []
    starts, ends = steps[::2], steps[1::2]
    places, first = np.divmod(starts, wide + 2)
    last = first + ends - starts
    fresh = np.ones(len(first), dtype=bool)
    gap = first[1:] - last[:-1]
    fresh[1:] = (places[1:] != places[:-1]) | (gap > _HOLE)
    for n in np.flatnonzero((places[1:] == places[:-1]) & (gap > _HOLE) & (gap <= 0.4 * least)).tolist():
        if lines.hidden[places[n], last[n] : first[n + 1]].sum() >= gap[n] - _HOLE:
            fresh[n + 1] = False
    begins = np.flatnonzero(fresh)
    finishes = np.append(begins[1:], len(first)) - 1
    length = last[finishes] - first[begins]
    long = np.flatnonzero(length >= least)
    found = sorted(
        (Stroke(int(places[begins[n]]), int(first[begins[n]]), int(last[finishes[n]])) for n in long),
        key=lambda s: s.first - s.last,
    )
    return _apart(found)


def _apart(found: Sequence[Stroke]) -> list[Stroke]:
    """Of strokes side by side the longest; one more than are looked at is enough."""
    kept: list[Stroke] = []
    for stroke in found[: 8 * MOST]:
        if len(kept) > MOST:
            break
        beside = (
            abs(stroke.place - other.place) <= 4
            and min(stroke.last, other.last) - max(stroke.first, other.first) > 0.7 * (stroke.last - stroke.first)
            for other in kept
        )
        if not any(beside):
            kept.append(stroke)
    return kept


def rectangles(
    level: Sequence[Stroke],
    upright: Sequence[Stroke],
    least: tuple[int, int],
    near: int,
) -> list[tuple[int, Rectangle]]:
    """Upright rectangles (left, top, right, bottom) whose sides are strokes, the surest first, then the largest.

    With each how many of the eight ends of its strokes lie at a corner, within `near` px: two may run on.
    """
    found = []
    for left in upright:
        for right in upright:
            if right.place - left.place < least[0]:
                continue
            across = [s for s in level if s.first <= left.place + near and s.last > right.place - near]
            found += [
                (met, (left.place, top.place, right.place + 1, low.place + 1))
                for top in across
                for low in across
                if low.place - top.place >= least[1] and (met := _corners((left, right), (top, low), near)) >= 6
            ]
    return sorted(found, key=lambda f: (-f[0], -(f[1][2] - f[1][0]) * (f[1][3] - f[1][1])))


def _corners(sides: tuple[Stroke, Stroke], ends: tuple[Stroke, Stroke], near: int) -> int:
    """How many ends of four strokes lie at a corner of the rectangle they make; 0 where one does not reach it."""
    met = 0
    for one, others in (
        (sides[0], ends),
        (sides[1], ends),
        (ends[0], sides),
        (ends[1], sides),
    ):
        begins, finishes = one.first - others[0].place, others[1].place + 1 - one.last
        if max(begins, finishes) > near:
            return 0
        met += (begins >= -near) + (finishes >= -near)
    return met
