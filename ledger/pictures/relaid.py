"""Whether the panels that one layout has and another has not are really not there, or were only not found.

Where a border or a gutter of one page lies, the other page is asked: a border that is there too is drawn along nearly
all its length, and a gutter that is there too is clear.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    from ledger.pictures.panels import Layout

    Mask = NDArray[np.bool_]

#: Which share of a border is drawn at least, and of a gutter clear, on a page that has it too; less of the border,
#: but not less than the last, beside a gutter that is clear all along.
_DRAWN, _CLEAR, _ALL_CLEAR, _SCARCE = 0.9, 0.8, 0.9, 0.3
#: The least length of a border, and of one whose gutter is looked at, as parts of a page's shorter side.
_SHORT, _LONG = 0.08, 0.28
#: How far apart two borders may lie to be one, px of a small page; tones by which an edge or a clear gutter differ.
_NEAR, _EDGE, _TONES = 6, 90, 70


def has_borders_of_its_own(mine: Layout, page: Image.Image, other: Layout, others: Image.Image) -> bool:
    """Whether a border of one page is not there on the other page; both with their layouts."""
    import numpy as np

    if mine.map is None:
        return False
    panels, shape = mine.map, mine.map.shape
    new = _borders(panels) & ~_spread(_borders(other.owners(shape)), _NEAR)
    new[:_NEAR] = new[-_NEAR:] = False
    new[:, :_NEAR] = new[:, -_NEAR:] = False
    here, there = _tones(page, shape), _tones(others, shape)
    drawn = _edges(there)
    for number in range(1, len(mine.boxes) + 1):
        border = new & _spread(panels == number, 1)
        long = int(border.sum())
        if long < _SHORT * min(shape):
            continue
        gutter = _spread(border, _NEAR - 1) & (panels == 0) & ~_spread(border, 1)
        clear = None
        if gutter.sum() > 2 * long:
            clear = float((np.abs(there[gutter] - np.median(here[gutter])) < _TONES).mean())
        line = float(drawn[border].mean())
        if line < _DRAWN and (clear is None or clear < _ALL_CLEAR or line < _SCARCE):
            return True
        if clear is not None and clear < _CLEAR and long >= _LONG * min(shape):
            return True
    return False


def _borders(panels: NDArray[Any]) -> Mask:
    """Where one panel ends."""
    import numpy as np

    found = np.zeros(panels.shape, dtype=bool)
    found[:, 1:] |= panels[:, 1:] != panels[:, :-1]
    found[1:] |= panels[1:] != panels[:-1]
    return found


def _spread(mask: Mask, reach: int) -> Mask:
    import numpy as np

    from ledger.pictures.differ import around

    for _ in range(reach):
        mask = around(mask, np.maximum)
    return mask


def _tones(page: Image.Image, shape: tuple[int, ...]) -> NDArray[Any]:
    """A page of this height and width in px, its ink at 0 and its paper at 255."""
    import numpy as np

    small = page.convert("L").reduce(max(1, round(page.height / shape[0]))).resize((shape[1], shape[0]))
    tones = np.asarray(small, dtype=np.int16)
    ink, paper = np.percentile(tones[::3, ::3], (1, 97))
    return np.asarray(np.clip((tones - ink) * (255 / max(40.0, paper - ink)), 0, 255).astype(np.int16))


def _edges(tones: NDArray[Any]) -> Mask:
    """Where tones change within two px."""
    import numpy as np

    from ledger.pictures.differ import around

    low, high = (around(around(tones, which), which) for which in (np.minimum, np.maximum))
    return np.asarray(high - low >= _EDGE)
