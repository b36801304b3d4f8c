"""Pages of a packet as pictures: small enough to be sent by mail, large enough to be read."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

from ledger.model.plate import Shown
from ledger.pictures.decode import decode

if TYPE_CHECKING:
    from PIL import Image

#: Long side in px; no page is made larger than it is.
SIDE = 960
#: What a packet's pictures may take together: written out in a page they stay below 15 MiB.
MOST_BYTES = 11_500_000
#: From fine to coarse: a page that takes more than its share is packed again, more coarsely.
_QUALITIES = (75, 55, 35)


def leaf(data: bytes, share: int) -> Shown:
    """A page as WebP, of about `share` bytes at most. Raises Unreadable."""
    image = _small(decode(data))
    packed = b""
    for quality in _QUALITIES:
        out = io.BytesIO()
        image.save(out, "WEBP", method=3, quality=quality)
        packed = out.getvalue()
        if len(packed) <= share:
            break
    return Shown(packed, *image.size)


def _small(page: Image.Image) -> Image.Image:
    factor = SIDE / max(page.size)
    if factor >= 1:
        return page
    size = max(1, round(page.width * factor)), max(1, round(page.height * factor))
    return page.resize(size, reducing_gap=3.0)
