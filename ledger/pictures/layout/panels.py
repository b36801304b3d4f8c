"""The panels of a drawn page in reading order.

The page is brought down to some 330 to 500 px across. Gutters are put together from straight stretches of white, or
black, that end at something drawn on both sides; the one seen best parts a region in two, level ones before upright
ones. What no gutter parts may be parted by a line that two panels share; frames drawn inside a panel are panels of
their own. Where nothing of the kind is found, the page is one panel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.pictures.layout.cuts import Cut, best_cut, within
from ledger.pictures.layout.ground import grounds, page_width, small_tones
from ledger.pictures.layout.gutters import Stretch, stretches
from ledger.pictures.layout.insets import Drawing, Rectangle, along_sides
from ledger.pictures.layout.regions import Region, above, below, bounds, rectangle, turned

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Mask = NDArray[np.bool_]

Box = tuple[float, float, float, float]
WHOLE_PAGE: Box = (0.0, 0.0, 1.0, 1.0)

#: The least gutter, white and black, the widest one, and the widest between the two pages of a spread.
_GUTTER, _BLACK_GUTTER, _WIDE, _SPINE = 0.0018, 0.007, 0.1, 0.2
#: The shortest stretch that counts, the least side of a panel: parts of a page's width, as above.
_SHORT, _SIDE = 0.03, 0.07
#: A gutter is at least so wide beside the one that parted the page before.
_ALIKE = 0.3
#: More panels than this on one page are a pattern, not a layout; how often a page is parted in turn.
_MOST, _DEEPEST = 30, 12


@dataclass(frozen=True)
class _Page:
    """The small page: its tones, its ground, how wide one page is in px."""

    tones: NDArray[Any]
    ground: Mask
    black: bool
    unit: int
    rtl: bool


class _Found(NamedTuple):
    """The stretches of gutter in a region, level and upright (the latter turned)."""

    level: Sequence[Stretch]
    upright: Sequence[Stretch]


@dataclass(frozen=True)
class Layout:
    """The panels of a page in reading order, and which one each pixel of the small page belongs to (0 for none)."""

    boxes: tuple[Box, ...]
    map: NDArray[Any] | None = None
    #: Whether lines alone part the panels, no gutters: then some may be missed, and lines in a drawing taken for some.
    ruled: bool = False

    @property
    def sure(self) -> bool:
        """Whether anything was found at all."""
        return self.map is not None

    def owners(self, shape: tuple[int, int]) -> NDArray[Any]:
        """The panel each pixel of a page of this height and width belongs to, counted from 1; 0 for none."""
        import numpy as np

        if self.map is None:
            return np.ones(shape, dtype=np.uint8)
        rows, columns = (
            np.minimum((np.arange(side) + 0.5) * had / side, had - 1).astype(int)
            for side, had in zip(shape, self.map.shape, strict=True)
        )
        return np.asarray(self.map[rows[:, None], columns[None, :]])


def find_panels(page: Image.Image, *, rtl: bool = False) -> tuple[Box, ...]:
    """The panels of a decoded page as parts of it: left, top, width, height; one, the page, where it can't tell."""
    return lay_out(page, rtl=rtl).boxes


def lay_out(page: Image.Image, *, rtl: bool = False) -> Layout:
    """The panels of a decoded page ("L" or "RGB") with what belongs to each."""
    tones = small_tones(page)
    high, wide = tones.shape
    unit = page_width(wide, high)
    if min(high, unit) < 60:
        return Layout((WHOLE_PAGE,))
    laid, parts = _parted(tones, unit, rtl)
    found, ruled = _with_lines(laid, parts)
    if not found or len(found) > _MOST:
        return Layout((WHOLE_PAGE,))
    return Layout(tuple(_box(each, high, wide) for each in found), _map(found, (high, wide)), ruled)


def _parted(tones: NDArray[Any], unit: int, rtl: bool) -> tuple[_Page, list[Region]]:
    """The page, and its parts between gutters in reading order; of two grounds the one that parts it further."""
    best: tuple[_Page, list[Region]] | None = None
    for black, ground in grounds(tones):
        page = _Page(tones, ground, black, unit, rtl)
        whole = _outermost(page)
        parts = _parts(page, whole, _stretches(page)) if whole else []
        if best is None or len(best[1]) <= 1 or len(parts) > len(best[1]):
            best = (page, parts)
    assert best is not None
    page, parts = best
    if len(parts) == 1 and not _enclosed(page, parts[0]):
        high, wide = tones.shape
        parts = [rectangle(0, 0, wide, high)]
    return page, parts


