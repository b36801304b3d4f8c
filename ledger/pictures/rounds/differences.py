"""Two pictures of one page set against each other: what moved as a whole is laid back first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

    from ledger.pictures.rounds.align import Fit

    Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Differences:
    """Two grey pages of one size, the newer one as it is laid over the older, and where they differ.

    `fit` is how it had moved; `still` is whether most of what is drawn is equal tone for tone in its place: then
    nothing was scanned or moved.
    """

    old: Image.Image
    laid: Image.Image
    off: Mask
    fit: Fit
    still: bool


def differences(before: Image.Image, after: Image.Image, most: float) -> Differences:
    """Where two pages of one size ("L" or "RGB") differ; what is drawn may lie up to `most` px from its place."""
    import numpy as np

    from ledger.pictures.rounds.align import Fit
    from ledger.pictures.rounds.still import stands_still, stands_still_both_ways

    old, new = before.convert("L"), after.convert("L")
    tones = np.asarray(old), np.asarray(new)
    still = stands_still(*tones)
    laid, off, fit = new, _off(old, new) if still else None, Fit()
    if off is None or (off.any() and not stands_still_both_ways(*tones)):
        still, (laid, off, fit) = False, _laid_over(old, new, most)
    if "RGB" in (before.mode, after.mode):
        off = off | _hues(before, after, off.shape)
    return Differences(old, laid, off, fit, still)


def _off(old: Image.Image, new: Image.Image) -> Mask:
    """Where they differ, sought only where any tone does."""
    import numpy as np
    from PIL import ImageChops

    from ledger.pictures.rounds.differ import spots_within

    box = ImageChops.difference(old, new).getbbox()
    return spots_within(old, new, box) if box else np.zeros((old.height, old.width), dtype=bool)


def _laid_over(old: Image.Image, new: Image.Image, most: float) -> tuple[Image.Image, Mask, Fit]:
    """The new page with the old one's tones, laid over it where it moved; where they differ; how it moved."""
    from ledger.pictures.rounds.align import Fit, fitted, laid_upon
    from ledger.pictures.rounds.differ import same_tones, spots

    laid = same_tones(old, new)
    off = spots(old, laid)
    fit = fitted(old, laid, most) if off.any() else None
    if fit is None:
        return laid, off, Fit()
    # The tones anew, from those it came with: a curve sought before lines lay on lines may have made ink grey.
    moved = same_tones(old, laid_upon(old, new, fit))
    again = spots(old, moved)
    return (moved, again, fit) if again.sum() < off.sum() else (laid, off, Fit())


def _hues(before: Image.Image, after: Image.Image, shape: tuple[int, int]) -> Mask:
    """Where only the hue differs."""
    import numpy as np

    from ledger.pictures.rounds.differ import colour_spots, without_dust

    found = colour_spots(before.convert("RGB"), after.convert("RGB"))
    if not found.any():
        return np.zeros(shape, dtype=bool)
    return without_dust(np.repeat(np.repeat(found, 8, axis=0), 8, axis=1)[: shape[0], : shape[1]])
