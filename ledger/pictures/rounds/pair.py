"""What became of a page whose two pictures differ: the same by a reader's eye, or which panels were touched.

Both are brought down to some 1500 px. Where a pixel lies outside everything around its place in the other picture,
they differ; where only dust does, they are the same. Else the new picture is laid over the old one and looked at
again, and only then are panels looked for on both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from ledger.model.change import PictureBox
from ledger.pictures.assistants import allow_for
from ledger.pictures.files.decode import Unreadable, decode
from ledger.pictures.files.png_chunks import SIGNATURE, only_packed_anew, read_chunks
from ledger.pictures.rounds.shares import ONE_PANEL, only_in, outline, overlap, share_of_ink, shares_of
from ledger.pictures.rounds.still import same_pixels
from ledger.pictures.verdicts import Verdict

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    from ledger.pictures.layout.panels import Box, Layout
    from ledger.pictures.rounds.differences import Differences

    Mask = NDArray[np.bool_]

#: Long side in px at which pictures are compared.
_COMPARED = 1650
WHOLE_PAGE = (0.0, 0.0, 1.0, 1.0)
#: A rescale up to this is none; the convention says 5 %, sizes are rounded.
_RESCALED = 0.055
#: A shift up to so many px of the page is none.
_SHIFTED = 2.0
#: From which share of a panel's ink on it is redrawn.
REDRAWN = 1 / 3
#: How much of a panel's side a change spans that may part or join panels.
_THROUGH = 0.75
#: Which share of a panel's outline must have changed for it to have been laid anew.
_OUTLINE = 0.15


class Sheets(NamedTuple):
    """Two pictures brought down to one size, and how many px of it a shift that is none may take."""

    old: Image.Image
    new: Image.Image
    shift: float


def verdict(old: Image.Image, new: Image.Image, *, rtl: bool = False) -> Verdict:
    """What became of a picture; both are decoded pages ("L" or "RGB")."""
    return at_once(old, new) or of_sheets(brought_down(old, new), rtl=rtl)


def at_once(old: Image.Image, new: Image.Image) -> Verdict | None:
    """What shows without a closer look: equal pixels, or quite another size; None where neither is so."""
    if any(abs(a / b - 1) > _RESCALED for a, b in zip(new.size, old.size, strict=True)):
        return Verdict("redrawn", (PictureBox(1, WHOLE_PAGE, share_of_ink(old, new)),))
    return Verdict("same") if same_pixels(old, new) else None


def brought_down(old: Image.Image, new: Image.Image) -> Sheets:
    """Both pictures small and of one size; the pages themselves are not needed any more."""
    shrink = max(1, round(max(old.size) / _COMPARED))
    before = old.reduce(shrink)
    after = new.reduce(shrink)
    after = after if after.size == before.size else after.resize(before.size)
    return Sheets(before, after, _SHIFTED * before.width / old.width + 0.5)


def of_sheets(sheets: Sheets, *, rtl: bool = False) -> Verdict:
    """What became of a picture that was brought down."""
    from ledger.pictures.rounds.differences import differences

    seen = differences(*sheets)
    return _by_panel((sheets.old, sheets.new), seen, rtl) if seen.off.any() else Verdict("same")


def _by_panel(sheets: tuple[Image.Image, Image.Image], seen: Differences, rtl: bool) -> Verdict:
    """The kind of a page that differs, with its panels as they are now, or as they were where now none is found."""
    from ledger.pictures.layout.panels import lay_out

    layout = lay_out(seen.laid, rtl=rtl)
    if not seen.still or _may_be_laid_anew(layout, seen.off):
        before = lay_out(seen.old, rtl=rtl)
        if not _alike(before, layout):
            if _laid_anew(before, layout, seen.off):
                return Verdict("layout", _boxes(layout, shares_of(layout, seen.old, seen.laid, seen.off), seen))
            layout = before if len(before.boxes) > 1 else layout
    shares = shares_of(layout, seen.old, seen.laid, seen.off)
    if not any(shares):
        return Verdict("touch-up", (PictureBox(1, WHOLE_PAGE, share_of_ink(*sheets)),))
    return Verdict("redrawn" if max(shares) >= REDRAWN else "touch-up", _boxes(layout, shares, seen))


def _boxes(layout: Layout, shares: list[float], seen: Differences) -> tuple[PictureBox, ...]:
    """The panels with their shares, where they lie in the newer picture."""
    boxes = [box if seen.fit.still else seen.fit.moved(box, seen.old.size) for box in layout.boxes]
    return tuple(PictureBox(n, box, share) for n, (box, share) in enumerate(zip(boxes, shares, strict=True), 1))


def _may_be_laid_anew(layout: Layout, off: Mask) -> bool:
    """Whether what differs in a panel goes nearly from side to side of it, as it does where a gutter came or went."""
    import numpy as np

    high, wide = off.shape
    for left, top, across, down in layout.boxes:
        part = off[int(top * high) : int((top + down) * high), int(left * wide) : int((left + across) * wide)]
        if not part.any():
            continue
        for axis, side in ((0, part.shape[1]), (1, part.shape[0])):
            marks = np.flatnonzero(part.any(axis=axis))
            if marks[-1] + 1 - marks[0] > _THROUGH * side:
                return True
    return False


def _alike(before: Layout, after: Layout) -> bool:
    if len(before.boxes) == len(after.boxes) == 1:
        return True
    return len(before.boxes) == len(after.boxes) and all(
        overlap(a, b) >= ONE_PANEL for a, b in zip(before.boxes, after.boxes, strict=True)
    )


def _laid_anew(before: Layout, after: Layout, off: Mask) -> bool:
    """Whether both sides have panels the other has not, and an outline of these is where the two pictures differ."""
    gone, come = _only_here(before, after), _only_here(after, before)
    return bool(gone and come) and any(outline(box, off) > _OUTLINE for box in gone + come)


def _only_here(mine: Layout, other: Layout) -> list[Box]:
    """Panels that the other layout has not; none where either could not be told."""
    if not (mine.sure and other.sure):
        return []
    return only_in(mine.boxes, other.boxes)


def across_passes(old: Image.Image, new: Image.Image, *, rtl: bool = False) -> Verdict | None:
    """Whether a page of one pass is laid out otherwise in another, whose every line differs; None where it is not."""
    from ledger.pictures.layout.panels import lay_out
    from ledger.pictures.rounds.passes import laid_anew

    before, after = lay_out(old, rtl=rtl), lay_out(new, rtl=rtl)
    if not laid_anew(before, after):
        return None
    return Verdict("layout", tuple(PictureBox(n, box, 0.0) for n, box in enumerate(after.boxes, 1)))


def became(old: bytes, new: bytes, *, rtl: bool = False) -> Verdict:
    """What became of a picture: "same", or what `verdict` says of it. Raises Unreadable."""
    return Verdict("same") if packed_anew(old, new) else verdict(decode(old), decode(new), rtl=rtl)


def packed_anew(old: bytes, new: bytes) -> bool:
    """Whether two PNGs differ in nothing but how hard their pixels are packed."""
    if not (old.startswith(SIGNATURE) and new.startswith(SIGNATURE)):
        return False
    try:
        both = read_chunks(old), read_chunks(new)
        allow_for(sum(each.width * each.height for each in both))
        return only_packed_anew(*both)
    except Unreadable:
        return False
