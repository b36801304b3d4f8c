"""What two pictures have exactly in common: every pixel, or most of what is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image

#: Side of a block in px, by how many tones a block with something drawn in it varies, and which share of such blocks
#: must be equal tone for tone for a page not to have been scanned, moved or scaled.
_BLOCK, _DRAWN, _STILL = 16, 48, 0.3
#: Pixels that are held against each other at once: few enough to stay in the processor's own memory.
_BAND = 1 << 17


def same_pixels(old: Image.Image, new: Image.Image) -> bool:
    """Whether every pixel of two decoded pages ("L" or "RGB") is equal; grey in three channels is grey."""
    from PIL import ImageChops

    if old.size != new.size:
        return False
    step = max(1, _BAND // old.width)
    for top in range(0, old.height, step):
        box = (0, top, old.width, min(top + step, old.height))
        one, other = (page if step >= page.height else page.crop(box) for page in (old, new))
        if one.mode != other.mode:
            one, other = one.convert("RGB"), other.convert("RGB")
        if ImageChops.difference(one, other).getbbox():
            return False
    return True


def stands_still(old: NDArray[Any], new: NDArray[Any]) -> bool:
    """Whether most of what is drawn lies where it lay, tone for tone; both are grey tones of one size."""
    drawn = _greatest(old) >= 255 - _greatest(255 - old) + _DRAWN
    equal = _greatest((old != new).view("uint8")) == 0
    return int((drawn & equal).sum()) >= max(1.0, _STILL * int(drawn.sum()))


def stands_still_both_ways(old: NDArray[Any], new: NDArray[Any]) -> bool:
    """Whether it does where that is no matter of one direction: a straight line lies in its place however far the page
    was shifted along it. Asked of blocks whose tones vary across and down; so it is where none does."""
    was, now = _blocks(old), _blocks(new)
    drawn = _varies(was, 1) & _varies(was, 2)
    equal = (was[drawn] == now[drawn]).all(axis=(1, 2))
    return int(equal.sum()) >= _STILL * int(drawn.sum())


def _blocks(tones: NDArray[Any]) -> NDArray[Any]:
    """Every whole block by itself: block, row, column."""
    high, wide = (side // _BLOCK for side in tones.shape)
    cut = tones[: high * _BLOCK, : wide * _BLOCK].reshape(high, _BLOCK, wide, _BLOCK)
    return cut.swapaxes(1, 2).reshape(-1, _BLOCK, _BLOCK)


def _varies(blocks: NDArray[Any], axis: int) -> NDArray[Any]:
    """Which blocks have something drawn in a column (axis 1) or a row (axis 2) of theirs."""
    apart = blocks.max(axis=axis) - blocks.min(axis=axis)
    which: NDArray[Any] = (apart >= _DRAWN).any(axis=1)
    return which


def _greatest(tones: NDArray[Any]) -> NDArray[Any]:
    """The greatest value of every whole block."""
    high, wide = (side // _BLOCK for side in tones.shape)
    rows = tones[: high * _BLOCK, : wide * _BLOCK].reshape(high, _BLOCK, wide * _BLOCK).max(axis=1)
    tops: NDArray[Any] = rows.reshape(high, wide, _BLOCK).max(axis=2)
    return tops.astype("int16")
