"""The panels of a drawn page in reading order.

The page is brought down to some 330 to 500 px across. Gutters are put together from straight stretches of white, or
black, that end at something drawn on both sides; the one seen best parts a region in two, level ones before upright
ones. What no gutter parts may be parted by a line that two panels share; frames drawn inside a panel are panels of
their own. Where nothing of the kind is found, the page is one panel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.pictures.cuts import Cut, best_cut
from ledger.pictures.gutters import Stretch, stretches
from ledger.pictures.insets import level_lines, rectangles, share_of_lines, shared_line, strokes
from ledger.pictures.regions import Region, above, below, bounds, rectangle, turned

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Mask = NDArray[np.bool_]

Box = tuple[float, float, float, float]
WHOLE_PAGE: Box = (0.0, 0.0, 1.0, 1.0)

#: Width in px of a page at which panels are looked for, at least.
_WIDTH = 390
#: Tones of the page at which paper begins, at which black ends, and at which ink ends, of 255.
_PAPER, _BLACK, _INK = 232, 40, 112
#: The least gutter, white and black, the widest one, and the widest between the two pages of a spread.
_GUTTER, _BLACK_GUTTER, _WIDE, _SPINE = 0.0025, 0.007, 0.1, 0.2
#: The shortest stretch that counts, the least side of a panel, the thickest frame: parts of a page's width, as above.
_SHORT, _SIDE, _FRAME = 0.03, 0.06, 0.014
#: A gutter is at least so wide beside the one that parted the page before.
_ALIKE = 0.3
#: More panels than this on one page are a pattern, not a layout.
_MOST = 30


@dataclass(frozen=True)
class _Page:
    """The small page: its tones, its ground, and the stretches of gutter, level and upright (the latter turned)."""

    tones: NDArray[Any]
    ground: Mask
    black: bool
    unit: int
    rtl: bool
    level: Sequence[Stretch]
    upright: Sequence[Stretch]


@dataclass(frozen=True)
class Layout:
    """The panels of a page in reading order, and which one each pixel of the small page belongs to (0 for none)."""

    boxes: tuple[Box, ...]
    map: NDArray[Any] | None = None

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
    tones = _tones(page)
    high, wide = tones.shape
    unit = _unit(wide, high)
    if min(high, unit) < 60:
        return Layout((WHOLE_PAGE,))
    laid, parts = _parted(tones, unit, rtl)
    found = [panel for part in parts for panel in _leaf(laid, part, whole=len(parts) == 1)]
    if not found or len(found) > _MOST:
        return Layout((WHOLE_PAGE,))
    return Layout(tuple(_box(each, high, wide) for each in found), _map(found, (high, wide)))


def _parted(tones: NDArray[Any], unit: int, rtl: bool) -> tuple[_Page, list[Region]]:
    """The page, and its parts between gutters in reading order; of two grounds the one that parts it further."""
    best: tuple[_Page, list[Region]] | None = None
    for black, ground in _grounds(tones):
        page = _page(tones, ground, black, unit, rtl)
        whole = _outermost(page)
        parts = _parts(page, whole, 0) if whole else []
        if best is None or len(parts) > len(best[1]) or len(parts) == 1:
            best = (page, parts)
    assert best is not None
    page, parts = best
    if len(parts) == 1 and not _enclosed(page, parts[0]):
        high, wide = tones.shape
        parts = [rectangle(0, 0, wide, high)]
    return page, parts


def _enclosed(page: _Page, region: Region) -> bool:
    """Whether something is drawn along most of three sides of a region: a frame, or a picture that ends there."""
    left, top, right, bottom = (round(side) for side in bounds(region))
    sides = share_of_lines(~page.ground[top:bottom, left:right])
    return sum(side > 0.7 for side in sides) >= 3


def _unit(wide: int, high: int) -> int:
    """The width of one page: half the width of a spread."""
    return wide // 2 if wide > 1.15 * high else wide


def _page(tones: NDArray[Any], ground: Mask, black: bool, unit: int, rtl: bool) -> _Page:
    import numpy as np

    least, most, short = max(1.0, (_BLACK_GUTTER if black else _GUTTER) * unit), _WIDE * unit, _SHORT * unit
    level = stretches(np.ascontiguousarray(ground.T), least, most, short)
    wide = ground.shape[1] > 1.5 * unit
    upright = stretches(ground, least, _SPINE * unit if wide else most, short)
    if wide:
        upright = [s for s in upright if s.wide <= most or abs(s.at - unit) < 0.06 * unit]
    return _Page(tones, ground, black, unit, rtl, level, upright)


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


def _tones(page: Image.Image) -> NDArray[Any]:
    """The page small and grey, its paper at 255 and its ink at 0."""
    import numpy as np

    small = _small(page)
    counts = np.asarray(small.histogram())
    below_ = np.cumsum(counts) / counts.sum()
    ink, paper = float(np.searchsorted(below_, 0.01)), _paper(counts, below_)
    if paper - ink < 20:
        return np.full((small.height, small.width), 255, dtype=np.uint8)
    scale = 255 / max(40.0, paper - ink)
    return np.asarray(small.point([round(min(255.0, max(0.0, (tone - ink) * scale))) for tone in range(256)]))


def _small(page: Image.Image) -> Image.Image:
    from PIL import Image

    small = page.reduce(max(1, _unit(*page.size) // _WIDTH)).convert("L")
    unit = _unit(*small.size)
    if unit > 1.4 * _WIDTH:
        part = 1.12 * _WIDTH / unit
        small = small.resize((round(small.width * part), round(small.height * part)), Image.Resampling.HAMMING)
    return small


def _paper(counts: NDArray[Any], below_: NDArray[Any]) -> float:
    """The tone of the paper: the brightest of the common ones."""
    import numpy as np

    near = np.convolve(counts, np.ones(3), "same")[180:]
    if near.max() < 0.02 * counts.sum():
        return float(np.searchsorted(below_, 0.97))
    common = np.flatnonzero(near >= 0.25 * near.max())
    return 180.0 + float(
        common[-1] - 8 + np.argmax(near[max(0, common[-1] - 8) : common[-1] + 1]) if common[-1] > 8 else common[-1]
    )


def _grounds(tones: NDArray[Any]) -> list[tuple[bool, Mask]]:
    """What may be gutters: black first where most of the page's edge is black, else white."""
    import numpy as np

    edge = np.concatenate((tones[1], tones[-2], tones[:, 1], tones[:, -2]))
    white, black = tones >= _PAPER, tones <= _BLACK
    return [(True, black), (False, white)] if (edge <= _BLACK).mean() > 0.5 else [(False, white)]


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
    """The region without the ground along its sides; None where nothing of a panel's size is left."""
    import numpy as np

    if len(region) < 3:
        return None
    left, top, right, bottom = (round(side) for side in bounds(region))
    drawn = ~page.ground[top:bottom, left:right]
    high, wide = drawn.shape
    part = 0.03
    if len(region) != 4 or len({x for x, _ in region} | {y for _, y in region}) > 4:
        drawn, part = drawn & _mask(region, left, top, drawn.shape), 0.0
    rows = np.flatnonzero(drawn.sum(axis=1) >= max(3.0, part * wide))
    columns = np.flatnonzero(drawn.sum(axis=0) >= max(3.0, part * high))
    if not len(rows) or not len(columns):
        return None
    if rows[0] > 1:
        region = below(region, top + float(rows[0]), 0)
    if rows[-1] + 2 < bottom - top:
        region = above(region, top + float(rows[-1]) + 1, 0)
    region = turned(region)
    if columns[0] > 1:
        region = below(region, left + float(columns[0]), 0)
    if columns[-1] + 2 < right - left:
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


