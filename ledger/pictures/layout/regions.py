"""Parts of a page with straight sides, as convex polygons, and what a line does to them."""

from __future__ import annotations

from collections.abc import Sequence

Point = tuple[float, float]
Region = tuple[Point, ...]


def rectangle(left: float, top: float, right: float, bottom: float) -> Region:
    """An upright rectangle."""
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def bounds(region: Sequence[Point]) -> tuple[float, float, float, float]:
    """Left, top, right, bottom."""
    xs, ys = [x for x, _ in region], [y for _, y in region]
    return min(xs), min(ys), max(xs), max(ys)


def turned(region: Region) -> Region:
    """With x and y exchanged, so that upright is level."""
    return tuple((y, x) for x, y in region)


def above(region: Region, at: float, slope: float) -> Region:
    """What lies above the line y = at + slope x."""
    return _kept(region, [at + slope * x - y for x, y in region])


def below(region: Region, at: float, slope: float) -> Region:
    """What lies below the line y = at + slope x."""
    return _kept(region, [y - at - slope * x for x, y in region])


def _kept(region: Region, side: list[float]) -> Region:
    kept: list[Point] = []
    for n, here in enumerate(region):
        there = region[(n + 1) % len(region)]
        a, b = side[n], side[(n + 1) % len(region)]
        if a >= 0:
            kept.append(here)
        if a * b < 0:
            part = a / (a - b)
            kept.append((here[0] + part * (there[0] - here[0]), here[1] + part * (there[1] - here[1])))
    return tuple(kept)


def chord(region: Region, at: float, slope: float) -> tuple[float, float] | None:
    """From which x to which the line y = at + slope x runs inside the region."""
    xs = []
    for n, here in enumerate(region):
        there = region[(n + 1) % len(region)]
        a, b = at + slope * here[0] - here[1], at + slope * there[0] - there[1]
        if (a < 0) != (b < 0):
            xs.append(here[0] + a / (a - b) * (there[0] - here[0]))
    return (min(xs), max(xs)) if len(xs) >= 2 and max(xs) - min(xs) >= 1 else None
