"""What became of a page whose two pictures differ.

Here the whole page is one panel and whatever differs is redrawn; panel by panel, with shifts, scans and touch-ups
told apart, comes in `verdict` without its callers noticing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.model.change import PictureBox
from ledger.pictures.decode import decode, digest_of

if TYPE_CHECKING:
    from PIL import Image

#: Long side in px at which the share of ink is measured: lines are still there, and a page is done in a blink.
_MEASURED = 1600
WHOLE_PAGE = (0.0, 0.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Verdict:
    """`kind` is one of the picture kinds; `panels` lists every panel that changed."""

    kind: str
    panels: tuple[PictureBox, ...] = ()


def verdict(old: Image.Image, new: Image.Image) -> Verdict:
    """What became of a picture; both are decoded pages ("L" or "RGB") that are not equal pixel by pixel."""
    return Verdict("redrawn", (PictureBox(1, WHOLE_PAGE, share_of_ink(old, new)),))


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


def became(old: bytes, new: bytes) -> str:
    """What became of a picture, of the kinds `compare` knows: "same" or what `verdict` says. Raises Unreadable."""
    before, after = decode(old), decode(new)
    if before.size == after.size and digest_of(before) == digest_of(after):
        return "same"
    return verdict(before, after).kind
