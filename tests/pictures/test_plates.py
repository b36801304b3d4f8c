"""Pictures to look at: reduced, the changed panels framed and named, two rounds laid in one."""

from __future__ import annotations

import io

import pytest
from PIL import Image, ImageDraw

from ledger.pictures.files.header import Unreadable
from ledger.pictures.plates import Frame, difference, framed, plate
from ledger.read.made_here import is_difference_picture
from tests.pictures.drawn import coloured, inked, saved, shaded

UPPER = (0.06, 0.05, 0.88, 0.42)
PENCIL, WHITE = (29, 79, 134), (255, 255, 255)
PAPER = Image.new("RGB", (600, 900), "white")


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def pencilled(kind: str, box: tuple[float, float, float, float] = UPPER) -> Image.Image:
    return framed(PAPER, [Frame(box, kind, "2 redrawn")])


def row(picture: Image.Image, y: int) -> list[bool]:
    """Where the blue pencil lies in a row."""
    return [picture.getpixel((x, y)) == PENCIL for x in range(picture.width)]


@pytest.mark.parametrize("page", [inked(1, (1200, 1800)), coloured(1, (1200, 1800))], ids=["lines", "colours"])
def test_a_page_is_made_small(page: Image.Image) -> None:
    made = plate(saved(page), [], 900)
    assert (made.width, made.height) == (600, 900)
    seen = opened(made.data)
    assert (seen.format, seen.size) == ("WEBP", (600, 900))
    assert len(made.data) < 100_000


def test_a_small_page_is_not_blown_up() -> None:
    made = plate(saved(shaded(1)), [], 900)
    assert (made.width, made.height) == (240, 360)


def test_lines_stay_lines() -> None:
    """Kept exactly, in a few tones: no grey clouds around a line as a photograph's compression makes them."""
    made = opened(plate(saved(inked(1, (400, 600))), [], 900).data).convert("RGB")
    assert {colour for _, colour in made.getcolors() or []} == {(0, 0, 0), WHITE}


def test_what_cant_be_read_is_said() -> None:
    with pytest.raises(Unreadable):
        plate(b"PAGE ONE", [], 900)


def test_frames_differ_by_their_line_not_their_colour() -> None:
    """At the upper side of the panel: one stroke for redrawn, many for a touch-up, two corners for another layout."""
    top = round(UPPER[1] * 900)
    runs = {}
    for kind in ("redrawn", "touch-up", "layout"):
        inside = row(pencilled(kind), top)
        runs[kind] = sum(now and not before for before, now in zip([False, *inside], inside, strict=False))
    assert runs["redrawn"] == 1
    assert runs["touch-up"] > 5
    assert runs["layout"] == 2


def test_a_frame_is_seen_on_black() -> None:
    """Around the pencil lies paper, so that the line stands out of a black panel."""
    picture = framed(Image.new("RGB", (600, 900), "black"), [Frame(UPPER, "redrawn", "1 redrawn")])
    column = [picture.getpixel((300, y)) for y in range(30, 60)]
    at = column.index(PENCIL)
    assert column[at - 1] == WHITE


def test_every_tag_has_its_sign_and_words() -> None:
    plain = framed(PAPER, [Frame(UPPER, "redrawn", "")])
    tags = [pencilled(kind).crop((30, 380, 300, 425)) for kind in ("redrawn", "touch-up", "layout")]
    assert len({tag.tobytes() for tag in tags}) == 3
    assert pencilled("redrawn").tobytes() != plain.tobytes()


@pytest.mark.parametrize("box", [(0.0, 0.0, 1.0, 1.0), (0.97, 0.97, 0.03, 0.03), (0.0, 0.99, 0.01, 0.01)])
def test_a_frame_at_the_edge_stays_on_the_page(box: tuple[float, float, float, float]) -> None:
    picture = pencilled("redrawn", box)
    assert picture.size == PAPER.size
    assert picture.tobytes() != PAPER.tobytes()


def test_gone_is_orange_come_is_blue_and_the_rest_pale() -> None:
    page = Image.new("L", (300, 400), 255)
    ImageDraw.Draw(page).rectangle((20, 20, 280, 60), fill=0)
    old, new = page.copy(), page.copy()
    ImageDraw.Draw(old).rectangle((50, 150, 90, 190), fill=0)
    ImageDraw.Draw(new).rectangle((200, 300, 240, 340), fill=0)
    made = difference(saved(old), saved(new), [], [])
    seen = opened(made)
    assert seen.format == "PNG"
    assert seen.width > 900
    middle = seen.crop(((seen.width - 300) // 2, 8, (seen.width + 300) // 2, 408))
    assert middle.getpixel((70, 170)) == (230, 130, 40)
    assert middle.getpixel((220, 320)) == (20, 60, 150)
    assert min(middle.getpixel((150, 40))) > 150
    assert middle.getpixel((150, 250)) == WHITE


def test_a_page_that_only_moved_by_a_pixel_is_pale_all_over() -> None:
    old = inked(3, (300, 400)).convert("L")
    new = Image.new("L", old.size, 255)
    new.paste(old, (1, 1))
    seen = opened(difference(saved(old), saved(new), [], []))
    middle = seen.crop(((seen.width - 300) // 2, 8, (seen.width + 300) // 2, 408))
    red, green, blue = middle.split()
    assert red.tobytes() == green.tobytes() == blue.tobytes(), "greys alone"


def test_pages_of_two_sizes_are_laid_in_one() -> None:
    made = difference(saved(inked(1, (300, 400))), saved(inked(2, (150, 200))), [], [])
    assert opened(made).height >= 400


def test_a_difference_picture_is_known_as_ours() -> None:
    made = difference(saved(inked(1)), saved(inked(2)), [], [])
    assert is_difference_picture(made)
    assert is_difference_picture(made[:512])
    for other in (b"", saved(inked(1)), b"inkledger difference picture", made[8:]):
        assert not is_difference_picture(other)
