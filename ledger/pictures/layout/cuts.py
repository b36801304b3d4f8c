"""The gutters that part a region of a page: stretches in one line from side to side, with what crosses them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.pictures.layout.gutters import Stretch
from ledger.pictures.layout.regions import Region, bounds, chord

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]

#: Which share of a gutter must be seen between two panels where both its ends are open, one is, or none.
SEEN = (0.65, 0.5, 0.35)
#: The longest piece of a gutter that a balloon or figure may hide, as part of a page's width.
_HIDDEN = 0.28
#: A gutter wider than this part of a page's width must be open at both ends and seen in this share.
_WIDE, _SURE = 0.05, 0.9
#: How much ground, in px, is seen before the outline of a balloon that covers an end, how wide that is at most, and
#: which share of the gutter must be seen then.
_OUT, _OUTLINE, _COVERED = 2, 4, 0.42
#: Lines that are tried in a region, and which part of a gutter its longest piece is at least.
_TRIED, _PIECE = 12, 0.1


class Cut(NamedTuple):
    """A gutter as the line y = at + slope x, how wide, which share of it is seen, and where."""

    at: float
    slope: float
    wide: float
    share: float
    chord: tuple[float, float]
    seen: tuple[tuple[float, float], ...]

    def shared_by(self, from_x: float, to_x: float) -> float:
        """Which share of the gutter is seen between two places."""
        first, last = max(from_x, self.chord[0]), min(to_x, self.chord[1])
        if last - first < 1:
            return 0.0
        return sum(max(0.0, min(b, last) - max(a, first)) for a, b in self.seen) / (last - first)

    def from_side_to_side(self, near: float) -> bool:
        """Whether it is seen at both its ends, within `near` px."""
        return bool(self.seen) and self.seen[0][0] - self.chord[0] <= near and self.chord[1] - self.seen[-1][1] <= near


def best_cut(
    region: Region, inside: Sequence[Stretch], ground: Mask, unit: float, away: float, *, spine: bool = False
) -> Cut | None:
    """The level gutter of a region that is seen best; `inside` are the stretches in it.

    `away` is how far from the region's edge a gutter lies at least, `unit` the width of one page, both in px; `spine`
    whether it may be the wide one between the two pages of a spread.
    """
    best: Cut | None = None
    left, top, right, bottom = bounds(region)
    if bottom - top <= 2 * away:
        return None
    waiting = sorted(inside, key=lambda s: s.first - s.last)
    for _ in range(_TRIED):
        if not waiting or waiting[0].last - waiting[0].first < _PIECE * (right - left):
            break
        cut, used = _grown(region, waiting[0], inside)
        waiting = [s for s in waiting[1:] if s not in used]
        better = cut and (best is None or cut.share > best.share)
        if cut and better and _parts(region, cut, away) and _stands(cut, ground, unit, spine):
            best = cut
    return best


def within(region: Region, found: Sequence[Stretch]) -> list[Stretch]:
    """The pieces of level stretches that lie in a region."""
    left, top, right, bottom = bounds(region)
    pieces = []
    for stretch in found:
        if stretch.last <= left or stretch.first >= right:
            continue
        heights = (
            stretch.middle(max(left, stretch.first)),
            stretch.middle(min(right, stretch.last)),
        )
        if max(heights) <= top or min(heights) >= bottom:
            continue
        span = chord(region, stretch.at, stretch.slope)
        if span:
            first, last = max(span[0], stretch.first), min(span[1], stretch.last)
            if last - first >= 3:
                pieces.append(stretch._replace(first=first, last=last))
    return pieces


def _grown(region: Region, seed: Stretch, inside: Sequence[Stretch]) -> tuple[Cut | None, Sequence[Stretch]]:
    """The line through a stretch and all others that lie in it."""
    line, near = seed, [seed]
    for _ in range(2):
        near = [s for s in inside if _in_line(line, s)]
        line = _through(near, line)
    span = chord(region, line.at, line.slope)
    if span is None:
        return None, near
    if abs(line.slope) * (span[1] - span[0]) < 1.6:
        at = line.middle((span[0] + span[1]) / 2)
        line = line._replace(at=at, slope=0.0)
        span = chord(region, at, 0.0) or span
    seen = _joined([(max(s.first, span[0]), min(s.last, span[1])) for s in near])
    share = sum(b - a for a, b in seen) / (span[1] - span[0])
    return Cut(line.at, line.slope, line.wide, share, span, tuple(seen)), near


def _in_line(line: Stretch, other: Stretch) -> bool:
    off = max(1.5, 0.3 * line.wide)
    return (
        abs(other.wide - line.wide) <= max(1.5, 0.35 * line.wide)
        and abs(other.middle(other.first) - line.middle(other.first)) <= off
        and abs(other.middle(other.last) - line.middle(other.last)) <= off
    )


def _through(near: Sequence[Stretch], line: Stretch) -> Stretch:
    """The line of least squares through the ends of stretches, each by its length."""
    points = [(x, s.middle(x), s.last - s.first) for s in near for x in (s.first, s.last)]
    total = sum(weight for _, _, weight in points)
    if not total:
        return line
    mean_x = sum(x * w for x, _, w in points) / total
    mean_y = sum(y * w for _, y, w in points) / total
    square = sum(w * (x - mean_x) ** 2 for x, _, w in points)
    slope = sum(w * (x - mean_x) * (y - mean_y) for x, y, w in points) / square if square else line.slope
    wide = sum(s.wide * (s.last - s.first) for s in near) / sum(s.last - s.first for s in near)
    return Stretch(line.first, line.last, mean_y - slope * mean_x, slope, wide)


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for first, last in sorted(span for span in spans if span[1] > span[0]):
        if joined and first <= joined[-1][1] + 4:
            joined[-1] = (joined[-1][0], max(last, joined[-1][1]))
        else:
            joined.append((first, last))
    return joined


def _parts(region: Region, cut: Cut, away: float) -> bool:
    """Whether both sides of a cut are of a panel's size."""
    off = [y - cut.at - cut.slope * x for x, y in region]
    return min(off) < -away and max(off) > away


