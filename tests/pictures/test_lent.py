"""What a picture is known by: the same whatever its file, another for one pixel, with the place in short sums."""

from __future__ import annotations

import random
import struct

import pytest
from PIL import Image

from ledger.model.lending import STEP
from ledger.pictures.returns.lent import known, known_or_why
from tests.pictures.drawn import SIZE, coloured, inked, saved, shaded, widened


def every_form(lines: Image.Image) -> dict[str, bytes]:
    """One black-and-white drawing as programs save it (trade facts T-164, T-165)."""
    grey = lines.convert("L")
    return {
        "png": saved(lines),
        "png fast": saved(lines, compress_level=1),
        "png small": saved(lines, compress_level=9, optimize=True),
        "tiff group 4": saved(lines, "TIFF", compression="group4"),
        "tiff raw": saved(lines, "TIFF"),
        "grey": saved(grey),
        "grey tiff": saved(grey, "TIFF", compression="tiff_lzw"),
        "16 bits": saved(widened(grey, 257)),
        "rgb": saved(grey.convert("RGB")),
        "rgb tiff": saved(grey.convert("RGB"), "TIFF", compression="tiff_adobe_deflate"),
        "opaque": saved(grey.convert("RGBA")),
        "palette": saved(grey.convert("P")),
        "resolution": saved(lines, dpi=(600, 600)),
    }


def test_one_drawing_is_known_whatever_its_file() -> None:
    forms = every_form(inked())
    assert len(set(forms.values())) == len(forms)
    assert len({known(data) for data in forms.values()}) == 1


@pytest.mark.parametrize("width", [1, 7, 8, 9, 63, 64, 65, 129, 200])
def test_bits_are_known_as_tones_are_at_every_width(width: int) -> None:
    """Eight pixels share a byte in a file of one bit (PNG specification, 7.2), whole squares or not."""
    drawn_with = random.Random(width)
    grey = Image.frombytes("L", (width, 70), bytes(drawn_with.choice((0, 255)) for _ in range(width * 70)))
    bits = grey.convert("1", dither=Image.Dither.NONE)
    assert known(saved(bits)) == known(saved(grey)) == known(saved(bits, "TIFF", compression="group4"))


@pytest.mark.parametrize("draw", [shaded, coloured])
def test_greys_and_colours_are_known_too(draw) -> None:  # type: ignore[no-untyped-def]
    page = draw()
    again = saved(page, "TIFF", compression="tiff_lzw")
    assert known(saved(page)) == known(again) != known(saved(draw(2)))


@pytest.mark.parametrize("draw", [inked, shaded, coloured])
@pytest.mark.parametrize("red", [False, True])
def test_one_pixel_is_another_picture_and_its_place_is_told(draw, red) -> None:  # type: ignore[no-untyped-def]
    page = draw().convert("RGB")
    before = known(saved(page))
    drawn_with = random.Random(7)
    for _ in range(12):
        spot = drawn_with.randrange(SIZE[0]), drawn_with.randrange(SIZE[1])
        changed, tones = page.copy(), page.getpixel(spot)
        assert isinstance(tones, tuple)
        changed.putpixel(spot, (tones[0] ^ 1, *tones[1:]) if red else tuple(tone ^ 1 for tone in tones))
        after = known(saved(changed))
        assert after.sha256 != before.sha256
        assert differing(before.columns, after.columns) == [spot[0] // STEP]
        assert differing(before.rows, after.rows) == [spot[1] // STEP]


def differing(one: tuple[str, ...], other: tuple[str, ...]) -> list[int]:
    assert len(one) == len(other)
    return [at for at, (a, b) in enumerate(zip(one, other, strict=True)) if a != b]


@pytest.mark.parametrize("size", [(1, 1), (STEP, STEP), (STEP + 1, 2 * STEP - 1), (3, 500)])
def test_there_is_a_sum_for_every_step(size: tuple[int, int]) -> None:
    found = known(saved(Image.new("L", size, 200)))
    assert (found.px, len(found.columns), len(found.rows)) == (size, -(-size[0] // STEP), -(-size[1] // STEP))


def test_a_turned_page_is_another_picture() -> None:
    page = Image.new("1", (60, 60), 1)
    page.putpixel((3, 9), 0)
    assert known(saved(page)) != known(saved(page.transpose(Image.Transpose.ROTATE_180)))


def test_size_is_part_of_it() -> None:
    assert known(saved(Image.new("1", (40, 20), 1))).sha256 != known(saved(Image.new("1", (20, 40), 1))).sha256


def test_a_broken_picture_says_why() -> None:
    whole = saved(inked())
    for data in (b"", b"words", whole[: len(whole) // 2], whole[:16] + struct.pack(">II", 10**6, 10**6) + whole[24:]):
        assert isinstance(known_or_why(data), str)
    assert known_or_why(whole) == known(whole)