def _around(region: Region) -> Rectangle:
    left, top, right, bottom = bounds(region)
    return round(left), round(top), round(right), round(bottom)


def _enclosed(page: _Page, region: Region) -> bool:
    """Whether something is drawn along most of three sides of a region: a frame, or a picture that ends there."""
    left, top, right, bottom = _around(region)
    sides = along_sides(~page.ground[top:bottom, left:right])
    return sum(side > 0.7 for side in sides) >= 3


def _stretches(page: _Page) -> _Found:
    import numpy as np

    unit, wide = page.unit, page.ground.shape[1] > 1.5 * page.unit
    least, most, short = (part * unit for part in (_BLACK_GUTTER if page.black else _GUTTER, _WIDE, _SHORT))
    level = stretches(np.ascontiguousarray(page.ground.T), least, most, short)
    upright = stretches(page.ground, least, _SPINE * unit if wide else most, short)
    return _Found(level, [s for s in upright if s.wide <= most or abs(s.at - unit) < 0.06 * unit])


def _box(region: Region, high: int, wide: int) -> Box:
    left, top, right, bottom = bounds(region)
    return (left / wide, top / high, (right - left) / wide, (bottom - top) / high)


def _map(found: Sequence[Region], shape: tuple[int, int]) -> NDArray[Any]:
    """Which panel each pixel belongs to; one page with one panel is its own all over."""
    import numpy as np
    from PIL import Image, ImageDraw

    if len(found) == 1:
        return np.ones(shape, dtype=np.uint8)
    owners = Image.new("L", shape[::-1])
    pen = ImageDraw.Draw(owners)
    for number, region in enumerate(found, 1):
        pen.polygon([(x - 0.5, y - 0.5) for x, y in region], fill=number)
    return np.asarray(owners)


def _outermost(page: _Page) -> Region | None:
    """The region that holds all panels: without the ground around them, and what juts out over the frames."""
    high, wide = page.ground.shape
    drawn = ~page.ground
    rows, columns = drawn.sum(axis=1), drawn.sum(axis=0)
    sides = [*_span(rows, wide, page.unit), *_span(columns, high, page.unit)]
    top, bottom, left, right = sides
    if min(bottom - top, right - left) < _SIDE * page.unit:
        return None
    return rectangle(left, top, right, bottom)


def _span(counts: NDArray[Any], across: int, unit: int) -> tuple[int, int]:
    """From where to where something is drawn; where a frame begins a little further in, from there."""
    import numpy as np

    there = np.flatnonzero(counts >= max(3.0, 0.03 * across))
    if not len(there):
        return 0, 0
    first, last = int(there[0]), int(there[-1]) + 1
    reach = round(0.08 * unit)
    full = counts >= 0.6 * across

    def snapped(start: int, step: int) -> int:
        if full[start]:
            return start
        for n in range(start, start + step * reach, step):
            if 0 <= n < len(full) and full[n]:
                before = counts[min(max(n - step * 3, 0), len(full) - 1)]
                return n if before <= 0.35 * across else start
        return start

    return snapped(first, 1), snapped(last - 1, -1) + 1


def _trimmed(page: _Page, region: Region) -> Region | None:
    """The region without the ground along its sides; None where nothing of a panel's size is left.

    A side at the page's edge stays: a panel that bleeds may be white there.
    """
    import numpy as np

    if len(region) < 3:
        return None
    left, top, right, bottom = _around(region)
    drawn = ~page.ground[top:bottom, left:right]
    high, wide = drawn.shape
    part = 0.03
    if len(region) != 4 or len({x for x, _ in region} | {y for _, y in region}) > 4:
        drawn, part = drawn & _mask(region, left, top, drawn.shape), 0.0
    rows = np.flatnonzero(drawn.sum(axis=1) >= max(3.0, part * wide))
    columns = np.flatnonzero(drawn.sum(axis=0) >= max(3.0, part * high))
    if not len(rows) or not len(columns):
        return None
    below_edge, right_edge = page.ground.shape[0] - 1, page.ground.shape[1] - 1
    if rows[0] > 1 and top > 1:
        region = below(region, top + float(rows[0]), 0)
    if rows[-1] + 2 < bottom - top and bottom < below_edge:
        region = above(region, top + float(rows[-1]) + 1, 0)
    region = turned(region)
    if columns[0] > 1 and left > 1:
        region = below(region, left + float(columns[0]), 0)
    if columns[-1] + 2 < right - left and right < right_edge:
        region = above(region, left + float(columns[-1]) + 1, 0)
    region = turned(region)
    left_, top_, right_, bottom_ = bounds(region) if len(region) > 2 else (0, 0, 0, 0)
    return region if min(right_ - left_, bottom_ - top_) >= _SIDE * page.unit else None


