"""The panels of a drawn page in reading order.

The page is brought down to some 500 px across. Gutters are looked for in the ground that is reached from the page's
edge, white or black; the widest parts a region in two, level bands before upright ones, slanted ones last. What no
gutter parts may be parted by a line that two panels share; frames drawn inside a panel are panels of their own.
Where nothing of the kind is found, the page is one panel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.pictures.gutters import CLEAR, Cut, best_cut, reached, sides, strips
from ledger.pictures.insets import frames_in, share_of_lines, shared_line

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Mask = NDArray[np.bool_]

Box = tuple[float, float, float, float]
WHOLE_PAGE: Box = (0.0, 0.0, 1.0, 1.0)

#: Height in px at which panels are looked for.
_HEIGHT = 720
#: Tones of the page at which paper begins and at which ink ends, of 255.
_PAPER, _INK = 238, 112
#: The least gutter, the least side of a panel and of an inset, the thickest frame: parts of a page's width.
_GUTTER, _BLACK_GUTTER, _SIDE, _INSET, _FRAME = 0.006, 0.009, 0.06, 0.22, 0.014
#: The widest gutter, and the widest between the two pages of a spread.
_WIDE, _SPINE = 0.07, 0.2
#: As the share of a gutter's length that is held on either side: less where black figures run into black gutters.
_HELD, _HELD_BLACK, _CLEAR_BLACK = 0.8, 0.45, 0.9
#: More panels than this on one page are a pattern, not a layout.
_MOST = 30


@dataclass(frozen=True)
class _Region:
    """A part of the page: its top left corner in px, and which pixels of the part are its own."""

    left: int
    top: int
    inside: Mask


@dataclass(frozen=True)
class _Page:
    ground: Mask
    tones: NDArray[Any]
    black: bool
    unit: int
    rtl: bool


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
    unit = wide // 2 if wide > 1.15 * high else wide
    if min(high, unit) < 60:
        return Layout((WHOLE_PAGE,))
    found: list[_Region] = []
    for black, ground in _grounds(tones):
        open_ground = reached(ground)
        if not black:
            open_ground |= strips(ground, round(0.035 * unit), round(0.15 * unit))
        laid = _Page(_no_specks(open_ground), tones, black, unit, rtl)
        whole = _trimmed(laid, _Region(0, 0, laid.ground | True))
        found = _parts(laid, whole, 0) if whole else []
        if len(found) > 1:
            break
    if not found or len(found) > _MOST:
        return Layout((WHOLE_PAGE,))
    return Layout(tuple(_box(each, high, wide) for each in found), _map(found, tones.shape))


def _box(region: _Region, high: int, wide: int) -> Box:
    down, across = region.inside.shape
    return (region.left / wide, region.top / high, across / wide, down / high)


def _map(found: list[_Region], shape: tuple[int, ...]) -> NDArray[Any]:
    """Which panel each pixel belongs to; one page with one panel is its own all over."""
    import numpy as np

    if len(found) == 1:
        return np.ones(shape, dtype=np.uint8)
    owners = np.zeros(shape, dtype=np.uint8)
    for number, region in enumerate(found, 1):
        _crop(owners, region)[region.inside] = number
    return owners


def _tones(page: Image.Image) -> NDArray[Any]:
    """The page small and grey, its paper at 255 and its ink at 0."""
    import numpy as np

    small = page.convert("L").reduce(max(1, round(page.height / _HEIGHT)))
    tones = np.asarray(small, dtype=np.float32)
    ink, paper = float(np.percentile(tones[::3, ::3], 1)), _paper(tones)
    if paper - ink < 20:
        return np.full_like(tones, 255.0)
    return np.asarray(np.clip((tones - ink) * (255 / max(40.0, paper - ink)), 0, 255))


def _paper(tones: NDArray[Any]) -> float:
    """The tone of the paper: the commonest bright one."""
    import numpy as np

    counts = np.bincount(tones.astype(np.uint8).ravel(), minlength=256)
    near = np.convolve(counts, np.ones(3), "same")[180:]
    if near.max() < 0.02 * tones.size:
        return float(np.percentile(tones, 97))
    return 180.0 + float(np.argmax(near))


def _grounds(tones: NDArray[Any]) -> list[tuple[bool, Mask]]:
    """What may be gutters: black first where most of the page's edge is black, else white."""
    import numpy as np

    edge = np.concatenate((tones[1], tones[-2], tones[:, 1], tones[:, -2]))
    white, black = tones >= _PAPER, tones <= 40
    return [(True, black), (False, white)] if (edge <= 40).mean() > 0.5 else [(False, white)]


def _no_specks(ground: Mask) -> Mask:
    """Specks of dust in a gutter are ground."""
    import numpy as np

    drawn = (~ground).astype(np.int32)
    sums = np.cumsum(np.cumsum(np.pad(drawn, ((4, 3), (4, 3)), "edge"), axis=0), axis=1)
    near = sums[7:, 7:] - sums[:-7, 7:] - sums[7:, :-7] + sums[:-7, :-7]
    return np.asarray(ground | (near <= 12))


