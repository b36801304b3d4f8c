"""`python -m tests.bench.pages.overlay DIR SEED...`: pages of the bench with the panels that are found, blue and
numbered, over those that were drawn, wide and orange."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from ledger.pictures.files.decode import decode
from ledger.pictures.layout.panels import find_panels
from tests.bench.pages.cases import make_case
from tests.bench.pages.plan import Box

HEIGHT = 560
FOUND, DRAWN = (20, 40, 200), (245, 160, 40)


def overlay(page: Image.Image, found: Sequence[Box], drawn: Sequence[Box]) -> Image.Image:
    """The page small, with both lists of panels."""
    result = page.convert("RGB").resize((round(page.width * HEIGHT / page.height), HEIGHT), Image.Resampling.BOX)
    pen = ImageDraw.Draw(result)
    for boxes, ink, width in ((drawn, DRAWN, 7), (found, FOUND, 2)):
        for left, top, wide, high in boxes:
            corner, other = (left * result.width, top * HEIGHT), ((left + wide) * result.width, (top + high) * HEIGHT)
            pen.rectangle((*corner, *other), outline=ink, width=width)
    for number, (left, top, _, _) in enumerate(found, 1):
        x, y = left * result.width + 4, top * HEIGHT + 4
        pen.rectangle((x, y, x + 20, y + 22), fill=(255, 255, 255), outline=FOUND)
        pen.text((x + 4, y + 1), str(number), fill=FOUND, font_size=18)
    return result.quantize(24, dither=Image.Dither.NONE)


def main() -> None:
    """Writes a PNG for each seed."""
    folder = Path(sys.argv[1])
    for seed in map(int, sys.argv[2:]):
        case = make_case(seed)
        page = decode(case.new["1"])
        picture = overlay(page, find_panels(page, rtl=case.rtl), case.truth.panels)
        picture.save(folder / f"{seed}-{case.truth.page_kind}.png", optimize=True)


if __name__ == "__main__":
    main()
