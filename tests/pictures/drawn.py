"""Pages drawn in code, and the ways in which programs save them."""

from __future__ import annotations

import io
import random
import struct
import zlib
from typing import Any

from PIL import Image, ImageDraw

SIZE = (240, 360)


def inked(seed: int = 1, size: tuple[int, int] = SIZE) -> Image.Image:
    """A page in black and white: two panels, strokes, a black; another seed is another drawing."""
    draw_with = random.Random(seed)
    width, height = size
    page = Image.new("1", size, 1)
    pen = ImageDraw.Draw(page)
    for top in (0.05, 0.53):
        box = (width * 0.06, height * top, width * 0.94, height * (top + 0.42))
        pen.rectangle(box, outline=0, width=3)
        for _ in range(14):
            x, y = draw_with.uniform(box[0], box[2]), draw_with.uniform(box[1], box[3])
            pen.line((x, y, x + draw_with.uniform(-40, 40), y + draw_with.uniform(-40, 40)), fill=0, width=2)
    x, y = draw_with.uniform(0.2, 0.6) * width, draw_with.uniform(0.1, 0.8) * height
    pen.ellipse((x, y, x + width * 0.2, y + height * 0.1), fill=0)
    return page


def shaded(seed: int = 1, size: tuple[int, int] = SIZE) -> Image.Image:
    """The same page in 256 greys."""
    ramp = Image.linear_gradient("L").resize(size)
    page = inked(seed, size).convert("L")
    return Image.composite(page, ramp, page.point(lambda tone: 255 - tone))


def coloured(seed: int = 1, size: tuple[int, int] = SIZE) -> Image.Image:
    """The same page in colour."""
    grey = shaded(seed, size)
    return Image.merge("RGB", (grey, grey.point(lambda tone: tone // 2), grey.point(lambda tone: 255 - tone)))


def saved(page: Image.Image, form: str = "PNG", **how: Any) -> bytes:
    """A page as a file."""
    out = io.BytesIO()
    page.save(out, form, **how)
    return out.getvalue()


def widened(grey: Image.Image, factor: int) -> Image.Image:
    """8-bit tones as 16-bit ones: by 257, which keeps white white, or by 256, which only moves the bits."""
    tones = b"".join(struct.pack("<H", tone * factor) for tone in grey.tobytes())
    return Image.frombytes("I;16", grey.size, tones)


def chunk(name: bytes, body: bytes, check: int | None = None) -> bytes:
    """A PNG chunk, with a wrong checksum where one is given."""
    right = zlib.crc32(name + body)
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", right if check is None else check)


def with_chunk(png: bytes, *chunks: bytes) -> bytes:
    """A PNG with chunks put behind its header."""
    return png[:33] + b"".join(chunks) + png[33:]


def rotation(orientation: int) -> bytes:
    """An EXIF block that holds the rotation tag alone."""
    return b"MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01" + struct.pack(">HH", orientation, 0) + b"\0\0\0\0"


def tiff_by_hand(
    pixels: bytes, size: tuple[int, int], bits: int, photometric: int, samples: int = 1, *, order: str = "<",
    extra: int | None = None,
) -> bytes:  # fmt: skip
    """A TIFF of one strip, nothing packed (TIFF Revision 6.0, pp. 13-16); `extra` is an extra sample."""
    depths = struct.pack(f"{order}{samples}H", *[bits] * samples)
    shorts = {258: depths, 259: 1, 262: photometric, 277: samples} | ({338: extra} if extra is not None else {})
    longs = {256: size[0], 257: size[1], 273: 8, 278: size[1], 279: len(pixels)}
    numbers = sorted([*shorts, *longs])
    first = 8 + len(pixels)
    beyond = first + 2 + 12 * len(numbers) + 4
    tags = b""
    for number in numbers:
        value = shorts.get(number, longs.get(number))
        if isinstance(value, bytes):
            place = value.ljust(4, b"\0") if len(value) <= 4 else struct.pack(order + "I", beyond)
            tags += struct.pack(order + "HHI", number, 3, samples) + place
        elif number in longs:
            tags += struct.pack(order + "HHII", number, 4, 1, value)
        else:
            tags += struct.pack(order + "HHIHH", number, 3, 1, value, 0)
    head = (b"II*\0" if order == "<" else b"MM\0*") + struct.pack(order + "I", first)
    return head + pixels + struct.pack(order + "H", len(numbers)) + tags + bytes(4) + depths


def moved_by(page: Image.Image, across: int, down: int) -> Image.Image:
    """The page moved on its sheet by whole px; what comes in is paper."""
    sheet = Image.new(page.mode, page.size, "white")
    sheet.paste(page, (across, down))
    return sheet
