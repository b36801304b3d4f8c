"""Tones of a scan brought to those of the page it is of."""

from __future__ import annotations

import pytest
from PIL import Image, ImageDraw

from ledger.pictures.rounds.differ import same_tones, spots


def sparse() -> Image.Image:
    """A page with so little ink that its darkest hundredth, brought down, is grey."""
    page = Image.new("L", (920, 1370), 255)
    pen = ImageDraw.Draw(page)
    for at in range(14):
        left, top = 60 + 50 * at, 150 + 80 * at
        pen.ellipse((left, top, left + 150, top + 150), outline=0, width=2)
        pen.line((left + 20, top + 180, left + 120, top + 20), fill=0, width=5)
    return page


@pytest.mark.parametrize("lift", [0, 20])
def test_black_stays_black_on_a_scan_with_little_ink(lift: int) -> None:
    page = sparse()
    scan = page.point([lift + round(tone * (250 - lift) / 255) for tone in range(256)])
    toned = same_tones(page, scan)
    assert toned.getextrema()[0] <= lift
    assert not spots(page, toned).any()
