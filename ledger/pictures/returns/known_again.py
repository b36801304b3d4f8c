"""Which delivered page a sheet of a proof shows, though it is smaller, grey, compressed or trimmed at its edges.

A page is known by its tones as a whole first, then looked at again more strictly: what two pages with the same panels
have in common is their large shapes, so the second look heeds only what differs from its surroundings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image

    Tones = NDArray[Any]
    #: Shares of a page cut off: left, top, right, bottom.
    Cut = tuple[float, float, float, float]

#: Width and height of the small picture that a page is looked for with, and of that for the second look (own choice).
SIDE, FINE = (24, 36), (48, 72)
#: Shares of a side that a printer may have trimmed, tried at left and right alike and at top and bottom alike.
CUTS = (0.0, 0.0133, 0.0267, 0.04)
#: The short side in px that a page is brought down to, and how many times longer the long one may be.
SHORT, LONGEST = 200, 6
#: Correlation from which a page is looked at again, and from which a sheet may be called like it (own choice). So many
#: of the likest are looked at.
_MAY, _LIKE, _LIKEST = 0.6, 0.75, 4
#: Agreement of what stands out from its surroundings: a sheet is the page from the first on, and at once from the
#: second (own choice: trimmed, grey JPEGs of 72 to 150 ppi had .95 or more with their own page, those of other books
#: with the very same panels .73 or less). Another page is out of the question where it is so many times further away.
_IS, _SURELY, _CLEARLY = 0.84, 0.93, 1.5
#: Px of the small picture around a spot that count as its surroundings.
_AROUND = 2
#: Steps by which the edges of a trimmed page are sought, and the most that may be cut off a side.
_STEPS, _MOST_CUT = (0.016, 0.008, 0.004), 0.08
#: A page's shape may differ by so much; a page whose tones spread less than this is plain paper, or one plain black.
_SHAPE, _FLAT, _SAME_TONE = 0.15, 3.0, 64
#: A tone that differs so much from the paper's is something on it.
_ON_PAPER = 24


class Small(NamedTuple):
    """A page brought down: `px` is its width and height as seen, `size` those of its grey `tones`, row by row."""

    px: tuple[int, int]
    size: tuple[int, int]
    tones: bytes


class Shown(NamedTuple):
    """What a sheet shows: the pages that it may be (of several each as likely), the likest where it is none of them.

    `turned` is "upside-down" or "mirrored" where it shows them so. `flat` is the tone (0 black, 255 white) of a sheet
    that shows nothing else, else None.
    """

    pages: tuple[str, ...] = ()
    likest: str = ""
    flat: float | None = None
    turned: str = ""


def small(data: bytes) -> Small:
    """A page brought down, from its file. Raises Unreadable."""
    from ledger.pictures.files.decode import decode

    return brought_down(decode(data))


def small_or_why(data: bytes) -> Small | str:
    """The same, or why the picture can't be read: a job for an assistant."""
    from ledger.pictures.assistants import allow_for
    from ledger.pictures.files.decode import Unreadable, look

    try:
        wide, high = look(data).size
        allow_for(wide * high)
        return small(data)
    except Unreadable as fault:
        return fault.reason


