"""What comes back from a helper, held against what was asked and given (T-171 to T-176)."""

from __future__ import annotations

from typing import Any

import pytest
from PIL import Image, ImageDraw
from PIL.Image import Transpose

from ledger.model.lending import STEP
from ledger.pictures.returns.lent import known
from ledger.pictures.returns.returned import Fault, Wanted, judge_line_art, judge_returned
from tests.pictures.drawn import inked, saved

WANTED = Wanted((40, 60), 0, "rgb", 8)


def flats(size: tuple[int, int] = (40, 60), mode: str = "RGB") -> Image.Image:
    return Image.new("RGB", size, (10, 90, 200)).convert(mode)


@pytest.mark.parametrize("form", ["PNG", "TIFF"])
def test_a_page_of_the_size_and_mode_that_were_asked_is_good(form: str) -> None:
    assert judge_returned("flats", saved(flats(), form), None, WANTED) == ()
    assert judge_returned("flats", saved(flats().quantize(4)), None, WANTED) == ()


@pytest.mark.parametrize(("size", "within", "wrong"), [((41, 60), 0, True), ((41, 59), 1, False), ((60, 40), 1, True)])
def test_another_size_is_told_with_both(size: tuple[int, int], within: int, wrong: bool) -> None:
    found = judge_returned("flats", saved(flats(size)), None, WANTED._replace(within=within))
    assert [each.rule for each in found] == ["return-size"] * wrong
    assert not found or f"{size[0]} x {size[1]} px; asked were 40 x 60 px" in found[0].message


@pytest.mark.parametrize(
    ("mode", "form", "how", "word"),
    [("L", "PNG", {}, "grey"), ("1", "PNG", {}, "1 bit"), ("CMYK", "TIFF", {}, "CMYK"), ("RGB", "JPEG", {}, "JPEG"),
     ("RGB", "TIFF", {"save_all": True, "append_images": [flats()]}, "2 pictures")],
)  # fmt: skip
def test_another_mode_is_told(mode: str, form: str, how: dict[str, Any], word: str) -> None:
    (found,) = judge_returned("colour", saved(flats(mode=mode), form, **how), None, WANTED)
    assert found.rule == "return-mode" and word in found.message


