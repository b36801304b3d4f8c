"""How much of each panel's ink differs, and which boxes are one panel."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    from ledger.pictures.layout.panels import Box, Layout

    Mask = NDArray[np.bool_]

#: Which overlap makes two boxes one panel.
ONE_PANEL = 0.7
#: Long side in px at which the share of ink of two pages of different sizes is measured.
_MEASURED = 1600
#: Below which share of its ink nothing was done to a panel, and which number of pixels that differ is too few.
_UNTOUCHED, _LEAST = 0.0015, 60
#: What lies along a panel's border doesn't tell whether it was touched: a part of the page's shorter side.
_BORDER = 0.014
#: Ink is weighed on a picture so many times smaller.
_COARSE = 2


def shares_of(layout: Layout, old: Image.Image, new: Image.Image, off: Mask) -> list[float]:
    """Which share of each panel's ink differs, 0 where it was not touched; `off` is where two grey pages of one size
    differ."""
    import numpy as np

    from ledger.pictures.rounds.differ import around, speck

    size = len(layout.boxes) + 1
    if not off.any():
        return [0.0] * (size - 1)
    a, b = (255 - np.asarray(page.reduce(_COARSE)) for page in (old, new))
    ink = _weighed(layout.owners(a.shape), np.maximum(a, b), size) * _COARSE**2
    part = _around(off)
    near = off[part]
    owners = layout.owners(off.shape)[part]
    before, after = (np.asarray(page, dtype=np.int16)[part] for page in (old, new))
    apart = np.where(around(near, np.maximum), np.abs(before - after), 0)
    pixels = np.bincount(_inner(owners, round(_BORDER * min(off.shape)))[near], minlength=size)
    shares = _weighed(owners, apart, size) / np.maximum(ink, 1)
    touched = (pixels >= speck(off.shape, _LEAST)) & (shares >= _UNTOUCHED)
    return [
        round(min(1.0, float(share)), 4) if hit else 0.0 for share, hit in zip(shares[1:], touched[1:], strict=True)
    ]


def _weighed(owners: NDArray[Any], weights: NDArray[Any], size: int) -> NDArray[Any]:
    """The sum of weights of each owner."""
    import numpy as np

    counts = np.bincount((owners.astype(np.uint16) << 8 | weights.astype(np.uint16)).ravel(), minlength=size << 8)
    return np.asarray(counts[: size << 8].reshape(size, 256) @ np.arange(256))


def _around(off: Mask) -> tuple[slice, slice]:
    """The rows and columns that hold everything that differs, two more on every side."""
    import numpy as np

    rows, columns = np.flatnonzero(off.any(axis=1)), np.flatnonzero(off.any(axis=0))
    return (
        slice(max(0, int(rows[0]) - 2), int(rows[-1]) + 3),
        slice(max(0, int(columns[0]) - 2), int(columns[-1]) + 3),
    )


def _inner(owners: NDArray[Any], border: int) -> NDArray[Any]:
    """The same without what lies along a panel's border: a neighbour's border may reach in there."""
    import numpy as np

    from ledger.pictures.rounds.differ import around

    low = high = owners
    for _ in range(border):
        low, high = around(low, np.minimum), around(high, np.maximum)
    return np.where(low == high, owners, 0)


def outline(box: Box, off: Mask) -> float:
    """Which share of a box's four sides differs."""
    high, wide = off.shape
    left, top = int(box[0] * wide), int(box[1] * high)
    right, bottom = int((box[0] + box[2]) * wide), int((box[1] + box[3]) * high)
    sides: list[Any] = []
    for row in (top, bottom):
        sides.append(off[max(0, row - 6) : row + 6, left:right].any(axis=0))
    for column in (left, right):
        sides.append(off[top:bottom, max(0, column - 6) : column + 6].any(axis=1))
    return float(sum(side.sum() for side in sides) / max(1, sum(len(side) for side in sides)))


def common_area(a: Box, b: Box) -> float:
    """The area that two boxes have in common."""
    wide = min(a[0] + a[2], b[0] + b[2]) - max(a[0], b[0])
    high = min(a[1] + a[3], b[1] + b[3]) - max(a[1], b[1])
    return max(0.0, wide) * max(0.0, high)


def overlap(a: Box, b: Box) -> float:
    """Common area of two boxes over the area of both together."""
    common = common_area(a, b)
    both = a[2] * a[3] + b[2] * b[3] - common
    return common / both if both > 0 else 0.0


def only_in(mine: Sequence[Box], others: Sequence[Box]) -> list[Box]:
    """The panels of one layout that are none of another's."""
    return [box for box in mine if all(overlap(box, other) < ONE_PANEL for other in others)]


def share_of_ink(old: Image.Image, new: Image.Image) -> float:
    """Which share of the ink of either picture is not in the other, 0 to 1; a page of another size is fitted first."""
    import numpy as np

    shrink = max(1, round(max(old.size) / _MEASURED))
    before = old.convert("RGB").reduce(shrink)
    after = new.convert("RGB")
    after = after.reduce(shrink) if after.size == old.size else after.resize(before.size)
    left, right = (255 - np.asarray(page, dtype=np.int16) for page in (before, after))
    ink = int(np.maximum(left, right).max(axis=2).sum(dtype=np.int64))
    differs = int(np.abs(left - right).max(axis=2).sum(dtype=np.int64))
    # Pictures that differ never differ by nothing, however small the spot.
    return max(0.0001, round(min(1.0, differs / ink), 4)) if ink else 0.0001
