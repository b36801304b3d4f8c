"""Where two pictures of one size differ by more than scanning, saving and a pixel's shift do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Mask = NDArray[np.bool_]

#: Tones (of 255) by which a softened pixel must lie outside what stands around its place in the other picture.
_TONES, _COLOURS = 44, 30
#: A darkest hundredth as light as this is no ink: the page has too little of it to tell its tone by.
_NO_INK = 90
#: Rows that are looked at together: few enough to stay in the processor's own memory.
_ROWS = 64
#: Side of a block in px, and how many pixels must differ in three by three blocks: fewer are dust.
_BLOCK, _DUST = 8, 80


def speck(shape: tuple[int, ...], most: int = _DUST) -> int:
    """As many pixels are dust at most: `most` on a page 900 px high or wide, fewer on a smaller one."""
    return max(6, min(most, round(most * (max(shape) / 900) ** 2)))


def same_tones(old: Image.Image, new: Image.Image) -> Image.Image:
    """The new grey picture with the old one's tone curve, where a curve brings the two nearer."""
    import numpy as np

    a, b = (np.asarray(page.reduce(3)).astype(np.int32) for page in (old, new))
    joint = np.bincount((b >> 2).ravel() * 64 + (a >> 2).ravel(), minlength=4096).reshape(64, 64)
    levels = np.arange(64) * 4 + 2.0
    ends = (ink, paper), (then_ink, then_paper) = _ends(b), _ends(a)
    if max(ink, then_ink) >= _NO_INK:
        ends = (0.0, paper), (0.0, then_paper)
    best, cost = None, _cost(joint, levels, levels) * 0.9
    for bend in np.arange(0.65, 1.56, 0.05).tolist():
        now = _cost(joint, _bent(levels, *ends, bend), levels)
        if now < cost:
            best, cost = bend, now
    if best is None:
        return new
    every = _bent(np.arange(256.0), *ends, best)
    return new.point(np.clip(every, 0, 255).astype(np.uint8).tolist())


def _bent(tones: NDArray[Any], now: tuple[float, float], then: tuple[float, float], bend: float) -> NDArray[Any]:
    """Tones on a curve that brings ink and paper where they were. What is darker than ink was measured, as it is on a
    page with little of it, keeps its part of the way to black."""
    import numpy as np

    (ink, paper), (then_ink, then_paper) = now, then
    unit = np.clip((tones - ink) / max(1.0, paper - ink), 0, 1)
    bent: NDArray[Any] = then_ink + (then_paper - then_ink) * unit**bend
    return np.where(tones < ink, tones * (then_ink / max(1.0, ink)), bent)


def _ends(tones: NDArray[Any]) -> tuple[float, float]:
    """The tones of ink and of paper."""
    import numpy as np

    every = np.bincount(tones.ravel(), minlength=256)
    ink = float(np.searchsorted(np.cumsum(every), 0.015 * tones.size))
    counts = every[170:]
    paper = (
        170.0 + float(np.argmax(np.convolve(counts, np.ones(3), "same"))) if counts.sum() > 0.02 * tones.size else 255.0
    )
    return ink, paper


def _cost(joint: NDArray[Any], tones: NDArray[Any], levels: NDArray[Any]) -> float:
    import numpy as np

    return float((joint * np.minimum(np.abs(tones[:, None] - levels[None, :]), 40)).sum())


def spots(old: Image.Image, new: Image.Image) -> Mask:
    """Which pixels of two grey pictures differ, dust left out."""
    import numpy as np

    return without_dust(far_apart(np.asarray(old), np.asarray(new)))


def spots_within(old: Image.Image, new: Image.Image, box: tuple[int, int, int, int]) -> Mask:
    """The same where the two are known to be equal outside a box (left, top, right, bottom)."""
    import numpy as np

    left, top, right, bottom = box
    left, top, right, bottom = max(0, left - 4), max(0, top - 4), min(old.width, right + 4), min(old.height, bottom + 4)
    part = (left, top, right, bottom)
    off = np.zeros((old.height, old.width), dtype=bool)
    off[top:bottom, left:right] = far_apart(np.asarray(old.crop(part)), np.asarray(new.crop(part)))
    return without_dust(off)


