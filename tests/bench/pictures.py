"""What knowing a page's picture costs beside decoding it: ratios to a plain decode of the same file in the same run."""

from __future__ import annotations

import io
import random
import statistics
import time
from collections.abc import Callable

from PIL import Image, ImageDraw

from ledger.pictures.files.decode import digest, look, verify

#: A page of 168.3 x 258.8 mm with 3.2 mm of bleed at 600 ppi.
SIZE = (4127, 6265)


def pages() -> dict[str, bytes]:
    """One page of lines, saved as passes save it."""
    lines = _lines()
    grey = lines.convert("L").reduce(4).resize(SIZE)
    colour = Image.merge("RGB", (grey, grey.point(lambda tone: tone // 2), grey))
    return {
        "lines, PNG": _saved(lines, "PNG"),
        "lines, TIFF G4": _saved(lines, "TIFF", compression="group4"),
        "grey, PNG": _saved(grey, "PNG"),
        "colour, PNG": _saved(colour, "PNG"),
    }


def _lines() -> Image.Image:
    draw_with = random.Random(7)
    page = Image.new("1", SIZE, 1)
    pen = ImageDraw.Draw(page)
    for _ in range(3000):
        x, y = draw_with.randrange(SIZE[0]), draw_with.randrange(SIZE[1])
        end = (x + draw_with.randrange(-300, 300), y + draw_with.randrange(-300, 300))
        pen.line((x, y, *end), fill=0, width=draw_with.randrange(2, 9))
    return page


def _saved(page: Image.Image, form: str, **how: str) -> bytes:
    out = io.BytesIO()
    page.save(out, form, **how)
    return out.getvalue()


def _decode(data: bytes) -> object:
    return Image.open(io.BytesIO(data)).load()


def pictures(times: int) -> None:
    """Prints what the header, the whole unpacking and the digest of a page cost, in plain decodes."""
    asks: dict[str, Callable[[bytes], object]] = {"look": look, "verify": verify, "digest": digest}
    for name, data in pages().items():
        took: dict[str, list[float]] = {"decode": []} | {ask: [] for ask in asks}
        for _ in range(max(3, times // 3)):
            for ask, function in ({"decode": _decode} | asks).items():
                start = time.perf_counter()
                function(data)
                took[ask].append(time.perf_counter() - start)
        unit = statistics.median(took["decode"])
        told = ", ".join(f"{ask} {statistics.median(took[ask]) / unit:.2f}" for ask in asks)
        print(f"{SIZE[0]} x {SIZE[1]} px, {name}: {told} x a plain decode")
