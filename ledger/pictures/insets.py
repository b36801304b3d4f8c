"""Frames drawn inside a panel, and lines that two panels share instead of a gutter."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]

Rectangle = tuple[int, int, int, int]
#: Which share of a side must be drawn for a frame, and of a line two panels share.
DRAWN, SHARED = 0.86, 0.85
#: Lines of one direction that are looked at: where there are more, this is a pattern and no frame.
_MOST = 60


def frames_in(tones: NDArray[Any], ink: int, reach: int, least: tuple[int, int]) -> list[Rectangle]:
    """Upright rectangles drawn inside a panel as (left, top, right, bottom) in px, the largest first.

    `tones` are the panel's, `ink` the tone under which something is inked, `reach` how thick a frame may be, `least`
    the least width and height of a rectangle, all in px.
    """
    level, upright = _lines(tones, ink, reach), _lines(tones.T, ink, reach).T
    found = _rectangles(upright, level, least)
    found += [(top, left, bottom, right) for left, top, right, bottom in _rectangles(level.T, upright.T, least[::-1])]
    high, wide = tones.shape
    chosen: list[Rectangle] = []
    for each in sorted(found, key=lambda r: (r[2] - r[0]) * (r[3] - r[1]), reverse=True):
        small = (each[2] - each[0]) * (each[3] - each[1]) < 0.6 * high * wide
        if small and not any(_meet(each, other) for other in chosen):
            chosen.append(each)
    return chosen


def _lines(tones: NDArray[Any], ink: int, reach: int) -> Mask:
    """What is inked and has something lighter above or below it."""
    import numpy as np

    high = tones.shape[0]
    around = np.pad(tones, ((reach, reach), (0, 0)), constant_values=0)
    steps = [at for away in (reach, reach // 2 + 1) for at in (reach - away, reach + away)]
    lighter = np.maximum.reduce([around[at : at + high] for at in steps]) > tones + 12
    return np.asarray(lighter & (tones < ink))


def _meet(a: Rectangle, b: Rectangle) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _rectangles(upright: Mask, level: Mask, least: tuple[int, int]) -> list[Rectangle]:
    """Rectangles whose upright sides are lines that end where the level ones lie."""
    lines = _uprights(upright, least[1])
    if len(lines) > _MOST:
        return []
    found = []
    for n, (left, top, bottom) in enumerate(lines):
        for right, above, below in lines[n + 1 :]:
            ends = abs(top - above) <= 5 and abs(bottom - below) <= 5
            if right - left >= least[0] and ends:
                high, low = min(top, above), max(bottom, below)
                if _drawn(level, high, left, right) and _drawn(level, low - 1, left, right):
                    found.append((left, high, right + 1, low))
    return found


def _drawn(level: Mask, row: int, left: int, right: int) -> bool:
    part = level[max(0, row - 4) : row + 5, left:right]
    return bool(part.mean(axis=1).max() >= DRAWN)


def _uprights(upright: Mask, least: int) -> list[tuple[int, int, int]]:
    """Upright strokes at least so long as (column, top, bottom), one for each edge of a thick one; small holes count
    as drawn."""
    import numpy as np

    found: list[tuple[int, int, int]] = []
    wide = upright | np.pad(upright, ((0, 0), (1, 0)))[:, :-1]
    for column in np.flatnonzero(wide.sum(axis=0) >= least * DRAWN).tolist():
        marks = np.flatnonzero(wide[:, column])
        for part in np.split(marks, np.flatnonzero(np.diff(marks) > 7) + 1):
            if len(part) >= DRAWN * (part[-1] + 1 - part[0]) and part[-1] + 1 - part[0] >= least:
                found.append((column, int(part[0]), int(part[-1]) + 1))
    return _edges(found)


def _edges(strokes: list[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """Of strokes side by side the outermost two."""
    there = {(c, t, b) for c, t, b in strokes}

    def beside(stroke: tuple[int, int, int], step: int) -> bool:
        column, top, bottom = stroke
        return any((column + step, top + a, bottom + b) in there for a in (-1, 0, 1) for b in (-1, 0, 1))

    return [stroke for stroke in strokes if not (beside(stroke, 1) and beside(stroke, -1))]


def shared_line(tones: NDArray[Any], ink: int, most: int, away: int) -> tuple[int, int] | None:
    """The rows of a level line from side to side of a region, the most even one; None where there is none.

    `tones` are the region's, `ink` the tone under which something is inked. `most` is how thick the line may be in
    px, `away` how far from the region's own frame it lies at least.
    """
    import numpy as np

    high, reach = tones.shape[0], most
    if high < 2 * away:
        return None
    inner = tones[:, 3:-3] if tones.shape[1] > 12 else tones
    body = inner[reach:-reach]
    lighter = np.maximum(inner[: -2 * reach], inner[2 * reach :]) > body + 5
    share = np.zeros(high)
    share[reach:-reach] = ((body < ink) & lighter).mean(axis=1)
    rows = [row for row in np.flatnonzero(share >= SHARED).tolist() if away <= row < high - away]
    best: tuple[float, int, int] | None = None
    for first, last in _together(rows):
        peak = float(share[first : last + 1].max())
        if last - first < 2 * most and (best is None or peak > best[0]):
            best = (peak, first, last + 1)
    return best[1:] if best else None


def _together(rows: list[int]) -> list[tuple[int, int]]:
    groups: list[tuple[int, int]] = []
    for row in rows:
        if groups and row - groups[-1][1] == 1:
            groups[-1] = (groups[-1][0], row)
        else:
            groups.append((row, row))
    return groups


def share_of_lines(dark: Mask) -> tuple[float, ...]:
    """How much of each side of a region is drawn as a line: top, bottom, left, right."""
    return tuple(float(_most(side)) for side in (dark[:4], dark[-4:], dark[:, :4].T, dark[:, -4:].T))


def _most(rows: NDArray[Any]) -> float:
    return float(rows.any(axis=0).mean()) if rows.size else 0.0
