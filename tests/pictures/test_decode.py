"""One drawing in many files: what makes no difference, and what makes a file unreadable."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageOps

from ledger.pictures.files.decode import Unreadable, blank_digest, decode, digest, look, same_picture, verify
from tests.pictures.drawn import chunk, coloured, inked, rotation, saved, shaded, tiff_by_hand, widened, with_chunk

LINES = saved(inked())
GREYS = saved(shaded())
COLOURS = saved(coloured())


def clear_paper(page: Image.Image) -> Image.Image:
    """Black lines on nothing at all."""
    return Image.merge("LA", (Image.new("L", page.size, 0), page.convert("L").point(lambda tone: 255 - tone)))


def turned_back(page: Image.Image, orientation: int) -> Image.Image:
    """The page as a camera stores it that was held another way: the rotation tag makes it upright again."""
    back = {
        2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }  # fmt: skip
    return page.transpose(back[orientation])


SAME_LINES: dict[str, Callable[[], bytes]] = {
    "PNG level 1": lambda: saved(inked(), compress_level=1),
    "PNG level 9": lambda: saved(inked(), compress_level=9),
    "grey PNG": lambda: saved(inked().convert("L")),
    "RGB PNG": lambda: saved(inked().convert("RGB")),
    "RGBA PNG": lambda: saved(inked().convert("RGBA")),
    "indexed PNG": lambda: saved(inked().convert("P")),
    "indexed PNG of two colours": lambda: saved(inked().convert("L").quantize(2)),
    "16-bit PNG": lambda: saved(widened(inked().convert("L"), 257)),
    "TIFF raw": lambda: saved(inked(), "TIFF", compression="raw"),
    "TIFF G4": lambda: saved(inked(), "TIFF", compression="group4"),
    "TIFF LZW grey": lambda: saved(inked().convert("L"), "TIFF", compression="tiff_lzw"),
    "TIFF CMYK": lambda: saved(inked().convert("RGB").convert("CMYK"), "TIFF"),
    "TIFF 16-bit": lambda: saved(widened(inked().convert("L"), 257), "TIFF"),
    "GIF": lambda: saved(inked(), "GIF"),
    "BMP": lambda: saved(inked(), "BMP"),
    "WebP without loss": lambda: saved(inked().convert("RGB"), "WEBP", lossless=True),
    "lines on clear paper": lambda: saved(clear_paper(inked())),
    "with a resolution": lambda: saved(inked(), dpi=(600, 600)),
}


@pytest.mark.parametrize("way", SAME_LINES)
def test_the_same_lines_however_they_are_saved(way: str) -> None:
    data = SAME_LINES[way]()
    verify(data)
    assert digest(data) == digest(LINES)
    assert same_picture(data, LINES)
    assert look(data).size == look(LINES).size


@pytest.mark.parametrize("factor", [256, 257])
@pytest.mark.parametrize("form", ["PNG", "TIFF"])
def test_sixteen_bits_of_the_same_greys(factor: int, form: str) -> None:
    data = saved(widened(shaded(), factor), form)
    assert look(data).depth == 16
    assert same_picture(data, GREYS)


@pytest.mark.parametrize("order", ["RGB", "RGBA"])
def test_colour_in_other_forms(order: str) -> None:
    assert same_picture(saved(coloured().convert(order), "TIFF"), COLOURS)


def test_cmyk_without_a_profile_is_the_rgb_it_came_from() -> None:
    assert same_picture(saved(coloured().convert("CMYK"), "TIFF", compression="tiff_lzw"), COLOURS)


def wide(tones: bytes, order: str) -> bytes:
    """8-bit tones as 16-bit ones."""
    return b"".join(struct.pack(order + "H", tone * 257) for tone in tones)


@pytest.mark.parametrize("order", ["<", ">"])
def test_pages_in_tiffs_that_few_programs_write(order: str) -> None:
    size = coloured().size
    rgb, grey = coloured().tobytes(), shaded().tobytes()
    ink = b"".join(bytes(255 - tone for tone in rgb[at : at + 3]) + b"\0" for at in range(0, len(rgb), 3))
    cover = b"".join(rgb[at : at + 3] + b"\xff" for at in range(0, len(rgb), 3))
    negative = bytes(255 - tone for tone in grey)
    for data in (
        tiff_by_hand(wide(rgb, order), size, 16, 2, 3, order=order),
        tiff_by_hand(ink, size, 8, 5, 4, order=order),
        tiff_by_hand(wide(ink, order), size, 16, 5, 4, order=order),
        *(tiff_by_hand(cover, size, 8, 2, 4, order=order, extra=kind) for kind in (0, 1, 2)),
        tiff_by_hand(wide(cover, order), size, 16, 2, 4, order=order, extra=2),
    ):
        assert same_picture(data, COLOURS)
    for data in (
        tiff_by_hand(negative, size, 8, 0, order=order),
        tiff_by_hand(wide(grey, order), size, 16, 1, order=order),
        tiff_by_hand(wide(negative, order), size, 16, 0, order=order),
    ):
        assert same_picture(data, GREYS)


def test_a_tiff_of_another_kind_is_named_as_such() -> None:
    data = tiff_by_hand(bytes(4 * 20 * 30), (20, 30), 16, 1, 2, extra=2)
    with pytest.raises(Unreadable, match="a kind of TIFF that is not read here"):
        digest(data)


def test_one_pixel_is_another_picture() -> None:
    page = inked()
    page.putpixel((5, 5), 0)
    assert not same_picture(saved(page), LINES)
    assert not same_picture(saved(coloured(2)), COLOURS)


def test_one_tone_in_one_channel_is_another_picture() -> None:
    page = shaded().convert("RGB")
    page.putpixel((239, 359), (254, 255, 255))
    other = shaded().convert("RGB")
    other.putpixel((239, 359), (255, 255, 255))
    assert not same_picture(saved(page), saved(other))


def test_the_same_pixels_in_another_shape_are_another_picture() -> None:
    assert not same_picture(saved(Image.new("L", (20, 30), 255)), saved(Image.new("L", (30, 20), 255)))


def test_half_transparent_ink_is_grey_on_white_paper() -> None:
    page = Image.new("RGBA", (9, 9), (0, 0, 0, 128))
    assert decode(saved(page)).getpixel((4, 4)) == (127, 127, 127)


@pytest.mark.parametrize("orientation", range(2, 9))
def test_the_rotation_tag_is_applied(orientation: int) -> None:
    stored = turned_back(coloured(), orientation)
    exif = Image.Exif()
    exif[0x0112] = orientation
    tiff = saved(stored, "TIFF", exif=exif)
    png = saved(stored, "PNG", exif=exif)
    late = saved(stored)
    late = late[:-12] + chunk(b"eXIf", rotation(orientation)) + late[-12:]
    for data in (tiff, png, late):
        assert look(data).size == coloured().size
        assert look(data).orientation == orientation
        assert same_picture(data, COLOURS)
    jpeg = saved(stored, "JPEG", exif=exif)
    assert look(jpeg).size == decode(jpeg).size == coloured().size


def test_the_first_of_several_frames_is_the_page() -> None:
    for form, how in (("TIFF", {}), ("GIF", {}), ("PNG", {"duration": 100})):
        data = saved(inked(), form, save_all=True, append_images=[inked(2), inked(3)], **how)
        assert look(data).frames == 3
        assert same_picture(data, LINES)


@pytest.mark.parametrize(
    ("depth", "tone", "step"), [(1, 1, 255), (2, 2, 85), (4, 9, 17), (8, 200, 1)], ids=["1", "2", "4", "8"]
)
def test_a_transparent_tone_is_paper_at_every_depth(depth: int, tone: int, step: int) -> None:
    top = 2**depth - 1
    tones = [0, tone, top, tone, 0, top, tone, 0]
    bits = "".join(f"{each:0{depth}b}" for each in tones)
    row = int(bits, 2).to_bytes(depth, "big")
    data = plain_png(8, 1, depth, 0, b"\0" + row, chunk(b"tRNS", struct.pack(">H", tone)))
    seen = [255 if each == tone else each * step for each in tones]
    assert decode(data).convert("L").tobytes() == bytes(seen)


def test_a_transparent_tone_of_sixteen_bits() -> None:
    tones = struct.pack(">4H", 0, 0x1234, 0x1235, 0xFFFF)
    data = plain_png(4, 1, 16, 0, b"\0" + tones, chunk(b"tRNS", b"\x12\x34"))
    assert decode(data).convert("L").tobytes() == bytes([0, 255, 0x12, 255])


def plain_png(width: int, height: int, depth: int, colour: int, rows: bytes, *more: bytes) -> bytes:
    header = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    pixels = chunk(b"IDAT", zlib.compress(rows))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + b"".join(more) + pixels + chunk(b"IEND", b"")


BESIDE_THE_PIXELS: dict[str, Callable[[], bytes]] = {
    "bytes after the end of a PNG": lambda: LINES + b"and so on" * 50,
    "bytes after the end of a TIFF": lambda: saved(inked(), "TIFF", compression="group4") + b"\0" * 999,
    "a profile that can't be unpacked": lambda: with_chunk(LINES, chunk(b"iCCP", b"name\0\0not packed at all")),
    "a profile that is none": lambda: with_chunk(LINES, chunk(b"iCCP", b"name\0\0" + zlib.compress(b"no profile"))),
    "a comment with a wrong checksum": lambda: with_chunk(LINES, chunk(b"tEXt", b"Comment\0by hand", 1)),
    "a comment that unpacks to a gigabyte": lambda: with_chunk(
        LINES, chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(80_000_000)))
    ),
    "a broken rotation block": lambda: with_chunk(LINES, chunk(b"eXIf", b"MM\0*\xff\xff\xff\xff")),
    "a resolution cut short": lambda: with_chunk(LINES, chunk(b"pHYs", b"\0\0")),
    "no end mark": lambda: LINES[:-12],
    "a TIFF with a broken profile": lambda: saved(inked(), "TIFF", icc_profile=b"no profile"),
}


@pytest.mark.parametrize("what", BESIDE_THE_PIXELS)
def test_what_lies_beside_the_pixels_makes_nothing_unreadable(what: str) -> None:
    data = BESIDE_THE_PIXELS[what]()
    assert look(data).size == inked().size
    verify(data)
    assert same_picture(data, LINES)


def half(data: bytes) -> bytes:
    return data[: len(data) // 2]


def with_size(width: int, height: int) -> bytes:
    return plain_png(width, height, 8, 0, b"\0")


def big_tiff() -> bytes:
    return saved(inked(), "TIFF", big_tiff=True)


def tiff_with_size(width: int) -> bytes:
    data = bytearray(saved(inked(), "TIFF", compression="raw"))
    at = data.index(struct.pack("<HHI", 256, 4, 1))
    data[at + 8 : at + 12] = struct.pack("<I", width)
    return bytes(data)


UNREADABLE: dict[str, tuple[Callable[[], bytes], str]] = {
    "nothing": (lambda: b"", "empty"),
    "half a PNG": (lambda: half(LINES), "cut short"),
    "half a colour PNG": (lambda: half(COLOURS), "cut short"),
    "a PNG signature": (lambda: LINES[:8], "cut short"),
    "half a TIFF": (lambda: half(saved(inked(), "TIFF", compression="raw")), "cut short"),
    "half a packed TIFF": (lambda: half(saved(coloured(), "TIFF", compression="tiff_lzw")), "cut short"),
    "zero width": (lambda: with_size(0, 10), "zero size"),
    "zero height": (lambda: with_size(10, 0), "zero size"),
    "zero width in a TIFF": (lambda: tiff_with_size(0), "zero size"),
    "BigTIFF": (big_tiff, "BigTIFF"),
    "a bomb": (lambda: with_size(30_000, 30_000), "larger than any page"),
    "a TIFF bomb": (lambda: tiff_with_size(2_000_000_000), "larger than any page"),
    "pixels with a wrong checksum": (lambda: LINES[:-24] + b"!" * 8 + LINES[-16:], "checksum"),
    "text": (lambda: b"PAGE ONE\n", "no PNG, TIFF or JPEG"),
    "a web page": (lambda: b"<html>", "not a picture"),
    "a large-file pointer": (lambda: b"version https://git-lfs.github.com/spec/v1\noid sha256:00\n", "pointer"),
    "a layered working file": (lambda: b"8BPS\0\1", "layered"),
    "a PDF": (lambda: b"%PDF-1.7", "PDF"),
}  # fmt: skip


@pytest.mark.parametrize("what", UNREADABLE)
def test_what_is_no_whole_picture_is_named(what: str) -> None:
    make, reason = UNREADABLE[what]
    data = make()
    for ask in (look, verify, digest, lambda each: same_picture(each, LINES), lambda each: same_picture(each, each)):
        with pytest.raises(Unreadable, match=reason):
            ask(data)


@pytest.mark.parametrize("name", [b"tEXt", b"iCCP", b"eXIf", b"sTER"])
def test_a_chunk_that_claims_to_go_on_for_two_gigabytes(name: bytes) -> None:
    endless = struct.pack(">I", 0x7FFFFFFF) + name
    with pytest.raises(Unreadable, match="cut short"):
        look(LINES[:33] + endless + LINES[33:])
    assert same_picture(LINES[:-12] + endless, LINES)


def test_pixels_with_a_wrong_sum_of_their_own_are_damaged_for_everybody() -> None:
    packed = bytearray(zlib.compress(b"\0" + bytes(8)))
    packed[-1] ^= 1
    header = struct.pack(">IIBBBBB", 8, 1, 8, 0, 0, 0, 0)
    end = chunk(b"IDAT", bytes(packed)) + chunk(b"IEND", b"")
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + end
    for ask in (verify, digest):
        with pytest.raises(Unreadable):
            ask(data)


def test_half_a_jpeg_is_found_when_its_pixels_are_asked_for() -> None:
    data = half(saved(coloured(), "JPEG"))
    with pytest.raises(Unreadable, match="cut short"):
        verify(data)


def test_a_bomb_is_not_unpacked() -> None:
    """A header that promises a small page and pixels that go on for a gigabyte."""
    packer = zlib.compressobj(9)
    endless = b"".join([packer.compress(bytes(1 << 20)) for _ in range(64)]) + packer.flush()
    header = struct.pack(">IIBBBBB", 10, 10, 8, 0, 0, 0, 0)
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", endless) + chunk(b"IEND", b"")
    assert verify(data).size == (10, 10)
    assert decode(data).size == (10, 10)


@given(st.integers(0, len(LINES) - 1), st.integers(1, 255))
@settings(max_examples=150, deadline=None)
def test_one_broken_byte_is_never_more_than_unreadable(at: int, change: int) -> None:
    data = bytearray(LINES)
    data[at] ^= change
    for ask in (look, verify, digest):
        try:
            ask(bytes(data))
        except Unreadable as fault:
            assert fault.reason


TIFF_LINES = saved(inked(), "TIFF", compression="group4")


@given(st.integers(0, len(TIFF_LINES) - 1), st.integers(1, 255))
@settings(max_examples=150, deadline=None)
def test_one_broken_byte_in_a_tiff(at: int, change: int) -> None:
    data = bytearray(TIFF_LINES)
    data[at] ^= change
    for ask in (look, verify):
        try:
            ask(bytes(data))
        except Unreadable as fault:
            assert fault.reason


@given(st.integers(0, len(COLOURS)))
@settings(max_examples=60, deadline=None)
def test_a_page_cut_anywhere_is_whole_or_unreadable(end: int) -> None:
    try:
        verify(COLOURS[:end])
    except Unreadable:
        return
    assert same_picture(COLOURS[:end], COLOURS)


MODES = [
    (lambda: inked(), "1", 1, False),
    (lambda: shaded(), "grey", 8, False),
    (lambda: widened(shaded(), 257), "grey", 16, False),
    (lambda: inked().convert("P"), "indexed", 8, False),
    (lambda: coloured(), "rgb", 8, False),
    (lambda: coloured().convert("RGBA"), "rgb", 8, True),
]


@pytest.mark.parametrize("form", ["PNG", "TIFF"])
@pytest.mark.parametrize(("make", "mode", "depth", "alpha"), MODES, ids=[mode for _, mode, _, _ in MODES])
def test_what_the_header_says(form: str, make: Callable[[], Image.Image], mode: str, depth: int, alpha: bool) -> None:
    seen = look(saved(make(), form))
    assert (seen.mode, seen.depth, seen.alpha, seen.format) == (mode, depth, alpha, form)


def test_cmyk_and_jpeg_headers() -> None:
    assert look(saved(coloured().convert("CMYK"), "TIFF")).mode == "cmyk"
    assert look(saved(coloured().convert("CMYK"), "JPEG")).mode == "cmyk"
    assert look(saved(shaded(), "JPEG")).format == "JPEG"
    assert look(saved(shaded(), "JPEG")).mode == "grey"


@pytest.mark.parametrize("form", ["PNG", "TIFF", "JPEG"])
def test_the_resolution_that_the_file_states(form: str) -> None:
    stated = look(saved(shaded(), form, dpi=(400, 400))).ppi
    assert stated is not None
    assert stated == pytest.approx((400, 400), rel=0.001)


def test_no_resolution_is_no_resolution() -> None:
    assert look(LINES).ppi is None
    assert look(saved(shaded(), "TIFF")).ppi is None
    assert look(saved(shaded(), "JPEG")).ppi is None


def test_white_paper_is_known_without_decoding() -> None:
    assert digest(saved(Image.new("1", (33, 44), 1))) == blank_digest(33, 44)
    assert digest(saved(ImageOps.invert(Image.new("L", (33, 44), 255)))) != blank_digest(33, 44)
    assert digest(saved(Image.new("RGBA", (33, 44), (9, 9, 9, 0)))) == blank_digest(33, 44)