def brought_down(page: Image.Image) -> Small:
    """The same of a picture already decoded."""
    grey = page.convert("L")
    grey = grey.reduce(max(1, min(grey.size) // SHORT))
    if max(grey.size) > SHORT * LONGEST:
        grey.thumbnail((SHORT * LONGEST, SHORT * LONGEST))
    return Small(page.size, grey.size, grey.tobytes())


class Shelf:
    """The pages that were delivered, each under a name of the caller's."""

    def __init__(self, pages: Sequence[tuple[str, Small]]) -> None:
        import numpy as np

        self.flat = [(name, tone) for name, page in pages if (tone := plain(page)) is not None]
        whole = [(name, page) for name, page in pages if plain(page) is None]
        self.names = [name for name, _ in whole]
        self.shapes = np.asarray([page.px[0] / page.px[1] for _, page in whole])
        self.pages = [_image(page) for _, page in whole]
        self.cuts = [[*_evenly(), _margins(page)] for page in self.pages]
        rows = [[_tones(page, SIDE, cut) for cut in cuts] for page, cuts in zip(self.pages, self.cuts, strict=True)]
        self.rows = np.asarray(rows, dtype=np.float32).reshape(len(whole), len(CUTS) ** 2 + 1, SIDE[0] * SIDE[1])

    def shown(self, sheet: Small) -> Shown:
        """What a sheet shows, as it is or without the paper around it, else turned or mirrored."""
        tone = plain(sheet)
        if tone is not None:
            return Shown(tuple(name for name, other in self.flat if abs(tone - other) < _SAME_TONE), flat=tone)
        image = _image(sheet)
        found = self._seen(image)
        for name, way in _turned() if not found.pages else ():
            if (turned := self._seen(image.transpose(way))).pages:
                return turned._replace(turned=name)
        return found

    def _seen(self, image: Image.Image) -> Shown:
        found = self._shown(image)
        margins = _margins(image)
        if found.pages or not any(margins):
            return found
        left, top, right, bottom = _box(image, margins)
        inner = self._shown(image.crop((round(left), round(top), round(right), round(bottom))))
        return inner if inner.pages else found

    def _shown(self, sheet: Image.Image) -> Shown:
        likest = self._likest(sheet)
        agreed = sorted(((self._agreement(sheet, at, cut), at) for at, cut, _ in likest), reverse=True)
        if not agreed or agreed[0][0] < _IS:
            return Shown(likest=self.names[likest[0][0]] if likest and likest[0][2] >= _LIKE else "")
        apart = (1 - agreed[0][0]) * _CLEARLY
        return Shown(tuple(self.names[at] for agrees, at in agreed if agrees >= _IS and 1 - agrees <= apart))

    def _likest(self, sheet: Image.Image) -> list[tuple[int, Cut, float]]:
        """The pages that a sheet may show: which, how it is cut, and how much they have in common."""
        if not self.names:
            return []
        common = self.rows @ _tones(sheet, SIDE)
        best = common.max(axis=1)
        best[abs(self.shapes / (sheet.width / sheet.height) - 1) > _SHAPE] = -1
        order = best.argsort()[::-1][:_LIKEST]
        return [(int(at), self.cuts[at][int(common[at].argmax())], float(best[at])) for at in order if best[at] >= _MAY]

    def _agreement(self, sheet: Image.Image, at: int, cut: Cut) -> float:
        """How much of what stands out is alike; the edges are sought where that is not plain at once."""
        page, details = self.pages[at], _details(sheet)
        found = float(_details(page, cut) @ details)
        if found >= _SURELY:
            return found
        return max(found, float(_details(page, _edges(page, _tones(sheet, FINE), cut)) @ details))


def parted(sheet: Small) -> tuple[Small, Small]:
    """The left and the right half."""
    image, (wide, high) = _image(sheet), sheet.size
    boxes = ((0, 0, wide // 2, high), (wide - wide // 2, 0, wide, high))
    left, right = (image.crop(box) for box in boxes)
    px = (max(1, sheet.px[0] // 2), sheet.px[1])
    return Small(px, left.size, left.tobytes()), Small(px, right.size, right.tobytes())


def laid(page: Small, on_its_side: bool, leftwards: bool, upwards: bool) -> Small:
    """A page as a file lays it: its rows running down, and what is shown from right to left or from below upwards."""
    from PIL.Image import Transpose

    image, px = _image(page), page.px
    if on_its_side:
        image, px = image.transpose(Transpose.TRANSPOSE), (px[1], px[0])
    if leftwards:
        image = image.transpose(Transpose.FLIP_LEFT_RIGHT)
    if upwards:
        image = image.transpose(Transpose.FLIP_TOP_BOTTOM)
    return Small(px, image.size, image.tobytes())


def packed(page: Small) -> str:
    """The page as text that a pipe can carry."""
    from base64 import b64encode

    return f"{page.px[0]} {page.px[1]} {page.size[0]} {page.size[1]} {b64encode(page.tones).decode()}"


def unpacked(text: str) -> Small:
    """What `packed` gave."""
    from base64 import b64decode

    *numbers, tones = text.split(" ")
    wide, high, across, down = map(int, numbers)
    return Small((wide, high), (across, down), b64decode(tones))


def plain(page: Small) -> float | None:
    """The tone of a page that shows nothing but its paper, or is all black; None for any other."""
    import numpy as np

    tones = np.frombuffer(page.tones, dtype=np.uint8)
    return float(tones.mean()) if float(tones.std()) < _FLAT else None


# -- the small pictures


def _image(page: Small) -> Image.Image:
    from PIL import Image

    return Image.frombytes("L", page.size, page.tones)


def _turned() -> Iterator[tuple[str, Any]]:
    from PIL.Image import Transpose

    yield "upside-down", Transpose.ROTATE_180
    yield "mirrored", Transpose.FLIP_LEFT_RIGHT


def _evenly() -> Iterator[Cut]:
    return ((x, y, x, y) for x in CUTS for y in CUTS)


def _margins(page: Image.Image) -> Cut:
    """The shares of the sides that are bare paper, told by the corners; none where the corners differ."""
    corners = [page.getpixel((x, y)) for x in (0, page.width - 1) for y in (0, page.height - 1)]
    paper = sorted(int(tone) for tone in corners if isinstance(tone, (int, float)))
    found = page.point([255 * (abs(tone - paper[1]) > _ON_PAPER) for tone in range(256)]).getbbox()
    if paper[-1] - paper[0] > _ON_PAPER or found is None:
        return (0.0, 0.0, 0.0, 0.0)
    left, top, right, bottom = found
    return (left / page.width, top / page.height, 1 - right / page.width, 1 - bottom / page.height)


def _box(page: Image.Image, cut: Cut) -> tuple[float, float, float, float]:
    left, top, right, bottom = cut
    return (page.width * left, page.height * top, page.width * (1 - right), page.height * (1 - bottom))


def _tones(page: Image.Image, size: tuple[int, int], cut: Cut = (0.0, 0.0, 0.0, 0.0)) -> Tones:
    """The tones of a part of a page, around 0 and of length 1."""
    import numpy as np
    from PIL import Image

    return _even(np.asarray(page.resize(size, Image.Resampling.BOX, box=_box(page, cut)), dtype=np.float32))


def _details(page: Image.Image, cut: Cut = (0.0, 0.0, 0.0, 0.0)) -> Tones:
    """By how much every spot differs from its surroundings, of length 1."""
    import numpy as np
    from PIL import Image, ImageFilter

    part = page.resize(FINE, Image.Resampling.BOX, box=_box(page, cut))
    around = part.filter(ImageFilter.BoxBlur(_AROUND))
    return _even(np.asarray(part, dtype=np.float32) - np.asarray(around, dtype=np.float32))


def _even(tones: Tones) -> Tones:
    import numpy as np

    level = tones.ravel() - tones.mean()
    return np.asarray(level / max(1e-6, float(np.sqrt(level @ level))))


def _edges(page: Image.Image, sheet: Tones, cut: Cut) -> Cut:
    """Where a page was trimmed so that it is likest to a sheet: side by side, in ever smaller steps."""
    best = float(_tones(page, FINE, cut) @ sheet)
    for step in _STEPS:
        for side in (0, 1, 2, 3) * 2:
            for by in (step, -step):
                while True:
                    moved = _moved(cut, side, by)
                    found = float(_tones(page, FINE, moved) @ sheet) if moved != cut else -1.0
                    if found <= best:
                        break
                    best, cut = found, moved
    return cut


def _moved(cut: Cut, side: int, by: float) -> Cut:
    sides = list(cut)
    sides[side] = min(max(_MOST_CUT, cut[side]), max(0.0, cut[side] + by))
    return (sides[0], sides[1], sides[2], sides[3])