def _stands(cut: Cut, ground: Mask, unit: float, spine: bool) -> bool:
    """Whether what is seen of a gutter is enough, by how it ends at the region's sides."""
    import numpy as np

    xs = np.arange(int(np.ceil(cut.chord[0])), int(cut.chord[1]))
    if len(xs) < 8:
        return False
    white = _along(ground, cut, 0.0, xs)
    reach = max(4, round(0.02 * unit))
    ends = [_end(white[:reach], reach), _end(white[::-1][:reach], reach)]
    covered, framed = ends.count("covered"), ends.count("framed")
    opened = ends.count("open") + covered
    if cut.wide > _WIDE * unit and not spine and (cut.share < _SURE or opened < 2):
        return False
    if framed and not opened:
        return cut.share >= SEEN[0] and _overdrawn(cut, ground) and _longest_hidden(cut, xs, white) <= _HIDDEN * unit
    least = max(SEEN[opened], _COVERED if covered else 0)
    if cut.share < least and not (opened == 2 and cut.share >= 0.33 and white.mean() > 0.95):
        return False
    return _longest_hidden(cut, xs, white) <= _HIDDEN * unit


def _along(ground: Mask, cut: Cut, off: float, xs: NDArray[Any]) -> NDArray[Any]:
    """The ground along a line beside a cut's middle."""
    import numpy as np

    ys = np.rint(cut.at + off + cut.slope * xs).astype(int)
    good = (ys >= 0) & (ys < ground.shape[0]) & (xs >= 0) & (xs < ground.shape[1])
    white = np.zeros(len(xs), dtype=bool)
    white[good] = ground[ys[good], xs[good]]
    return white


def _overdrawn(cut: Cut, ground: Mask) -> bool:
    """Whether the lines on both sides of a gutter run on beyond its ends, as frames in pencil do: then what closes it
    are such ends as well. Lines in a drawing stop at the frame."""
    import numpy as np

    past = np.arange(1, 4)
    found = 0
    for xs in (int(cut.chord[0]) - past, int(cut.chord[1]) + past):
        for side in (-1, 1):
            dark = [~_along(ground, cut, side * (cut.wide / 2 + 0.5 + away), xs) for away in (0, 1)]
            found += int((dark[0] | dark[1]).sum() >= 2)
    return found >= 2


def _end(white: NDArray[Any], reach: int) -> str:
    """How a gutter ends: open; covered, by a balloon further in; framed, behind a thin line; or hidden."""
    if white.all():
        return "open"
    dark = (~white).nonzero()[0]
    if dark[0] >= _OUT and dark[-1] - dark[0] < _OUTLINE:
        return "covered"
    thin = len(dark) <= reach * 0.6 and dark[-1] < reach - 2
    return "framed" if thin else "hidden"


def _longest_hidden(cut: Cut, xs: NDArray[Any], white: NDArray[Any]) -> float:
    """The longest piece that is neither seen nor ground all through."""
    longest, at = 0.0, cut.chord[0]
    for first, last in [*cut.seen, (cut.chord[1], cut.chord[1])]:
        gap = first - at
        if gap > longest:
            part = white[(xs >= at) & (xs < first)]
            if not len(part) or part.mean() < 0.95:
                longest = gap
        at = last
    return longest
