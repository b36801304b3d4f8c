"""Which delivered page a sheet of a proof shows, though it is smaller, grey, compressed or trimmed at its edges."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image

#: Width and height of the small picture a page is known by (own choice).
SIDE = (24, 36)
#: Shares of a side that a printer may have trimmed, tried at left and right alike and at top and bottom alike.
CUTS = (0.0, 0.0133, 0.0267, 0.04)
#: Correlation from which a sheet may show a page, and how many times further away the next likest page must be (own
#: choice: trimmed, grey JPEGs at a quarter of the size had .88 or more with their own page, other pages .75 or less).
_SHOWS, _CLEARLY = 0.82, 1.5


def tones(sheet: Image.Image) -> NDArray[Any]:
    """The tones of a small picture of a sheet, around 0 and of one spread."""
    import numpy as np
    from PIL import Image

    small = np.asarray(sheet.convert("L").resize(SIDE, Image.Resampling.BOX), dtype=np.float32).ravel()
    return np.asarray((small - small.mean()) / max(1.0, float(small.std())))


def trims(page: Image.Image) -> NDArray[Any]:
    """A row of tones for every way a delivered page may have been trimmed."""
    import numpy as np

    grey = page.convert("L")
    grey = grey.reduce(max(1, min(grey.size) // 300))
    wide, high = grey.size
    boxes = [(wide * x, high * y, wide * (1 - x), high * (1 - y)) for x in CUTS for y in CUTS]
    return np.stack([tones(grey.crop((round(a), round(b), round(c), round(d)))) for a, b, c, d in boxes])


def shown(pages: Sequence[tuple[str, NDArray[Any]]], sheet: NDArray[Any]) -> str | None:
    """The page that a sheet shows; None where none is like it, or two are nearly as much, as two blank ones are."""
    near = sorted(((float((rows @ sheet).max()) / sheet.size, label) for label, rows in pages), reverse=True)
    if not near or near[0][0] < _SHOWS:
        return None
    clear = len(near) == 1 or (1 - near[0][0]) * _CLEARLY < 1 - near[1][0]
    return near[0][1] if clear else None
