"""A page as panels are looked for on it: small, its paper white, and what of it may be the ground between panels."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    Mask = NDArray[np.bool_]

#: Width in px of one page at which panels are looked for, at least.
_WIDTH = 390
#: Tones at which paper begins and at which black ends, of 255.
_PAPER, _BLACK = 232, 40


def page_width(wide: int, high: int) -> int:
    """The width of one page: half the width of a spread."""
    return wide // 2 if wide > 1.15 * high else wide


def small_tones(page: Image.Image) -> NDArray[Any]:
    """A decoded page some 390 to 550 px across as rows of tones, its paper at 255 and its ink at 0."""
    import numpy as np

    small = _small(page)
    counts = np.asarray(small.histogram())
    below = np.cumsum(counts) / counts.sum()
    ink, paper = float(np.searchsorted(below, 0.01)), _paper(counts, below)
    if paper - ink < 20:
        return np.full((small.height, small.width), 255, dtype=np.uint8)
    scale = 255 / max(40.0, paper - ink)
    return np.asarray(small.point([round(min(255.0, max(0.0, (tone - ink) * scale))) for tone in range(256)]))


def _small(page: Image.Image) -> Image.Image:
    from PIL import Image

    small = page.reduce(max(1, page_width(*page.size) // _WIDTH)).convert("L")
    wide = page_width(*small.size)
    if wide <= 1.4 * _WIDTH:
        return small
    part = 1.12 * _WIDTH / wide
    return small.resize((round(small.width * part), round(small.height * part)), Image.Resampling.HAMMING)


def _paper(counts: NDArray[Any], below: NDArray[Any]) -> float:
    """The tone of the paper: the brightest of the common ones."""
    import numpy as np

    near = np.convolve(counts, np.ones(3), "same")[180:]
    if near.max() < 0.02 * counts.sum():
        return float(np.searchsorted(below, 0.97))
    brightest = int(np.flatnonzero(near >= 0.25 * near.max())[-1])
    least = max(0, brightest - 8)
    return 180.0 + least + float(np.argmax(near[least : brightest + 1]))


def grounds(tones: NDArray[Any]) -> list[tuple[bool, Mask]]:
    """What may be the ground, and whether it is black: white, and black too where most of the page's edge is black."""
    import numpy as np

    edge = np.concatenate((tones[1], tones[-2], tones[:, 1], tones[:, -2]))
    white, black = tones >= _PAPER, tones <= _BLACK
    return [(True, black), (False, white)] if (edge <= _BLACK).mean() > 0.5 else [(False, white)]
