"""Page sizes of the trade in pixels, resolutions as files state them, and one page saved in many ways.

px = round(inches x ppi) with inches = mm / 25.4; a spread is twice the trim width. Allowed difference: the larger of
1 px and 0.2 mm, because sizes are published rounded.
"""

from __future__ import annotations

import hashlib
import struct

import pytest
from PIL import Image

from ledger.judge.exports.judged import judge_exports
from ledger.pictures.files.decode import digest, look
from tests.judge.rounds import Book
from tests.pictures.drawn import chunk, inked, saved, shaded, tiff_by_hand, with_chunk

INCH = 25.4

#: Trim and bleed in mm, then width and height in px with bleed at 300, 400 and 600 ppi.
PAGES = {
    # A comics artist's published page specification, 2017.
    "US comic": ((6.625 * INCH, 10.187 * INCH), (0.125 * INCH, 0.1255 * INCH),
                 ((2062, 3131), (2750, 4175), (4125, 6263))),
    # A comics printer's technical specification (live area, trim, bleed, digest).
    "US comic, a printer's variant": ((6.625 * INCH, 10.25 * INCH), (0.125 * INCH, 0.125 * INCH),
                                      ((2062, 3150), (2750, 4200), (4125, 6300))),
    "digest": ((6 * INCH, 9 * INCH), (0.125 * INCH, 0.125 * INCH), ((1875, 2775), (2500, 3700), (3750, 5550))),
    # ISO 216, from memory.
    "A5": ((148, 210), (3, 3), ((1819, 2551), (2425, 3402), (3638, 5102))),
    "A4": ((210, 297), (3, 3), ((2551, 3579), (3402, 4772), (5102, 7157))),
    # A table of Japanese book sizes (B6 128 x 182, small B6 112 x 174, B5 182 x 257).
    "B6": ((128, 182), (3, 3), ((1583, 2220), (2110, 2961), (3165, 4441))),
    "small B6": ((112, 174), (3, 3), ((1394, 2126), (1858, 2835), (2787, 4252))),
    "B5": ((182, 257), (3, 3), ((2220, 3106), (2961, 4142), (4441, 6213))),
    # Arithmetic alone: the page of the book convention.
    "the convention's page": ((168.3, 258.8), (3.2, 3.2), ((2063, 3132), (2751, 4176), (4127, 6265))),
}  # fmt: skip
SIZES = [
    pytest.param(trim, bleed[0], ppi, size, id=f"{name} at {ppi}")
    for name, (trim, bleed, sizes) in PAGES.items()
    for ppi, size in zip((300, 400, 600), sizes, strict=True)
]


def said(
    trim: tuple[float, float], bleed: float, ppi: float, data: bytes, *, name: str = "p001", mode: str = ""
) -> list[str]:
    """The rules that have something to say about one page of such a book."""
    book = Book(
        f'[book]\ntitle = "The Ninth Supper"\npages = 4\n[page]\ntrim_mm = [{trim[0]:.6f}, {trim[1]:.6f}]\n'
        f'bleed_mm = {bleed:.6f}\nppi = {ppi}\n[[pass]]\nname = "pages"\nkind = "art"\nfiles = "p{{page}}.*"\n{mode}'
    )
    state = book.put({f"{name}.png": data}).state()
    return [finding.rule for finding in judge_exports(state, state.snapshot.read)]


def white(size: tuple[int, int], **how: object) -> bytes:
    return saved(Image.new("1", size, 1), **how)


@pytest.mark.parametrize(("trim", "bleed", "ppi", "size"), SIZES)
def test_the_published_sizes_are_no_finding(
    trim: tuple[float, float], bleed: float, ppi: int, size: tuple[int, int]
) -> None:
    assert said(trim, bleed, ppi, white(size)) == []
    assert said(trim, bleed, ppi, white((size[0] + 1, size[1] - 1))) == []
    assert said(trim, bleed, ppi, white((size[0] - 12, size[1]))) == ["export-size"]


US = ((6.625 * INCH, 10.187 * INCH), 0.125 * INCH)


@pytest.mark.parametrize(("ppi", "size"), [(300, (1988, 3056)), (400, (2650, 4075)), (600, (3975, 6112))])
def test_a_page_without_its_bleed_is_one_finding(ppi: int, size: tuple[int, int]) -> None:
    """The US comic trimmed: 6.625 x 10.187 in (the same specification)."""
    assert said(*US, ppi, white(size)) == ["export-size"]


@pytest.mark.parametrize(("ppi", "size"), [(300, (4050, 3131)), (400, (5400, 4175)), (600, (8100, 6263))])
def test_the_us_spread(ppi: int, size: tuple[int, int]) -> None:
    """13.5 x 10.438 in with bleed: arithmetic from the page."""
    assert said(*US, ppi, white(size), name="p002-003") == []
    assert said(*US, ppi, white(size), name="p002") == ["export-size"]


@pytest.mark.parametrize(("ppi", "size"), [(300, (4051, 3132)), (400, (5402, 4176)), (600, (8102, 6265))])
def test_the_spread_of_the_conventions_page(ppi: int, size: tuple[int, int]) -> None:
    """Arithmetic alone."""
    assert said((168.3, 258.8), 3.2, ppi, white(size), name="p002-003") == []


