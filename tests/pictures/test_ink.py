"""The sum of four inks: (C + M + Y + K) / 255 x 100, trade facts T-170."""

from __future__ import annotations

import pytest
from PIL import Image

from ledger.pictures.files.header import Unreadable
from ledger.pictures.files.ink import heaviest_ink
from tests.pictures.drawn import coloured, saved


@pytest.mark.parametrize(
    ("inks", "per_cent"),
    [
        ((255, 204, 153, 102), 280),
        ((153, 102, 102, 255), 240),
        ((255, 255, 255, 255), 400),
        ((0, 0, 0, 255), 100),
    ],
)
def test_worked_sums(inks: tuple[int, ...], per_cent: float) -> None:
    sheet = saved(Image.new("CMYK", (20, 30), inks), "TIFF")
    assert heaviest_ink(sheet, 300).most == pytest.approx(per_cent)
    assert heaviest_ink(sheet, per_cent).over == 0
    assert heaviest_ink(sheet, per_cent - 0.3).over == 1


def test_the_share_of_the_page_that_is_over() -> None:
    sheet = Image.new("CMYK", (100, 100), (0, 0, 0, 255))
    sheet.paste((255, 255, 255, 0), (0, 0, 100, 10))
    found = heaviest_ink(saved(sheet, "TIFF"), 240)
    assert (round(found.most), found.over) == (300, 0.1)


def test_inks_of_a_jpeg_with_and_without_the_marker_that_says_they_are_turned_over() -> None:
    """The marker (APP14, "Adobe") is what says it; taken out, the same bytes mean the inks as they stand."""
    jpeg = saved(Image.new("CMYK", (16, 16), (255, 204, 153, 102)), "JPEG", quality=100)
    at = jpeg.index(b"\xff\xee\x00\x0eAdobe")
    bare = jpeg[:at] + jpeg[at + 16 :]
    assert heaviest_ink(jpeg, 300).most == pytest.approx(280, abs=1)
    assert heaviest_ink(bare, 300).most == pytest.approx(400 - 280, abs=1)


def test_what_is_not_in_inks_has_no_sum() -> None:
    with pytest.raises(Unreadable, match="not in CMYK"):
        heaviest_ink(saved(coloured(1)), 300)
