"""How much ink a page in CMYK lays on one spot: the sum of its four inks, in per cent."""

from __future__ import annotations

from typing import NamedTuple

from ledger.pictures.files.decode import inks

#: Rows that are summed at once, as pixels.
_BAND = 1 << 20
#: One per cent of full ink, in tones.
_PER_CENT = 255 / 100


class Heaviest(NamedTuple):
    """The heaviest spot of a page in per cent (400 is all four inks in full), and the share of pixels over a limit."""

    most: float
    over: float


def heaviest_ink(data: bytes, limit: float) -> Heaviest:
    """Total area coverage: (C + M + Y + K) / 255 x 100 of every pixel; a limit met exactly is not passed.

    `limit` is in per cent. Raises Unreadable, also for a picture that is not in CMYK. No profile is applied: what is
    laid down is what the file says.
    """
    import numpy as np

    image = inks(data)
    allowed = limit * _PER_CENT + 1e-6
    most, over, step = 0, 0, max(1, _BAND // image.width)
    for top in range(0, image.height, step):
        band = image.crop((0, top, image.width, min(top + step, image.height)))
        sums = np.asarray(band).sum(axis=2, dtype=np.uint16)
        most = max(most, int(sums.max()))
        over += int((sums > allowed).sum())
    return Heaviest(most / _PER_CENT, over / (image.width * image.height))
