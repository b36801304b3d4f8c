"""A PNG that was only packed harder or less hard is known again without decoding it; nothing else is taken for one."""

from __future__ import annotations

import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from ledger.pictures import looking
from ledger.pictures.files.decode import same_picture
from ledger.pictures.files.png_chunks import read_chunks
from ledger.pictures.rounds.pair import packed_anew
from tests.pictures.drawn import chunk, coloured, inked, moved_by, rotation, saved, shaded, widened, with_chunk

PAGES = {
    "lines": inked(), "greys": shaded(), "colours": coloured(), "indexed": coloured().quantize(16),
    "clear": coloured().convert("RGBA"), "16 bits": widened(shaded(), 257),
}  # fmt: skip


def packed(page: Image.Image, level: int) -> bytes:
    return saved(page, compress_level=level)


def unfiltered(page: Image.Image) -> bytes:
    """A grey page as a program saves it that filters no row."""
    rows = b"".join(b"\0" + page.crop((0, y, page.width, y + 1)).tobytes() for y in range(page.height))
    head = page.width.to_bytes(4, "big") + page.height.to_bytes(4, "big") + b"\x08\0\0\0\0"
    parts = chunk(b"IHDR", head), chunk(b"IDAT", zlib.compress(rows)), chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


@pytest.mark.parametrize("kind", PAGES)
@pytest.mark.parametrize("levels", [(1, 9), (6, 1), (0, 6)])
def test_packed_harder_it_is_known_again(kind: str, levels: tuple[int, int]) -> None:
    old, new = (packed(PAGES[kind], level) for level in levels)
    assert old != new and packed_anew(old, new)
    assert looking.pair(old, new, False) == looking.Seen(looking.pair(old, old, False).verdict)


def test_cut_into_other_chunks_it_is_known_again() -> None:
    old, new = packed(PAGES["greys"], 1), packed(PAGES["greys"], 9)
    body = b"".join(read_chunks(new).pixels)
    cut = b"".join(chunk(b"IDAT", body[at : at + 999]) for at in range(0, len(body), 999))
    assert packed_anew(old, new[:33] + cut + chunk(b"IEND", b""))


@pytest.mark.parametrize("kind", PAGES)
def test_one_pixel_makes_a_difference(kind: str) -> None:
    page = PAGES[kind].copy()
    at = (page.width - 1, page.height - 1)
    tone = page.getpixel(at)
    page.putpixel(at, tuple(255 - each for each in tone) if isinstance(tone, tuple) else (1 if not tone else 0))
    assert not packed_anew(packed(PAGES[kind], 1), packed(page, 9))


def test_what_is_shown_otherwise_is_not_the_same() -> None:
    page, turned = packed(PAGES["colours"], 1), with_chunk(packed(PAGES["colours"], 9), rotation(3))
    assert packed_anew(page, packed(PAGES["colours"], 9)) and not packed_anew(page, turned)
    table = PAGES["indexed"].copy()
    table.putpalette(bytes(range(48)))
    assert not packed_anew(packed(PAGES["indexed"], 1), packed(table, 9))
    assert not packed_anew(packed(PAGES["greys"], 1), saved(PAGES["greys"], compress_level=9, transparency=255))


def test_rows_filtered_otherwise_are_decoded_and_are_the_same() -> None:
    old, new = packed(PAGES["greys"], 6), unfiltered(PAGES["greys"])
    assert not packed_anew(old, new)
    verdict = looking.pair(old, new, False).verdict
    assert verdict is not None and verdict.kind == "same"


def test_half_a_page_is_not_taken_for_the_whole() -> None:
    whole, other = packed(PAGES["greys"], 1), packed(PAGES["greys"], 9)
    for spoilt in (other[:-300], other[:33] + chunk(b"IDAT", b"".join(read_chunks(other).pixels)[:-200])):
        assert not packed_anew(whole, spoilt) and not packed_anew(spoilt, whole)
        assert looking.pair(whole, spoilt, False).new_fault
    broken = unfiltered(PAGES["greys"].point(lambda tone: 255 - tone))
    rows = bytearray(zlib.decompress(b"".join(read_chunks(broken).pixels)))
    rows[0] = 9  # no filter of that number
    both = [broken[:33] + chunk(b"IDAT", zlib.compress(bytes(rows), level)) for level in (1, 9)]
    assert not packed_anew(both[0], both[1])


@given(st.integers(0, 30), st.integers(1, 9), st.integers(1, 9), st.integers(0, 3))
@settings(max_examples=40, deadline=None)
def test_it_never_says_the_same_of_other_pixels(seed: int, one: int, other: int, by: int) -> None:
    page = shaded(seed, (60, 90))
    old, new = packed(page, one), packed(moved_by(page, by, 0), other)
    if packed_anew(old, new):
        assert same_picture(old, new)