def _parts(page: _Page, region: Region, depth: int, wide: float = 0.0) -> list[Region]:
    """The panels of a region in reading order."""
    cut = _cut(page, region, _ALIKE * wide) if depth < 12 else None
    if cut is None:
        return [region]
    upright, band = cut
    shape = turned(region) if upright else region
    halves = (above(shape, band.at - band.wide / 2 + 1, band.slope), below(shape, band.at + band.wide / 2, band.slope))
    pieces = [_trimmed(page, turned(half) if upright else half) for half in halves]
    if upright and page.rtl:
        pieces.reverse()
    wide = max(wide, band.wide if band.wide < 0.03 * page.unit else 0.0)
    return [box for piece in pieces if piece for box in _parts(page, piece, depth + 1, wide)]


def _cut(page: _Page, region: Region, least: float) -> tuple[bool, Cut] | None:
    """The gutter that parts a region first, and whether it is upright."""
    away = _SIDE * page.unit
    upright = best_cut(turned(region), [s for s in page.upright if s.wide >= least], page.ground.T, page.unit, away)
    left, _, right, _ = bounds(region)
    if (
        upright
        and right - left > 1.5 * page.unit
        and upright.share > 0.82
        and abs(upright.at - page.unit) < 0.06 * page.unit
    ):
        return True, upright
    level = best_cut(region, [s for s in page.level if s.wide >= least], page.ground, page.unit, away)
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