def far_apart(old: NDArray[Any], new: NDArray[Any]) -> Mask:
    """Which tones, softened, lie outside everything around their place in the other picture."""
    import numpy as np

    off = np.empty(old.shape, dtype=bool)
    for top in range(0, len(old), _ROWS):
        first, last = max(0, top - 2), min(len(old), top + _ROWS + 2)
        a, b = _nine(old[first:last]), _nine(new[first:last])
        apart = np.maximum(_outside(a, b), _outside(b, a)) > 9 * _TONES
        off[top : top + _ROWS] = apart[top - first : top - first + _ROWS]
    return off


def _nine(tones: NDArray[Any]) -> NDArray[Any]:
    """The sum of each tone and its eight neighbours; at an edge its own are counted twice."""
    import numpy as np

    wide = np.pad(tones.astype(np.uint16), 1, "edge")
    rows = wide[:-2] + wide[1:-1] + wide[2:]
    return np.asarray(rows[:, :-2] + rows[:, 1:-1] + rows[:, 2:])


def _outside(tones: NDArray[Any], other: NDArray[Any]) -> NDArray[Any]:
    """How far each tone lies outside the tones around its place in the other picture; of unsigned numbers too."""
    import numpy as np

    low, high = around(other, np.minimum), around(other, np.maximum)
    return np.asarray(np.maximum(np.maximum(low, tones) - tones, tones - np.minimum(high, tones)))


def around(tones: NDArray[Any], which: Any) -> NDArray[Any]:
    """The least or the greatest tone of each pixel and its eight neighbours."""
    import numpy as np

    wide = np.pad(tones, 1, "edge")
    rows = which(which(wide[:-2], wide[1:-1]), wide[2:])
    return np.asarray(which(which(rows[:, :-2], rows[:, 1:-1]), rows[:, 2:]))


def without_dust(off: Mask) -> Mask:
    """What differs, without specks that have nothing around them; the seam at the page's edge is left out too."""
    import numpy as np

    off = off.copy()
    edge = max(2, round(0.006 * min(off.shape)))
    off[:edge], off[-edge:], off[:, :edge], off[:, -edge:] = False, False, False, False
    if not off.any():
        return off
    high, wide = (-(-side // _BLOCK) for side in off.shape)
    whole = np.pad(off, ((0, high * _BLOCK - off.shape[0]), (0, wide * _BLOCK - off.shape[1]))).view(np.uint8)
    down = whole.reshape(high, _BLOCK, wide * _BLOCK).sum(axis=1, dtype=np.uint8)
    counts = down.reshape(high, wide, _BLOCK).sum(axis=2, dtype=np.int32)
    near = np.pad(counts, 1)
    sums = np.add.reduce([near[y : y + high, x : x + wide] for y in range(3) for x in range(3)])
    real = around((sums >= speck(off.shape)).astype(np.int8), np.maximum).astype(bool)
    blocks = np.repeat(np.repeat(real, _BLOCK, axis=0), _BLOCK, axis=1)[: off.shape[0], : off.shape[1]]
    return np.asarray(off & blocks)


def colour_spots(old: Image.Image, new: Image.Image) -> Mask:
    """Which pixels of two RGB pictures of one size differ in hue though not in lightness; on an eighth of the size."""
    import numpy as np

    planes = [np.asarray(page.reduce(8).convert("YCbCr"))[..., 1:].astype(np.int16) for page in (old, new)]
    return np.asarray((_both(planes[0], planes[1]) > _COLOURS).any(axis=2))


def _both(a: NDArray[Any], b: NDArray[Any]) -> NDArray[Any]:
    import numpy as np

    sides = [np.stack([_outside(x[..., n], y[..., n]) for n in (0, 1)], axis=2) for x, y in ((a, b), (b, a))]
    return np.asarray(np.maximum(*sides))