def test_what_is_no_picture_is_unreadable() -> None:
    whole = saved(flats(), compress_level=0)
    for data in (b"", b"no picture", whole[: len(whole) // 2]):
        (found,) = judge_returned("page", data, None, Wanted())
        assert isinstance(found, Fault) and found.rule == "export-unreadable"


# -- line art


LINES = inked(1)


@pytest.mark.parametrize(
    "anew",
    [saved(LINES, compress_level=1), saved(LINES.convert("L")), saved(LINES.convert("RGB")), saved(LINES.convert("P")),
     saved(LINES, "TIFF", compression="group4"), saved(LINES.convert("L"), "TIFF", compression="tiff_lzw")],
)  # fmt: skip
def test_line_art_saved_anew_is_as_it_was(anew: bytes) -> None:
    """T-165."""
    given = saved(LINES, compress_level=9)
    assert judge_line_art(anew, given) is None
    assert judge_line_art(anew, None, known(given)) is None
    assert judge_line_art(given, given) is None


@pytest.mark.parametrize("at", [(0, 0), (130, 200), (239, 359)])
def test_one_pixel_of_line_art_is_enough(at: tuple[int, int]) -> None:
    """T-174."""
    touched = LINES.copy()
    touched.putpixel(at, 0 if LINES.getpixel(at) else 255)
    given = saved(LINES)
    found = judge_line_art(saved(touched, "TIFF"), given)
    assert found is not None and (found.rule, found.at) == ("line-art-changed", at)
    assert "1 pixel differs" in found.message
    near = judge_line_art(saved(touched), None, known(given))
    assert near is not None and near.at == (at[0] // STEP * STEP, at[1] // STEP * STEP)


@pytest.mark.parametrize(
    ("turn", "word"),
    [(Transpose.ROTATE_180, "upside down"), (Transpose.FLIP_LEFT_RIGHT, "turned over"), (Transpose.ROTATE_90, "side"),
     (Transpose.ROTATE_270, "side")],
)  # fmt: skip
def test_line_art_that_was_turned_is_told_so(turn: Transpose, word: str) -> None:
    given, came = saved(LINES), saved(LINES.transpose(turn))
    for found in (judge_line_art(came, given), judge_line_art(came, None, known(given))):
        assert found is not None and found.rule == "line-art-changed" and word in found.message


def test_line_art_of_another_size_or_that_is_none() -> None:
    given = saved(LINES)
    found = judge_line_art(saved(LINES.crop((0, 0, 240, 359))), given)
    assert found is not None and "240 x 359 px; given were 240 x 360 px" in found.message
    broken = judge_line_art(given[:90], given)
    assert broken is not None and broken.rule == "export-unreadable"


# -- pixels without colour


def under(gutters: int, hole: tuple[int, int, int, int] | None = None, tone: int = 0) -> Image.Image:
    """Flats of the two panels of `inked`, transparent outside (`gutters` 0) or opaque; with a hole."""
    page = Image.new("RGBA", LINES.size, (255, 255, 255, gutters))
    pen = ImageDraw.Draw(page)
    for top, colour in ((0.05, (200, 120, 40, 255)), (0.53, (30, 120, 90, 255))):
        pen.rectangle((240 * 0.06, 360 * top, 240 * 0.94, 360 * (top + 0.42)), fill=colour)
    if hole:
        pen.rectangle(hole, fill=(255, 255, 255, tone))
    return page


GIVEN = saved(LINES)
PAGE = Wanted(LINES.size, 0, "rgb", 8)


@pytest.mark.parametrize("returns", ["flats", "colour"])
@pytest.mark.parametrize("given", [GIVEN, None])
def test_transparent_is_right_outside_the_panels_only(returns: str, given: bytes | None) -> None:
    """T-173."""
    assert judge_returned(returns, saved(under(0)), given, PAGE) == ()
    (found,) = judge_returned(returns, saved(under(0, (100, 80, 100, 81)), "TIFF"), given, PAGE)
    assert (found.rule, found.at) == ("pixels-uncoloured", (100, 80))
    assert "2 pixels" in found.message


def test_a_panel_left_out_is_found_though_it_reaches_the_page_s_edge() -> None:
    page = under(0)
    ImageDraw.Draw(page).rectangle((0, 180, 240, 360), fill=(0, 0, 0, 0))
    (found,) = judge_returned("flats", saved(page), GIVEN, PAGE)
    assert found.rule == "pixels-uncoloured" and found.at and found.at[1] > 180


def test_half_a_colour_is_none() -> None:
    (found,) = judge_returned("flats", saved(under(0, (100, 80, 104, 84), 128)), GIVEN, PAGE)
    assert found.rule == "pixels-uncoloured" and found.at == (100, 80)
    page = under(0)
    page.putpixel((2, 3), (9, 9, 9, 128))
    found = next(f for f in judge_returned("flats", saved(page), GIVEN, PAGE) if f.rule == "pixels-uncoloured")
    assert found.at == (2, 3)


def test_white_under_ink_is_a_gap_and_white_that_is_seen_a_fill() -> None:
    lines = LINES.copy()
    ImageDraw.Draw(lines).rectangle((100, 70, 120, 90), fill=0)
    given = saved(lines)
    assert judge_returned("flats", saved(under(255).convert("RGB")), given, PAGE) == ()
    gap = saved(under(255, (104, 74, 110, 75), 255).convert("RGB"))
    (found,) = judge_returned("flats", gap, given, PAGE)
    assert (found.rule, found.at) == ("pixels-uncoloured", (104, 74))
    assert judge_returned("colour", gap, given, PAGE) == ()
    assert judge_returned("flats", saved(under(255, (60, 74, 130, 84), 255).convert("RGB")), given, PAGE) == ()


@pytest.mark.parametrize("returns", ["overlay", "page"])
def test_what_is_no_colour_is_not_asked_for_colour(returns: str) -> None:
    assert judge_returned(returns, saved(under(0, (100, 80, 140, 120))), GIVEN, Wanted(LINES.size)) == ()