def _trimmed(page: _Page, region: _Region) -> _Region | None:
    """The region without the ground around it; None where nothing of a panel's size is left."""
    import numpy as np

    drawn = region.inside & ~_crop(page.ground, region)
    rows, columns = np.flatnonzero(drawn.sum(axis=1) >= 3), np.flatnonzero(drawn.sum(axis=0) >= 3)
    if not len(rows) or not len(columns):
        return None
    top, bottom, left, right = rows[0], rows[-1] + 1, columns[0], columns[-1] + 1
    if min(bottom - top, right - left) < _SIDE * page.unit:
        return None
    return _Region(region.left + int(left), region.top + int(top), region.inside[top:bottom, left:right])


def _crop(mask: NDArray[Any], region: _Region) -> NDArray[Any]:
    high, wide = region.inside.shape
    return mask[region.top : region.top + high, region.left : region.left + wide]


def _parts(page: _Page, region: _Region, depth: int) -> list[_Region]:
    """The panels of a region in reading order."""
    cut = _cut(page, region) if depth < 12 else None
    if cut is None:
        return _leaf(page, region, whole=depth == 0)
    upright, band = cut
    high, wide = region.inside.shape
    shape = (wide, high) if upright else (high, wide)
    halves = [half.T if upright else half for half in sides(shape, band)]
    pieces = [_trimmed(page, _Region(region.left, region.top, region.inside & half)) for half in halves]
    if upright and page.rtl:
        pieces.reverse()
    return [box for piece in pieces if piece for box in _parts(page, piece, depth + 1)]


def _cut(page: _Page, region: _Region) -> tuple[bool, Cut] | None:
    """The gutter that parts a region first, and whether it is upright."""
    ground = _crop(page.ground, region)
    least = max(3, round(_BLACK_GUTTER * page.unit)) if page.black else max(2, round(_GUTTER * page.unit))
    high, wide = ground.shape
    if (ground & region.inside).sum() < 0.5 * least * min(high, wide):
        return None
    level, upright = (ground, region.inside), (ground.T, region.inside.T)
    most = round(_WIDE * page.unit)
    held, clear = (_HELD_BLACK, _CLEAR_BLACK) if page.black else (_HELD, CLEAR)
    if wide > 1.5 * page.unit:
        middle = best_cut(*upright, least, round(_SPINE * page.unit), held=held)
        if (
            middle
            and _clear(middle, upright)
            and abs((middle.start + middle.end) / 2 + region.left - page.unit) < 0.06 * page.unit
        ):
            return True, middle
    for slanted in (False, True):
        for turned, part in ((False, level), (True, upright)):
            found = best_cut(*part, least, most, held=held, clear=clear, slanted=slanted)
            if found:
                return turned, found
    return None


def _clear(cut: Cut, part: tuple[Mask, Mask]) -> bool:
    """Whether hardly anything crosses a band: a panel over both pages of a spread would."""
    ground, inside = part
    band = slice(max(0, cut.start), cut.end)
    return bool(ground[band].sum() > 0.82 * inside[band].sum())


def _leaf(page: _Page, region: _Region, *, whole: bool) -> list[_Region]:
    """What no gutter parts: panels that share a border, or one panel, and the frames drawn in it."""
    tones = _crop(page.tones, region)
    dark = tones < _INK
    if whole and sum(side > 0.9 for side in share_of_lines(dark)) >= 3:
        parted = _shared(page, region, tones)
        if parted:
            return parted
    (high, wide), most = dark.shape, max(4, round(_FRAME * page.unit))
    least = (round(_INSET * page.unit), round(_INSET * 0.8 * page.unit))
    inner = frames_in(tones, _INK, most, least) if wide > 1.5 * least[0] and high > 1.3 * least[1] else []
    found = [region]
    for left, top, right, bottom in sorted(inner, key=lambda r: (r[1], -r[0] if page.rtl else r[0])):
        inside = region.inside[top:bottom, left:right] | True
        found.append(_Region(region.left + left, region.top + top, inside))
    return found


def _shared(page: _Page, region: _Region, tones: NDArray[Any]) -> list[_Region]:
    most, away = max(4, round(_FRAME * page.unit)), round(0.09 * page.unit)
    for upright in (False, True):
        found = shared_line(tones.T if upright else tones, _INK, most, away)
        if found is None:
            continue
        first, last = found
        parts = []
        for piece in (slice(0, last), slice(first, None)):
            inside = region.inside[:, piece] if upright else region.inside[piece]
            start = piece.start or 0
            left, top = (region.left + start, region.top) if upright else (region.left, region.top + start)
            parts.append(_Region(left, top, inside))
        if upright and page.rtl:
            parts.reverse()
        return [box for part in parts for box in _leaf(page, part, whole=True)]
    return []
