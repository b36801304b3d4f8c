"""Two passes of a page, in which every line differs: whether it was laid out anew in between.

What is found less surely counts for less: insets do not count, and where panels share their borders a line more or
less is no new layout.
"""

from __future__ import annotations

from collections.abc import Sequence

from ledger.pictures.layout.panels import Box, Layout
from ledger.pictures.rounds.shares import common_area, only_in

#: Which share of a panel lies in another one that it is a part of.
_PART = 0.85
#: An inset is smaller than this part of its panel, and no farther out of it than this part of the page.
_INSET, _OUT = 0.6, 0.004


def laid_anew(before: Layout, after: Layout) -> bool:
    """Whether each of two layouts has panels that the other has not; not where either could not be told."""
    if not (before.sure and after.sure):
        return False
    one, other = _without_insets(before.boxes), _without_insets(after.boxes)
    if not (only_in(one, other) and only_in(other, one)):
        return False
    return not ((before.ruled or after.ruled) and (_parts_of(one, other) or _parts_of(other, one)))


def _without_insets(boxes: Sequence[Box]) -> list[Box]:
    return [box for box in boxes if not any(_lies_in(box, other) for other in boxes)]


def _lies_in(box: Box, other: Box) -> bool:
    return (
        box[2] * box[3] < _INSET * other[2] * other[3]
        and min(box[0] - other[0], box[1] - other[1]) >= -_OUT
        and max(box[0] + box[2] - other[0] - other[2], box[1] + box[3] - other[1] - other[3]) <= _OUT
    )


def _parts_of(fine: Sequence[Box], coarse: Sequence[Box]) -> bool:
    """Whether the panels of one layout are those of the other, some parted further."""
    return all(any(common_area(box, other) >= _PART * box[2] * box[3] for other in coarse) for box in fine)
