"""The forms an export comes in: every one shows its page; profiles and rotation tags are applied."""

from __future__ import annotations

import io
import struct

import pytest
from PIL import Image, ImageChops, ImageCms

from ledger.model.snapshot import FileAt
from ledger.pictures.files.decode import decode, look, same_picture
from ledger.pictures.rounds.compare import compare_pictures
from tests.pictures.drawn import coloured, inked, saved, shaded, tiff_by_hand

LINES, GREYS, COLOURS = inked(), shaded(), coloured()


def furthest(page: Image.Image, other: Image.Image) -> int:
    """By how many tones two pages differ at most."""
    lowest = ImageChops.difference(page.convert("RGB"), other.convert("RGB")).getextrema()
    return max(int(high) for _, high in lowest)  # type: ignore[misc]


@pytest.mark.parametrize("packing", ["group4", "group3", "tiff_lzw", "packbits", "tiff_adobe_deflate", "raw"])
def test_lines_in_a_tiff(packing: str) -> None:
    data = saved(LINES, "TIFF", compression=packing)
    assert (look(data).mode, look(data).depth) == ("1", 1)
    assert same_picture(data, saved(LINES))


def test_greys_and_colours_in_a_tiff() -> None:
    assert same_picture(saved(GREYS, "TIFF", compression="tiff_lzw"), saved(GREYS))
    assert same_picture(saved(COLOURS, "TIFF", compression="tiff_adobe_deflate"), saved(COLOURS))
    assert look(saved(COLOURS.convert("CMYK"), "TIFF")).mode == "cmyk"


def tiled(page: Image.Image, side: int = 64) -> bytes:
    """A grey page in tiles (TIFF Revision 6.0, section 15), which the library reads but does not write."""
    across, down = -(-page.width // side), -(-page.height // side)
    tiles = [
        page.crop((x * side, y * side, (x + 1) * side, (y + 1) * side)).tobytes()
        for y in range(down)
        for x in range(across)
    ]
    count, head = len(tiles), 8 + 2 + 12 * 10 + 4
    begin = head + 8 * count
    offsets = struct.pack(f"<{count}I", *(begin + n * side * side for n in range(count)))
    sizes = struct.pack(f"<{count}I", *([side * side] * count))
    tags = [(256, page.width), (257, page.height), (258, 8), (259, 1), (262, 1), (277, 1), (322, side), (323, side)]
    rows = [struct.pack("<HHII", number, 4, 1, value) for number, value in tags]
    rows += [struct.pack("<HHII", 324, 4, count, head), struct.pack("<HHII", 325, 4, count, head + 4 * count)]
    return b"".join([b"II*\0", struct.pack("<IH", 8, 10), *rows, bytes(4), offsets, sizes, *tiles])


def test_a_page_in_tiles() -> None:
    assert same_picture(tiled(GREYS), saved(GREYS))


def test_sixteen_bits_in_a_tiff() -> None:
    wide = b"".join(struct.pack("<H", tone * 257) for tone in GREYS.tobytes())
    assert same_picture(tiff_by_hand(wide, GREYS.size, 16, 1), saved(GREYS))


def test_of_several_pages_the_first_is_taken_and_the_header_says_so() -> None:
    data = saved(LINES, "TIFF", compression="group4", save_all=True, append_images=[inked(2)])
    assert look(data).frames == 2
    assert same_picture(data, saved(LINES))


def test_jpeg_and_webp() -> None:
    for form in ("JPEG", "WEBP"):
        assert look(saved(COLOURS, form, quality=90)).size == COLOURS.size
    assert same_picture(saved(COLOURS, "WEBP", lossless=True), saved(COLOURS))
    old = {"1": FileAt("p1.png", None)}
    for data in (saved(COLOURS, "JPEG", quality=90), saved(COLOURS, "WEBP", quality=90)):
        assert compare_pictures(old, old, lambda _: saved(COLOURS), lambda _, new=data: new, "inks") == ([], [])


def other_colours() -> bytes:
    """A profile in which red and green have changed places, made from that of sRGB."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    (count,) = struct.unpack_from(">I", profile, 128)
    places = {bytes(profile[132 + 12 * n : 136 + 12 * n]): 132 + 12 * n for n in range(count)}
    red, green = places[b"rXYZ"], places[b"gXYZ"]
    profile[red : red + 4], profile[green : green + 4] = b"gXYZ", b"rXYZ"
    name = "sRGB".encode("utf-16-be")
    return bytes(profile).replace(name, "swap".encode("utf-16-be")).replace(b"sRGB", b"swap")


@pytest.mark.parametrize("form", ["PNG", "TIFF", "WEBP"])
def test_a_profile_is_applied(form: str) -> None:
    red, green, blue = COLOURS.split()
    swapped = Image.merge("RGB", (green, red, blue))
    how = {"lossless": True} if form == "WEBP" else {}
    meant = saved(swapped, form, icc_profile=other_colours(), **how)
    assert furthest(decode(meant), COLOURS) <= 2
    assert furthest(decode(saved(swapped, form, **how)), COLOURS) > 50
    clear = saved(swapped.convert("RGBA"), form, icc_profile=other_colours(), **how)
    assert furthest(decode(clear), COLOURS) <= 2


@pytest.mark.parametrize("form", ["PNG", "TIFF", "JPEG"])
def test_a_profile_of_srgb_changes_nothing_and_greys_stay_as_they_are(form: str) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert same_picture(saved(COLOURS, form, icc_profile=profile), saved(COLOURS, form))
    assert same_picture(saved(GREYS, form, icc_profile=other_colours()), saved(GREYS, form))


def test_a_profile_for_other_inks_and_a_broken_one_are_none() -> None:
    for profile in (other_colours()[:200], b"no profile", bytes(3000)):
        assert same_picture(saved(COLOURS, "TIFF", icc_profile=profile), saved(COLOURS))
    inks = COLOURS.convert("CMYK")
    assert same_picture(saved(inks, "TIFF", icc_profile=other_colours()), saved(inks, "TIFF"))


def test_a_jpeg_that_lies_on_its_side_is_turned_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    lying = saved(COLOURS.transpose(Image.Transpose.ROTATE_90), "JPEG", quality=95, exif=exif)
    plain = decode(saved(COLOURS, "JPEG", quality=95))
    assert look(lying).size == COLOURS.size
    assert furthest(decode(lying), plain) < 60
    assert io.BytesIO(lying).read(2) == b"\xff\xd8"