@pytest.mark.parametrize("height", [6262, 6263])
def test_both_roundings_of_the_us_height_are_right(height: int) -> None:
    """10.187 in and twice 0.125 in are 10.437 in, not the published 10.438: arithmetic."""
    assert said((168.275, 258.750), 3.175, 600, white((4125, height))) == []


def test_a_size_rounded_to_a_tenth_of_a_millimetre_fits_the_size_in_inches() -> None:
    """168.3 x 258.8 mm with 3.2 mm of bleed against 6.625 x 10.187 in with 0.125 in: 2 px apart at 600 ppi."""
    assert said(*US, 600, white((4127, 6265))) == []
    assert said((168.3, 258.8), 3.2, 600, white((4125, 6263))) == []


def test_lines_at_600_and_colour_at_400_are_both_right() -> None:
    """The ratio is 2/3: 6263 x 2/3 = 4175.33, 6262 x 2/3 = 4174.67. Arithmetic; resolutions as several printers'
    artwork guides ask for them (300 ppi and more for colour, 600 and more for line art)."""
    for height in (4174, 4175, 4176):
        assert said(*US, 400, white((2750, height))) == []
    assert said(*US, 400, white((2750, 4175)), mode="ppi = 600\n") == ["export-size"]
    assert said(*US, 400, white((4125, 6263)), mode="ppi = 600\n") == []


def metres(per_metre: int, unit: int = 1) -> bytes:
    """A white page of 2 x 3 inches at 100 ppi that states pixels a metre (W3C PNG Specification, pHYs)."""
    return with_chunk(white((200, 300)), chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, unit)))


@pytest.mark.parametrize(
    ("ppi", "per_metre", "stated"),
    [(300, 11811, 299.9994), (400, 15748, 399.9992), (600, 23622, 599.9988), (72, 2835, 72.009), (72, 2834, 71.9836)],
)
def test_whole_pixels_a_metre_are_near_enough(ppi: int, per_metre: int, stated: float) -> None:
    """PNG states whole pixels a metre (W3C PNG Specification, pHYs); some writers cut instead of rounding: 2834."""
    page = with_chunk(white((ppi * 2, ppi * 3)), chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)))
    assert look(page).ppi == pytest.approx((stated, stated), abs=0.0005)
    assert said((50.8, 76.2), 0, ppi, page) == []


def test_a_png_that_states_a_shape_only_states_no_resolution() -> None:
    """pHYs unit 0 is the shape of a pixel (W3C PNG Specification, pHYs); neither that nor nothing is "72"."""
    assert look(metres(1, 0)).ppi is None
    assert said((50.8, 76.2), 0, 100, metres(1, 0)) == []
    assert said((50.8, 76.2), 0, 100, white((200, 300))) == []


def test_the_pixels_count_whatever_the_file_states() -> None:
    """Effective ppi = px / inches: 2750 / 6.875 = 400. Arithmetic; the statement is told of apart."""
    assert 2750 / 6.875 == 400
    page = white((2750, 4175), dpi=(72, 72))
    assert said(*US, 400, page) == ["export-size"]
    assert said(*US, 72, page) == ["export-size"]


@pytest.mark.parametrize(("unit", "stated", "ppi"), [(2, 300, 300), (3, 118.11, 300), (1, 300, None)])
def test_the_units_of_a_tiff(unit: int, stated: float, ppi: float | None) -> None:
    """ResolutionUnit 1 none, 2 inch (the default), 3 centimetre: TIFF Revision 6.0, p. 18."""
    page = saved(shaded(1, (600, 900)), "TIFF", tiffinfo={282: stated, 283: stated, 296: unit})
    seen = look(page).ppi
    assert seen is None if ppi is None else seen == pytest.approx((ppi, ppi), rel=0.001)
    assert said((50.8, 76.2), 0, 300, page) == []


def test_a_tiff_without_a_unit_is_in_inches() -> None:
    """TIFF Revision 6.0, p. 18."""
    page = saved(shaded(1, (600, 900)), "TIFF", tiffinfo={282: 300.0, 283: 300.0})
    assert look(page).ppi == pytest.approx((300, 300))


def test_white_is_zero_and_black_is_zero_show_the_same_page() -> None:
    """PhotometricInterpretation 0 and 1: TIFF Revision 6.0, p. 37."""
    lines = inked()
    bits = lines.tobytes()
    black_is_zero = tiff_by_hand(bits, lines.size, 1, 1)
    white_is_zero = tiff_by_hand(bytes(255 - byte for byte in bits), lines.size, 1, 0)
    assert digest(white_is_zero) == digest(black_is_zero) == digest(saved(lines))
    assert digest(tiff_by_hand(bits, lines.size, 1, 0)) != digest(saved(lines))


def test_one_page_saved_four_ways_is_one_picture() -> None:
    """PNG at level 1 and 9, TIFF in G4 and raw: four files, one decoded picture. Common practice, no source."""
    page = inked(1, (2063, 3132))
    files = [
        saved(page, compress_level=1), saved(page, compress_level=9),
        saved(page, "TIFF", compression="group4"), saved(page, "TIFF", compression="raw"),
    ]  # fmt: skip
    assert len({hashlib.sha256(data).hexdigest() for data in files}) == 4
    assert len({digest(data) for data in files}) == 1


def test_jpeg_is_not_for_lines() -> None:
    """It makes new colours at edges: common practice, no source."""
    assert said((50.8, 76.2), 0, 100, saved(shaded(1, (200, 300)), "JPEG"), mode='mode = "1"\n') == ["export-mode"]
