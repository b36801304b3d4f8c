"""Faults planted in a made return, each of one of the checks of T-176; what the judgement must name, and may."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from PIL import Image, ImageChops, ImageDraw, ImageFilter
from PIL.Image import Transpose

from tests.bench.returns.made import WHITE, Made


@dataclass
class Planted:
    """A return with faults: the rules that must be named, and those that may be besides.

    `lines_at` is the one pixel of the line art that was touched, `raw` what lies there in place of a page.
    """

    made: Made
    must: set[str] = field(default_factory=set)
    may: set[str] = field(default_factory=set)
    lines_at: tuple[int, int] | None = None
    raw: bytes | None = None
    jpeg: bool = False

    def left_open(self, rule: str) -> None:
        """What another fault hides may be named or not: gaps once the size is wrong, mixed colours in other inks."""
        self.must.discard(rule)
        self.may.add(rule)


Fault = Callable[[Planted, random.Random], bool]


def size(planted: Planted, dice: random.Random) -> bool:
    """A side shorter or longer by one px or more, or the sides exchanged."""
    made = planted.made
    wide, high = made.flats.size
    way = dice.randrange(3)
    if way == 0:
        made.flats = made.flats.crop((0, 0, wide - dice.randrange(1, 9), high))
    elif way == 1:
        made.flats = made.flats.resize((wide, high + dice.choice([1, 30])), Image.Resampling.NEAREST)
    else:
        made.flats = made.flats.transpose(Transpose.ROTATE_90)
    planted.must.add("return-size")
    planted.left_open("pixels-uncoloured")
    return True


def mode(planted: Planted, dice: random.Random) -> bool:
    """Grey, black and white, CMYK, or a JPEG."""
    made = planted.made
    way = dice.choice(["L", "CMYK", "JPEG"])
    planted.jpeg = way == "JPEG"
    made.flats = made.flats.convert("RGB" if way == "JPEG" else way)
    planted.must.add("return-mode")
    planted.left_open("pixels-uncoloured")
    if way != "L":
        planted.left_open("edges-smoothed")
    return True


def line(planted: Planted, dice: random.Random) -> bool:
    """One pixel, a stroke, moved by a px, upside down, or of another size."""
    lines = planted.made.lines.copy()
    way = dice.randrange(5)
    if way == 0:
        at = (dice.randrange(lines.width), dice.randrange(lines.height))
        tone = lines.convert("L").getpixel(at)
        lines.putpixel(at, 255 if tone == 0 else 0 if lines.mode == "1" else int(tone) - 1)  # type: ignore[arg-type]
        planted.lines_at = at
    elif way == 1:
        ends = [dice.randrange(side) for side in (*lines.size, *lines.size)]
        ImageDraw.Draw(lines).line(ends, fill=0, width=3)
    elif way == 2:
        lines = ImageChops.offset(lines, 1, 0) if lines.mode != "1" else ImageChops.offset(lines.convert("L"), 1, 0)
    elif way == 3:
        lines = lines.transpose(Transpose.ROTATE_180)
    else:
        lines = lines.resize((lines.width, lines.height - 1))
    planted.made.lines = lines
    planted.must.add("line-art-changed")
    return True


def edges(planted: Planted, dice: random.Random) -> bool:
    """A soft brush or a fill with smoothed edges, or the whole page brought down from twice its size."""
    made = planted.made
    if dice.random() < 0.3:
        made.flats = _whole_smoothed(made.flats, made.reached)
    else:
        _smoothed_fill(made, dice)
    planted.must.add("edges-smoothed")
    return True


def _whole_smoothed(flats: Image.Image, reached: Image.Image) -> Image.Image:
    """Smoothed inside the panels only: what is transparent stays as it was."""
    soft = flats.convert("RGB").resize((flats.width // 2, flats.height // 2), Image.Resampling.BOX)
    found = flats.convert("RGB").copy()
    found.paste(soft.resize(flats.size, Image.Resampling.BICUBIC), mask=reached)
    if flats.mode == "RGBA":
        found.putalpha(flats.getchannel("A"))
    return found


def _smoothed_fill(made: Made, dice: random.Random) -> None:
    left, top, right, bottom = made.reached.getbbox() or (0, 0, *made.flats.size)
    reach = dice.randrange(6, 60)
    while True:
        x, y = dice.randrange(left, right), dice.randrange(top, bottom)
        if made.reached.getpixel((x, y)):
            break
    large = Image.new("L", (8 * reach + 32, 8 * reach + 32))
    ImageDraw.Draw(large).ellipse((16, 16, 16 + 8 * reach, 16 + 8 * reach), fill=255)
    stamp = large.reduce(4)
    mask = Image.new("L", made.flats.size)
    mask.paste(stamp, (x - reach, y - reach))
    mask = ImageChops.multiply(mask, made.reached.convert("L"))
    found = made.flats.convert("RGB")
    found.paste(tuple(dice.randrange(250) for _ in range(3)), mask=mask)
    if made.flats.mode == "RGBA":
        found.putalpha(made.flats.getchannel("A"))
    made.flats = found


def bare(planted: Planted, dice: random.Random) -> bool:
    """Gaps under the lines, a hole, a region left out; transparent where the page has transparency, else white."""
    made = planted.made
    deep = made.reached.convert("L").reduce(4).point(lambda t: 255 if t == 255 else 0).filter(ImageFilter.MinFilter(9))
    deep = deep.resize(made.flats.size, Image.Resampling.NEAREST)
    ink = made.given.convert("L").point(lambda tone: 255 if tone < 40 else 0)
    anywhere = made.flats.mode == "RGBA" and dice.random() < 0.5
    spot = _spot(dice, deep if anywhere else ImageChops.multiply(deep, ink))
    if spot is None:
        return False
    if made.flats.mode == "RGBA":
        alpha = made.flats.getchannel("A")
        alpha.paste(dice.choice([0, 0, 0, 128]), mask=spot)
        made.flats.putalpha(alpha)
    else:
        red, green, blue = (band.point(lambda tone: 255 * (tone == 255)) for band in made.flats.split())
        white = ImageChops.multiply(ImageChops.multiply(red, green), blue)
        if ImageChops.multiply(white.filter(ImageFilter.MaxFilter(15)), spot).getbbox():
            return False
        made.flats = made.flats.copy()
        made.flats.paste(WHITE, mask=spot)
    planted.must.add("pixels-uncoloured")
    return True


def _spot(dice: random.Random, where: Image.Image) -> Image.Image | None:
    """A small piece of what is marked, around one pixel of it."""
    for _ in range(400):
        x, y = dice.randrange(where.width), dice.randrange(where.height)
        if where.getpixel((x, y)):
            reach = dice.choice([0, 1, 3, 12])
            mask = Image.new("L", where.size)
            ImageDraw.Draw(mask).rectangle((x - reach, y - reach, x + reach, y + reach), fill=255)
            return ImageChops.multiply(mask, where)
    return None


def torn(planted: Planted, dice: random.Random) -> bool:
    """Half a file, nothing, or something else."""
    planted.raw = dice.choice([b"", b"%PDF-1.7\n", b"half"])
    planted.must = {"export-unreadable"} | (planted.must & {"line-art-changed"})
    return True


FAULTS: Mapping[str, Fault] = {"bare": bare, "edges": edges, "line": line, "size": size, "mode": mode, "torn": torn}
