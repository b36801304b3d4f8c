"""What became of a page whose two pictures differ: the same by a reader's eye, or which panels were touched.

Both are brought down to some 1500 px. Where a pixel lies outside everything around its place in the other picture,
they differ; where only dust does, they are the same. Else the new picture is laid over the old one and looked at
again, and only then are panels looked for on both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.model.change import PictureBox
from ledger.pictures.decode import decode, digest_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    from ledger.pictures.panels import Layout

    Mask = NDArray[np.bool_]

#: Long side in px at which the share of ink of two sizes is measured, and the one at which pictures are compared.
_MEASURED, _COMPARED = 1600, 1650
WHOLE_PAGE = (0.0, 0.0, 1.0, 1.0)
#: A rescale up to this is none; the convention says 5 %, sizes are rounded.
_RESCALED = 0.055
#: A shift up to so many px of the page is none.
_SHIFTED = 2.0
#: From which share of a panel's ink on it is redrawn, and below which nothing was done to it.
REDRAWN, UNTOUCHED = 1 / 3, 0.0015
#: Pixels of a panel that differ at least if it was touched; which overlap makes two boxes one panel.
_LEAST, _ONE_PANEL = 60, 0.7
#: Which share of a panel's outline must have changed for it to have been laid anew.
_OUTLINE = 0.15
#: Correlation of two thumbs from which they may be of one drawing.
_RESEMBLES = 0.85


@dataclass(frozen=True, slots=True)
class Verdict:
    """`kind` is "same" or one of the picture kinds; `panels` lists every panel, the changed ones with their share."""

    kind: str
    panels: tuple[PictureBox, ...] = ()


def verdict(old: Image.Image, new: Image.Image, *, rtl: bool = False) -> Verdict:
    """What became of a picture; both are decoded pages ("L" or "RGB") that are not equal pixel by pixel."""
    if any(abs(a / b - 1) > _RESCALED for a, b in zip(new.size, old.size, strict=True)):
        return Verdict("redrawn", (PictureBox(1, WHOLE_PAGE, share_of_ink(old, new)),))
    before, after = _compared(old, new)
    grey, laid, off = _differences(before, after, _SHIFTED * before.width / old.width + 0.5)
    if not off.any():
        return Verdict("same")
    return _by_panel(old, new, (grey, laid, off), rtl)


def _compared(old: Image.Image, new: Image.Image) -> tuple[Image.Image, Image.Image]:
    """Both pictures small and of one size."""
    shrink = max(1, round(max(old.size) / _COMPARED))
    before = old.reduce(shrink)
    after = new.reduce(shrink)
    return before, after if after.size == before.size else after.resize(before.size)


def _differences(before: Image.Image, after: Image.Image, most: float) -> tuple[Image.Image, Image.Image, Mask]:
    """The old picture in grey, the new one in grey laid over it, and where they differ; it may be off by `most` px."""
    from ledger.pictures.align import fitted
    from ledger.pictures.differ import same_tones, spots

    grey, laid = before.convert("L"), after.convert("L")
    laid = same_tones(grey, laid)
    off = spots(grey, laid)
    if off.any():
        moved = fitted(grey, laid, most)
        if moved is not None:
            moved = same_tones(grey, moved)
            again = spots(grey, moved)
            if again.sum() < off.sum():
                laid, off = moved, again
    if "RGB" in (before.mode, after.mode):
        off = off | _hues(before, after, off.shape)
    return grey, laid, off


def _hues(before: Image.Image, after: Image.Image, shape: tuple[int, int]) -> Mask:
    import numpy as np

    from ledger.pictures.differ import colour_spots, without_dust

    found = colour_spots(before.convert("RGB"), after.convert("RGB"))
    large = np.repeat(np.repeat(found, 8, axis=0), 8, axis=1)[: shape[0], : shape[1]]
    return without_dust(large)


def _by_panel(old: Image.Image, new: Image.Image, seen: tuple[Image.Image, Image.Image, Mask], rtl: bool) -> Verdict:
    from ledger.pictures.panels import lay_out

    grey, laid, off = seen
    before, after = lay_out(old, rtl=rtl), lay_out(new, rtl=rtl)
    layout = before
    if not _alike(before, after):
        if _laid_anew(before, after, off):
            shares = _shares(after, grey, laid, off)
            return Verdict("layout", _boxes(after, [share or 0.0 for share in shares]))
        layout = before if len(before.boxes) > 1 else after
    elif len(after.boxes) == len(before.boxes):
        layout = after
    shares = _shares(layout, grey, laid, off)
    if not any(shares):
        return Verdict("touch-up", (PictureBox(1, WHOLE_PAGE, share_of_ink(old, new)),))
    return Verdict("redrawn" if max(shares) >= REDRAWN else "touch-up", _boxes(layout, shares))


def _boxes(layout: Layout, shares: list[float]) -> tuple[PictureBox, ...]:
    pairs = zip(layout.boxes, shares, strict=True)
    return tuple(PictureBox(n, box, share) for n, (box, share) in enumerate(pairs, 1))


def _shares(layout: Layout, grey: Image.Image, laid: Image.Image, off: Mask) -> list[float]:
    """Which share of each panel's ink differs; 0 where it was not touched."""
    import numpy as np

    from ledger.pictures.differ import speck

    owners = layout.owners(off.shape)
    a, b = (255 - np.asarray(page, dtype=np.int32) for page in (grey, laid))
    wide = _widened(off)
    size = len(layout.boxes) + 1
    ink = np.bincount(owners.ravel(), weights=np.maximum(a, b).ravel(), minlength=size)
    differs = np.bincount(owners[wide], weights=np.abs(a - b)[wide], minlength=size)
    pixels = np.bincount(owners[off], minlength=size)
    shares = differs / np.maximum(ink, 1)
    touched = (pixels >= speck(off.shape, _LEAST)) & (shares >= UNTOUCHED)
    return [
        round(min(1.0, float(share)), 4) if hit else 0.0 for share, hit in zip(shares[1:], touched[1:], strict=True)
    ]


