"""The colours of a decoded page as one number a pixel, a band of rows at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image

#: Pixels of a band: as many as stay near the processor.
_BAND = 1 << 17
WHITE = 0xFFFFFFFF


class Band(NamedTuple):
    """Rows of colours, `top` rows of the page above them; rows `first` to `last` (not included) are the band's own.

    A colour of "L" is its tone (8 bits); of "RGB" it has 32 bits, red the lowest, the highest eight all set.
    """

    colours: NDArray[Any]
    top: int
    first: int
    last: int


def bands(page: Image.Image, above: int = 0, below: int = 0) -> Iterator[Band]:
    """The bands of a page ("L" or "RGB") from its top, each with so many rows of its neighbours where there are any."""
    import numpy as np

    step = max(16, _BAND // page.width)
    for top in range(0, page.height, step):
        begin, end = max(0, top - above), min(page.height, top + step + below)
        piece = page.crop((0, begin, page.width, end))
        if piece.mode == "L":
            colours = np.frombuffer(piece.tobytes(), dtype=np.uint8)
        else:
            # Pillow holds RGB in four bytes a pixel, so that this is a plain copy; the fourth byte is nobody's.
            colours = np.frombuffer(piece.tobytes("raw", "RGBX"), dtype="<u4") | np.uint32(0xFF000000)
        yield Band(colours.reshape(-1, page.width), begin, top - begin, min(page.height, top + step) - begin)


class White:
    """Which pixels of a page are white: asked band by band of bands that pass by, or of the page by itself."""

    def __init__(self, page: Image.Image) -> None:
        self._page = page
        self._white = 255 if page.mode == "L" else WHITE
        self._rows: list[NDArray[Any]] = []

    def watching(self, passing: Iterable[Band]) -> Iterator[Band]:
        """The same bands, all of the page."""
        for band in passing:
            self._rows.append(band.colours[band.first : band.last] == self._white)
            yield band

    def mask(self) -> NDArray[Any]:
        """The pixels that are white, row by row."""
        import numpy as np

        if not self._rows:
            for _ in self.watching(bands(self._page)):
                pass
        return np.concatenate(self._rows)
