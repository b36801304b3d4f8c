"""Pictures that are shown beside what is said of them."""

from __future__ import annotations

from typing import NamedTuple

from ledger.model.change import PictureChange


class Shown(NamedTuple):
    """A picture as a file (WebP), with its width and height in px."""

    data: bytes
    width: int
    height: int


class Plate(NamedTuple):
    """A page whose picture changed, as it was and as it is; None where there is none, or where it can't be read.

    The panels that changed are framed on both; where the page was laid out anew, on the new one alone.
    """

    picture: PictureChange
    old: Shown | None = None
    new: Shown | None = None


class Plates(NamedTuple):
    """What is shown of a comparison, in page order; `left_out` counts changed pages beyond what one file can carry."""

    shown: tuple[Plate, ...] = ()
    left_out: int = 0


#: A comparison that is told in words alone.
NO_PLATES = Plates()
