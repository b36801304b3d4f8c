"""Pages of a packet as pictures: small enough to be sent by mail, large enough to be read."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from ledger.model.plate import Shown
from ledger.pictures.files.decode import decode

if TYPE_CHECKING:
    from PIL import Image

#: Long side in px; no page is made larger than it is.
SIDE = 960
#: What a packet's pictures may take together: written out in a page they stay below 15 MiB.
MOST_BYTES = 11_500_000
#: From fine to coarse: a page that takes more than its share is packed again, more coarsely.
_QUALITIES = (75, 55, 35, 20)
#: A page that takes less than this part of its share lets the next one be finer.
_ROOMY = 0.6


def leaf(data: bytes, share: int, first: int = 0) -> tuple[Shown, int]:
    """A page as WebP, of about `share` bytes at most, and the step of coarseness to begin the next page with.

    Pages of a pass are much alike: the step that served one mostly serves the next, and none is packed twice for
    nothing. Raises Unreadable.
    """
    image = _small(decode(data))
    packed, step = b"", first
    for step in range(first, len(_QUALITIES)):
        out = io.BytesIO()
        image.save(out, "WEBP", method=3, quality=_QUALITIES[step])
        packed = out.getvalue()
        if len(packed) <= share:
            break
    return Shown(packed, *image.size), step if len(packed) > _ROOMY * share else max(0, step - 1)


def _small(page: Image.Image) -> Image.Image:
    factor = SIDE / max(page.size)
    if factor >= 1:
        return page
    size = max(1, round(page.width * factor)), max(1, round(page.height * factor))
    return page.resize(size, reducing_gap=3.0)
