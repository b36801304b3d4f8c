"""Pictures of a page to look at: made small, the panels that changed framed and named; and two rounds laid in one.

A frame says what happened by its line, by a sign and in a word, so that nothing hangs on its colour.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ledger.model.plate import Shown
from ledger.pictures.assistants import allow_for
from ledger.pictures.files.decode import Unreadable, blank_digest, decode, digest_of, look
from ledger.read.made_here import DIFFERENCE_PICTURE

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

    Point = tuple[float, float]

#: The blue pencil of the frames, and the paper around it that keeps it apart from black.
_PENCIL, _PAPER = (29, 79, 134), (255, 255, 255)
#: What only the old picture has, and what only the new one has: apart in lightness too.
_GONE, _COME = (230, 130, 40), (20, 60, 150)
#: How pale what both have is, 0 to 1; by how many tones a pixel must lie outside its surroundings to differ.
_PALE, _DIFFERS = 0.65, 48
_QUALITY = 70
#: Tones of grey that are kept of a page of lines: no eye misses one at this size, and it takes half the room.
_TONES = 12
#: The height of a tag's letters as a part of the page, where pages are shown large and where they are shown small.
TAG, LARGE_TAG = 1 / 42, 1 / 24
#: Below this many px no page is made smaller to save room.
_LEAST_SIDE = 400
#: Long side in px of each of the three pictures of a difference.
DIFFERENCE = 1600
#: Strokes and gaps of a dashed line, in widths of the line.
_STROKE, _GAP = 5, 3


class Frame(NamedTuple):
    """A panel to frame: its box in parts of the page, what happened to it, and the words of its tag.

    `kind` is one of the kinds of a picture: a solid line for what was redrawn, a dashed one for a touch-up, corners
    for another layout.
    """

    box: tuple[float, float, float, float]
    kind: str
    words: str


def plate(data: bytes, frames: Sequence[Frame], side: int, most: int = 1 << 30, *, tag: float = TAG) -> Shown:
    """A page as WebP with frames, its long side `side` px at most, less where it takes more than `most` bytes.

    `tag` is the height of a tag's letters as a part of the page. Raises Unreadable.
    """
    page = decode(data)
    while True:
        image = framed(_small(page, side), frames, tag)
        packed = _packed(image, grey=page.mode == "L")
        if len(packed) <= most or side <= _LEAST_SIDE:
            return Shown(packed, *image.size)
        side = max(_LEAST_SIDE, round(side * 0.8))


def small(data: bytes, side: int, most: int) -> Shown | None:
    """A page as `plate` gives it, without frames; None for what can't be read as a picture."""
    try:
        return plate(data, [], side, most)
    except Unreadable:
        return None


class Reduced(NamedTuple):
    """What is kept of a page when it is signed off: small pictures by their long side in px, and its `digest`, None
    where nobody asked."""

    small: tuple[tuple[int, Shown], ...]
    digest: str | None


def reduced(data: bytes, sides: Sequence[int], pages: int, most: int) -> Reduced | None:
    """What is kept of a page, from one decoding; None for what can't be read as a picture.

    The small pictures are those that `small` gives. The digest is told where so many `pages` of this one's size have
    no more than `most` px together; that of white paper is "".
    """
    try:
        seen = look(data)
        allow_for(seen.width * seen.height)
        page = decode(data)
    except Unreadable:
        return None
    shown = tuple((side, _shown(page, side)) for side in sides)
    several = page.width * page.height * pages
    return Reduced(shown, _digest_but_white(page) if several <= most else None)


def _shown(page: Image.Image, side: int) -> Shown:
    image = framed(_small(page, side), [])
    return Shown(_packed(image, grey=page.mode == "L"), *image.size)


def _digest_but_white(page: Image.Image) -> str:
    found = digest_of(page)
    return "" if found == blank_digest(*page.size) else found


def _packed(image: Image.Image, *, grey: bool) -> bytes:
    """The picture as WebP. Of grey pages the smaller of two: a few tones kept exactly, or a photo's way."""
    from PIL import Image

    ways = [_webp(image)]
    if grey:
        tones = [round(255 * step / (_TONES - 1)) for step in range(_TONES)]
        palette = Image.new("P", (1, 1))
        palette.putpalette([value for tone in tones for value in (tone, tone, tone)] + [*_PENCIL])
        few = image.quantize(palette=palette, dither=Image.Dither.NONE).convert("RGB")
        ways.append(_webp(few, exactly=True))
    return min(ways, key=len)


def _webp(image: Image.Image, *, exactly: bool = False) -> bytes:
    out = io.BytesIO()
    image.save(out, "WEBP", method=4, quality=_QUALITY, lossless=exactly)
    return out.getvalue()