def _leaf(page: _Page, region: Region, *, whole: bool) -> list[Region]:
    """What no gutter parts: panels that share a border, or one panel, and the frames drawn in it."""
    left, top, right, bottom = (round(side) for side in bounds(region))
    if whole:
        tones = page.tones[top:bottom, left:right]
        if sum(side > 0.9 for side in share_of_lines(tones < _INK)) >= 3:
            reach = max(4, round(_FRAME * page.unit))
            maps = (level_lines(page.tones, _INK, reach, 45), level_lines(page.tones.T, _INK, reach, 45))
            return _shared(page, maps, (left, top, right, bottom))
    return [region, *_insets(page, (left, top, right, bottom))]


def _insets(page: _Page, box: tuple[int, int, int, int]) -> list[Region]:
    """The frames drawn inside a panel, in reading order."""
    left, top, right, bottom = box
    tones = page.tones[top:bottom, left:right]
    least = (round(max(0.11 * page.unit, 0.27 * (right - left))), round(max(0.11 * page.unit, 0.25 * (bottom - top))))
    if right - left < 1.5 * least[0] or bottom - top < 1.5 * least[1]:
        return []
    reach, near = max(4, round(_FRAME * page.unit)), max(4, round(0.012 * page.unit))
    level, upright = level_lines(tones, _INK, reach, 12), level_lines(tones.T, _INK, reach, 12)
    found = rectangles(strokes(level, least[0] - near), strokes(upright, least[1] - near), least, near)
    chosen: list[tuple[int, int, int, int]] = []
    for a in found:
        inner = min(a[0], a[1], right - left - a[2], bottom - top - a[3]) >= near
        inner = inner and (tones[a[1] : a[3], a[0] : a[2]] >= _INK).mean() > 0.05
        inner = inner and (a[2] - a[0]) * (a[3] - a[1]) < 0.5 * (right - left) * (bottom - top)
        if inner and not any(a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3] for b in chosen):
            chosen.append(a)
    chosen.sort(key=lambda r: (r[1], -r[0] if page.rtl else r[0]))
    return [rectangle(left + a, top + b, left + c, top + d) for a, b, c, d in chosen]


def _shared(page: _Page, maps: tuple[Any, Any], box: tuple[int, int, int, int]) -> list[Region]:
    """The panels of a region that lines part, in reading order."""
    left, top, right, bottom = box
    away = round(0.09 * page.unit)
    level = shared_line(type(maps[0])(*(m[top:bottom, left:right] for m in maps[0])), away)
    upright = shared_line(type(maps[1])(*(m[left:right, top:bottom] for m in maps[1])), away)
    if level:
        _, first, last = level
        boxes = [(left, top, right, top + last), (left, top + first, right, bottom)]
    elif upright:
        _, first, last = upright
        boxes = [(left, top, left + last, bottom), (left + first, top, right, bottom)]
        if page.rtl:
            boxes.reverse()
    else:
        return [rectangle(left, top, right, bottom), *_insets(page, box)]
    return [region for each in boxes for region in _shared(page, maps, each)]