def _mask(region: Region, left: int, top: int, shape: tuple[int, ...]) -> Mask:
    import numpy as np
    from PIL import Image, ImageDraw

    image = Image.new("1", (shape[1], shape[0]))
    ImageDraw.Draw(image).polygon([(x - left - 0.5, y - top - 0.5) for x, y in region], fill=1)
    return np.asarray(image)


def _parts(page: _Page, region: Region, found: _Found, depth: int = 0, wide: float = 0.0) -> list[Region]:
    """The panels of a region in reading order; `wide` is how wide the gutters around it are."""
    found = _Found(
        within(region, [s for s in found.level if s.wide >= _ALIKE * wide]),
        within(turned(region), [s for s in found.upright if s.wide >= _ALIKE * wide]),
    )
    cut = _cut(page, region, found) if depth < _DEEPEST else None
    if cut is None:
        return [region]
    upright, band = cut
    shape = turned(region) if upright else region
    halves = (
        above(shape, band.at - band.wide / 2 + 1, band.slope),
        below(shape, band.at + band.wide / 2, band.slope),
    )
    pieces = [_trimmed(page, turned(half) if upright else half) for half in halves]
    if upright and page.rtl:
        pieces.reverse()
    wide = max(wide, band.wide if band.wide < 0.03 * page.unit else 0.0)
    return [part for piece in pieces if piece for part in _parts(page, piece, found, depth + 1, wide)]


def _cut(page: _Page, region: Region, found: _Found) -> tuple[bool, Cut] | None:
    """The gutter that parts a region first, and whether it is upright."""
    unit, away = page.unit, _SIDE * page.unit
    left, _, right, _ = bounds(region)
    if right - left > 1.5 * unit:
        middle = [s for s in found.upright if abs(s.at - unit) < 0.06 * unit]
        spine = best_cut(turned(region), middle, page.ground.T, unit, away, spine=True)
        if spine and spine.share > 0.6 and spine.from_side_to_side(0.05 * unit):
            return True, spine
    upright = best_cut(turned(region), found.upright, page.ground.T, unit, away)
    level = best_cut(region, found.level, page.ground, unit, away)
    if level and upright:
        x, y = _crossing(level, upright)
        if min(level.shared_by(0, x), level.shared_by(x, 1e9)) >= 0.25:
            return False, level
        if min(upright.shared_by(0, y), upright.shared_by(y, 1e9)) >= 0.25 or upright.share > level.share:
            return True, upright
    if level:
        return False, level
    return (True, upright) if upright else None


def _crossing(level: Cut, upright: Cut) -> tuple[float, float]:
    """Where a level line y = a + bx and an upright one x = c + dy meet."""
    y = (level.at + level.slope * upright.at) / (1 - level.slope * upright.slope)
    return upright.at + upright.slope * y, y


def _with_lines(page: _Page, parts: Sequence[Region]) -> tuple[list[Region], bool]:
    """The panels: parts between gutters, or lines where there are none, and frames in them; whether lines part them."""
    drawing = Drawing(page.tones, page.unit, page.rtl)
    boxes, ruled = [_around(part) for part in parts], False
    if len(parts) == 1 and drawing.framed(boxes[0]):
        shared = drawing.shared(boxes[0])
        if len(shared) > 1:
            boxes, parts, ruled = shared, [rectangle(*box) for box in shared], True
    panels = [
        region
        for part, box in zip(parts, boxes, strict=True)
        for region in (part, *(rectangle(*inset) for inset in drawing.insets(box)))
    ]
    return panels, ruled