def difference(old: bytes, new: bytes, frames: Sequence[Frame], on_old: Sequence[Frame]) -> bytes:
    """Old, both in one, and new side by side as PNG. Raises Unreadable.

    In the middle what both have is pale, what is gone orange, what has come blue.
    """
    from PIL import Image, PngImagePlugin

    before, after = _small(decode(old), DIFFERENCE), _small(decode(new), DIFFERENCE)
    laid = after if after.size == before.size else after.resize(before.size)
    sheets = [framed(before, on_old), _both(before, laid), framed(after, frames)]
    gap = max(8, before.height // 60)
    wide, high = sum(each.width for each in sheets) + 4 * gap, max(each.height for each in sheets) + 2 * gap
    sheet = Image.new("RGB", (wide, high), (128, 128, 128))
    left = gap
    for each in sheets:
        sheet.paste(each, (left, gap))
        left += each.width + gap
    about = PngImagePlugin.PngInfo()
    about.add_text("Software", DIFFERENCE_PICTURE)
    out = io.BytesIO()
    sheet.save(out, "PNG", pnginfo=about)
    return out.getvalue()


def _small(page: Image.Image, side: int) -> Image.Image:
    """The page in colours, its long side at most `side` px."""
    factor = side / max(page.size)
    grey = page if factor >= 1 else page.resize(
        (max(1, round(page.width * factor)), max(1, round(page.height * factor))), reducing_gap=3.0
    )  # fmt: skip
    return grey.convert("RGB")


def _both(old: Image.Image, new: Image.Image) -> Image.Image:
    """What both pages have in pale tones, what only one has in its colour."""
    from PIL import Image, ImageChops

    pale = Image.blend(new, Image.new("RGB", new.size, _PAPER), _PALE)
    gone, come = _only(old, new), _only(new, old)
    pale.paste(_GONE, mask=gone)
    pale.paste(_COME, mask=ImageChops.subtract(come, gone))
    return pale


def _only(mine: Image.Image, other: Image.Image) -> Image.Image:
    """Where one page is darker, in any channel, than everything around that place in the other: 255, elsewhere 0."""
    from PIL import ImageChops, ImageFilter

    darker = ImageChops.subtract(other.filter(ImageFilter.MinFilter(5)), mine)
    red, green, blue = darker.split()
    return ImageChops.lighter(ImageChops.lighter(red, green), blue).point(lambda tone: 255 * (tone > _DIFFERS))


def framed(page: Image.Image, frames: Iterable[Frame], tag: float = TAG) -> Image.Image:
    """The page with a frame and a tag on every one of these panels."""
    from PIL import ImageDraw

    sheet = page.copy()
    pen = ImageDraw.Draw(sheet)
    thick = max(2, round(max(sheet.size) / 220))
    for each in frames:
        left, top, width, height = each.box
        box = (left * page.width, top * page.height, (left + width) * page.width, (top + height) * page.height)
        inside = _inside(box, page.size, thick)
        for colour, wide in ((_PAPER, 2 * thick + 1), (_PENCIL, thick)):
            for stroke in _strokes(inside, each.kind, thick):
                pen.line(stroke, fill=colour, width=wide, joint="curve")
        _tag(pen, page.size, inside, each, thick, round(tag * max(page.size)))
    return sheet


def _inside(box: tuple[float, float, float, float], size: tuple[int, int], thick: int) -> tuple[float, ...]:
    """The box, drawn in where it would run out of the page."""
    return (max(box[0], thick), max(box[1], thick), min(box[2], size[0] - 1 - thick), min(box[3], size[1] - 1 - thick))


def _strokes(box: Sequence[float], kind: str, thick: int) -> Iterator[list[Point]]:
    """The lines of a frame: all round, dashed, or its corners alone."""
    left, top, right, bottom = box
    corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
    if kind == "layout":
        arm = max(thick * 6, min(right - left, bottom - top) / 5)
        for x, y in corners:
            across, down = (arm if x == left else -arm), (arm if y == top else -arm)
            yield [(x + across, y), (x, y), (x, y + down)]
    elif kind == "touch-up":
        for start, end in zip(corners, [*corners[1:], corners[0]], strict=True):
            yield from _dashes(start, end, thick)
    else:
        yield [*corners, corners[0], corners[1]]


def _dashes(start: Point, end: Point, thick: int) -> Iterator[list[Point]]:
    long = max(abs(end[0] - start[0]), abs(end[1] - start[1]))
    step, at = (_STROKE + _GAP) * thick, 0.0
    while at < long:
        ends = [(start[0] + (end[0] - start[0]) * part / long, start[1] + (end[1] - start[1]) * part / long)
                for part in (at, min(long, at + _STROKE * thick))]  # fmt: skip
        yield ends
        at += step


def _tag(
    pen: ImageDraw.ImageDraw, size: tuple[int, int], box: Sequence[float], frame: Frame, thick: int, letters: int
) -> None:
    """A slip of paper at the foot of the panel, since balloons hang from its top, with a sign and the words on it.

    It never runs off the page.
    """
    from PIL import ImageFont

    font = ImageFont.load_default(size=max(11, letters))
    left, top, right, bottom = pen.textbbox((0, 0), frame.words, font=font)
    pad, sign = thick + 2, bottom - top
    wide, high = right - left + sign + 3 * pad, bottom - top + 2 * pad
    x = max(0.0, min(box[0], size[0] - wide - 1))
    y = max(0.0, min(box[3] - high, size[1] - high - 1))
    pen.rectangle((x, y, x + wide, y + high), fill=_PAPER, outline=_PENCIL, width=max(1, thick // 2))
    _sign(pen, (x + pad, y + pad), sign, frame.kind)
    pen.text((x + 2 * pad + sign - left, y + pad - top), frame.words, fill=_PENCIL, font=font)


def _sign(pen: ImageDraw.ImageDraw, at: Point, size: float, kind: str) -> None:
    """A filled triangle for what was redrawn, a ring for a touch-up, a square for another layout, else a bar."""
    x, y = at
    if kind == "redrawn":
        pen.polygon([(x, y + size), (x + size / 2, y), (x + size, y + size)], fill=_PENCIL)
    elif kind == "touch-up":
        pen.ellipse((x, y, x + size, y + size), outline=_PENCIL, width=max(2, round(size / 4)))
    elif kind == "layout":
        pen.rectangle((x, y, x + size, y + size), fill=_PENCIL)
    else:
        pen.rectangle((x, y + size / 3, x + size, y + 2 * size / 3), fill=_PENCIL)