def _widened(off: Mask) -> Mask:
    import numpy as np

    from ledger.pictures.differ import around

    return np.asarray(around(off, np.maximum))


def _alike(before: Layout, after: Layout) -> bool:
    if len(before.boxes) == len(after.boxes) == 1:
        return True
    return len(before.boxes) == len(after.boxes) and all(
        overlap(a, b) >= _ONE_PANEL for a, b in zip(before.boxes, after.boxes, strict=True)
    )


def _laid_anew(before: Layout, after: Layout, off: Mask) -> bool:
    """Whether both sides have panels the other has not, and an outline of these is where the two pictures differ."""
    gone, come = _only_here(before, after), _only_here(after, before)
    return bool(gone and come) and any(_outline(box, off) > _OUTLINE for box in gone + come)


def _only_here(mine: Layout, other: Layout) -> list[tuple[float, float, float, float]]:
    """Panels that the other layout has not; none where either could not be told."""
    if not (mine.sure and other.sure):
        return []
    return [box for box in mine.boxes if all(overlap(box, each) < _ONE_PANEL for each in other.boxes)]


def _outline(box: tuple[float, float, float, float], off: Mask) -> float:
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


def overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> float:
    """Common area of two boxes over the area of both together."""
    wide = min(a[0] + a[2], b[0] + b[2]) - max(a[0], b[0])
    high = min(a[1] + a[3], b[1] + b[3]) - max(a[1], b[1])
    common = max(0.0, wide) * max(0.0, high)
    both = a[2] * a[3] + b[2] * b[3] - common
    return common / both if both > 0 else 0.0


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


def across_passes(old: Image.Image, new: Image.Image, *, rtl: bool = False) -> Verdict | None:
    """Whether a page of one pass is laid out otherwise in another, whose every line differs; None where it is not."""
    from ledger.pictures.panels import lay_out

    before, after = lay_out(old, rtl=rtl), lay_out(new, rtl=rtl)
    if _alike(before, after) or not (_only_here(before, after) and _only_here(after, before)):
        return None
    return Verdict("layout", _boxes(after, [0.0] * len(after.boxes)))


def thumb(page: Image.Image) -> NDArray[Any]:
    """A decoded page as 24 x 32 tones around 0, to know it again by."""
    import numpy as np

    small = page.reduce(max(1, min(page.size) // 64)).convert("L").resize((24, 32))
    tones = np.asarray(small, dtype=np.float32)
    return np.asarray((tones - tones.mean()) / max(1.0, float(tones.std())))


def resembles(one: NDArray[Any], other: NDArray[Any]) -> bool:
    """Whether two thumbs may be of one drawing."""
    return bool((one * other).mean() > _RESEMBLES)


def became(old: bytes, new: bytes, *, rtl: bool = False) -> Verdict:
    """What became of a picture: "same", or what `verdict` says of it. Raises Unreadable."""
    before, after = decode(old), decode(new)
    if before.size == after.size and digest_of(before) == digest_of(after):
        return Verdict("same")
    return verdict(before, after, rtl=rtl)
