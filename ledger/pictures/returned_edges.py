"""Flats whose edges are smoothed: colours that are there only because two fills were mixed along their border.

A pixel is *between* when, along its row or its column, the colours on both sides of it differ and its own lies strictly
between them on the line that mixing follows, as the file has the tones or in linear light (IEC 61966-2-1), within the
rounding of 8 bits. Two equal pixels side by side count as one, so that a page smoothed at half its size and doubled is
known too. Of three fills that meet, the borders of each two are found.

A colour is a *mix* when it covers no 3 x 3 px anywhere on the page and more than half of all its pixels are between. So
a fill whose colour happens to lie between its neighbours' is a fill, as is one that runs thin somewhere; a line or spot
inside one fill is no mix of anything. A colour that is nowhere but one or two pixels wide along a border, and exactly
between the colours on both sides of it, can't be told from smoothing, and counts as such. A page smoothed and then
enlarged threefold or more without smoothing is not known.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Numbers = NDArray[Any]
    Mask = NDArray[np.bool_]

#: Pixels that are looked at together; rows and columns around them that are needed to judge them.
_BAND, _HALO = 1 << 20, 3
#: What rounding may add to a channel of a mix of two colours that may be rounded mixes themselves.
_ROUNDED = 1.5


class Smoothed(NamedTuple):
    """The first mixed pixel in reading order, its place from the left and the top from 0, and how many there are."""

    x: int
    y: int
    pixels: int


class _Band(NamedTuple):
    """Colours as numbers, `top` rows of the page above them; rows `first` to `last` of them are to be judged."""

    colours: Numbers
    top: int
    first: int
    last: int


def smoothed_edges(page: Image.Image) -> Smoothed | None:
    """The mixed pixels of a decoded page ("L" or "RGB"); None for a page whose edges are all hard."""
    import numpy as np

    found = [_between(band) for band in _bands(page)]
    colours, places = (np.concatenate(each) for each in zip(*found, strict=True))
    if not len(colours):
        return None
    known, several = np.unique(colours, return_counts=True)
    everywhere, laid = _counted(page, known)
    mixed = known[~laid & (2 * several > everywhere)]
    at = places[np.isin(colours, mixed)]
    if not len(at):
        return None
    y, x = divmod(int(at.min()), page.width)
    return Smoothed(x, y, len(at))


def _bands(page: Image.Image) -> Iterator[_Band]:
    import numpy as np

    step = max(16, _BAND // page.width)
    for top in range(0, page.height, step):
        begin, end = max(0, top - _HALO), min(page.height, top + step + _HALO)
        piece = page.crop((0, begin, page.width, end))
        colours = np.asarray(piece) if piece.mode == "L" else np.asarray(piece.convert("RGBX")).view("<u4")[:, :, 0]
        yield _Band(colours, begin, top - begin, min(page.height, top + step) - begin)


def _between(band: _Band) -> tuple[Numbers, Numbers]:
    """Colours and places (counted row by row over the page) of the pixels of a band that are between."""
    import numpy as np

    colours = band.colours
    marked = np.zeros(colours.shape, dtype=bool)
    _mark(colours, marked)
    _mark(colours.T, marked.T)
    marked[: band.first] = marked[band.last :] = False
    y, x = np.nonzero(marked)
    return colours[y, x].astype(np.uint32), (y + band.top) * colours.shape[1] + x


def _mark(colours: Numbers, marked: Mask) -> None:
    """Marks what is between along the first axis: runs of one or two equal pixels."""
    import numpy as np

    changes = colours[1:] != colours[:-1]
    for wide in (1, 2):
        if len(changes) <= wide:
            return
        ends = changes[:-wide] & changes[wide:]
        if wide == 2:
            ends &= ~changes[1:-1]
        at, along = np.nonzero(ends)
        good = _mixes(colours[at, along], colours[at + 1, along], colours[at + wide + 1, along])
        for step in range(wide):
            marked[at[good] + 1 + step, along[good]] = True


def _mixes(one: Numbers, own: Numbers, other: Numbers) -> Mask:
    """Whether colours lie strictly between those on both sides."""
    import numpy as np

    a, c, b = (_channels(each) for each in (one, own, other))
    order = np.abs(b - a).argmax(axis=1)[:, None]
    straight = _on_line(a, c, b, order)
    light = _on_line(_linear(a), _linear(c), _linear(b), order, back=True, own=c)
    return np.asarray(straight | light)


def _on_line(a: Numbers, c: Numbers, b: Numbers, order: Numbers, *, back: bool = False, own: Any = None) -> Mask:
    import numpy as np

    start, span = np.take_along_axis(a, order, 1), np.take_along_axis(b - a, order, 1)
    share = (np.take_along_axis(c, order, 1) - start) / np.where(span == 0, 1, span)
    meant = a + share * (b - a)
    if back:
        meant, c = _tones(np.clip(meant, 0, 1)), own
    inside = (share[:, 0] > 0) & (share[:, 0] < 1) & (span[:, 0] != 0)
    return np.asarray(inside & (np.abs(meant - c) <= _ROUNDED).all(axis=1))


def _channels(colours: Numbers) -> Numbers:
    import numpy as np

    if colours.dtype == np.uint8:
        return colours[:, None].astype(np.float32)
    return np.stack([(colours >> shift & 255).astype(np.float32) for shift in (0, 8, 16)], axis=1)


def _linear(tones: Numbers) -> Numbers:
    """Tones as light from 0 to 1 (IEC 61966-2-1)."""
    import numpy as np

    parts = tones / 255
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def _tones(light: Numbers) -> Numbers:
    import numpy as np

    return np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055) * 255


def _counted(page: Image.Image, known: Numbers) -> tuple[Numbers, Mask]:
    """How often each of these colours (in order) is on the page, and whether it covers 3 x 3 px anywhere."""
    import numpy as np

    several, laid = np.zeros(len(known), dtype=np.int64), np.zeros(len(known), dtype=bool)
    for band in _bands(page):
        own = band.colours[band.first : band.last].ravel().astype(np.uint32)
        several += np.bincount(_numbers(own, known), minlength=len(known) + 1)[: len(known)]
        blocks = np.unique(_block_colours(band.colours))
        laid |= np.isin(known, blocks)
    return several, laid


def _numbers(colours: Numbers, known: Numbers) -> Numbers:
    """Which of the known ones each colour is; their number where it is none."""
    import numpy as np

    at = np.searchsorted(known, colours)
    same = known[np.minimum(at, len(known) - 1)] == colours
    return np.where(same, at, len(known))


def _block_colours(colours: Numbers) -> Numbers:
    """Colours in the middle of 3 x 3 equal pixels."""
    import numpy as np

    level = (colours[:, 2:] == colours[:, 1:-1]) & (colours[:, 1:-1] == colours[:, :-2])
    middle = colours[:, 1:-1]
    upright = (middle[2:] == middle[1:-1]) & (middle[1:-1] == middle[:-2])
    found = middle[1:-1][level[2:] & level[1:-1] & level[:-2] & upright]
    return np.asarray(found.astype(np.uint32))
