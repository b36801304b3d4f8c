"""Sheets of a proof are known again as the page that was delivered."""

from __future__ import annotations

import random
from dataclasses import replace
from io import BytesIO

import pytest
from PIL import Image, ImageOps

from ledger.pictures.guarded import Unreadable, small
from ledger.pictures.returns.known_again import (
    Shelf,
    Shown,
    Small,
    brought_down,
    laid,
    packed,
    parted,
    plain,
    small_or_why,
    unpacked,
)
from tests.bench.pages.draw import STYLES, draw_page
from tests.bench.pages.plan import KINDS, Cell, Plan, make_plan

PAGES = 10


def _plan(seed: int) -> Plan:
    return make_plan(KINDS[seed % len(KINDS)], random.Random(seed))


def _page(seed: int) -> Image.Image:
    return draw_page(_plan(seed), STYLES[seed % len(STYLES)]).convert("RGB")


def _drawn_otherwise(seed: int) -> Image.Image:
    """A page with the very same panels and other drawings in them, as another book has."""
    plan, dice = _plan(seed), random.Random(seed + 1)

    def other(cell: Cell) -> Cell:
        return replace(cell, drawing=dice.getrandbits(30))

    halves = tuple(tuple(replace(row, cells=tuple(map(other, row.cells))) for row in rows) for rows in plan.halves)
    insets = tuple((host, spot, dice.getrandbits(30)) for host, spot, _ in plan.insets)
    return draw_page(replace(plan, halves=halves, insets=insets), STYLES[seed % len(STYLES)]).convert("RGB")


def _proof(page: Image.Image, left: float = 0.03) -> Image.Image:
    """A quarter of the size, trimmed by about three hundredths, grey, JPEG."""
    wide, high = page.size
    cut = page.crop((round(wide * left), high * 2 // 100, wide * 97 // 100, high * 97 // 100))
    kept = BytesIO()
    cut.resize((cut.width // 4, cut.height // 4)).convert("L").save(kept, "JPEG", quality=50)
    return Image.open(kept)


@pytest.fixture(scope="module")
def drawn() -> list[Image.Image]:
    return [_page(seed) for seed in range(PAGES)]


@pytest.fixture(scope="module")
def shelf(drawn: list[Image.Image]) -> Shelf:
    return Shelf([(str(at), brought_down(page)) for at, page in enumerate(drawn)])


def test_trimmed_grey_small_sheets_are_known_again(drawn: list[Image.Image], shelf: Shelf) -> None:
    for at, page in enumerate(drawn):
        assert shelf.shown(brought_down(_proof(page))).pages == (str(at),)
        assert shelf.shown(brought_down(_proof(page, left=0.005))).pages == (str(at),), "trimmed unevenly"


def test_the_paper_around_a_sheet_makes_no_difference(drawn: list[Image.Image], shelf: Shelf) -> None:
    for at, page in enumerate(drawn):
        around = ImageOps.expand(_proof(page), border=(30, 50), fill=255)
        assert shelf.shown(brought_down(around)).pages == (str(at),)


def test_strange_sheets_are_none_of_ours(drawn: list[Image.Image], shelf: Shelf) -> None:
    for seed in range(PAGES):
        assert shelf.shown(brought_down(_proof(_page(seed + 100)))).pages == ()
        assert shelf.shown(brought_down(_proof(_drawn_otherwise(seed)))).pages == (), "the same panels"
    assert Shelf([]).shown(brought_down(drawn[0])) == Shown()


def test_a_page_of_which_a_part_is_another_is_called_the_likest(drawn: list[Image.Image], shelf: Shelf) -> None:
    page = drawn[2].copy()
    wide, high = page.size
    page.paste((128, 128, 128), (wide // 3, high // 3, wide * 2 // 3, high * 2 // 3))
    assert "2" in (*(found := shelf.shown(brought_down(_proof(page)))).pages, found.likest)


def test_of_two_equal_pages_a_sheet_may_be_both(drawn: list[Image.Image]) -> None:
    same = brought_down(drawn[3])
    assert set(Shelf([("1", same), ("2", same)]).shown(brought_down(_proof(drawn[3]))).pages) == {"1", "2"}


def test_paper_and_black_are_told_by_their_tone(drawn: list[Image.Image]) -> None:
    white, black = (brought_down(Image.new("L", (200, 300), tone)) for tone in (250, 3))
    shelf = Shelf([("w", white), ("2", brought_down(drawn[2]))])
    assert shelf.shown(brought_down(Image.new("L", (90, 140), 238))) == Shown(("w",), flat=238.0)
    assert shelf.shown(black) == Shown((), flat=3.0)
    assert Shelf([("b", black)]).shown(black).pages == ("b",)
    assert plain(brought_down(drawn[2])) is None


def test_a_sheet_of_another_shape_is_no_page(drawn: list[Image.Image], shelf: Shelf) -> None:
    page = _proof(drawn[0])
    assert shelf.shown(brought_down(page.resize((page.width * 2, page.height)))).pages == ()


def test_a_page_turned_over_is_known_and_told(drawn: list[Image.Image], shelf: Shelf) -> None:
    for at, page in enumerate(drawn[:4]):
        sheet = brought_down(_proof(page))
        assert shelf.shown(laid(sheet, False, True, True)) == Shown((str(at),), turned="upside-down")
        assert shelf.shown(laid(sheet, False, True, False)) == Shown((str(at),), turned="mirrored")
        side = laid(sheet, True, False, False)
        assert side.px == sheet.px[::-1] and shelf.shown(side).pages == ()
        assert laid(side, True, False, False) == sheet


def test_a_sheet_of_two_facing_pages_is_parted(drawn: list[Image.Image], shelf: Shelf) -> None:
    both = Image.new("L", (400, 300), 255)
    for left, page in ((0, drawn[0]), (200, drawn[1])):
        both.paste(page.convert("L").resize((200, 300)), (left, 0))
    assert [shelf.shown(half).pages for half in parted(brought_down(both))] == [("0",), ("1",)]


def test_a_small_page_goes_through_a_pipe_as_text(drawn: list[Image.Image]) -> None:
    sheet = brought_down(drawn[5])
    assert unpacked(packed(sheet)) == sheet and packed(sheet).isascii()


def test_what_cannot_be_read_says_why() -> None:
    kept = BytesIO()
    Image.new("L", (900, 1400), 9).save(kept, "PNG")
    found = small(kept.getvalue())
    assert found == Small((900, 1400), (225, 350), b"\x09" * 225 * 350) == small_or_why(kept.getvalue())
    with pytest.raises(Unreadable, match="it is"):
        small(kept.getvalue()[:-30])
    assert isinstance(small_or_why(b"no picture"), str)
    long = brought_down(Image.new("L", (10, 9000)))
    assert max(long.size) <= 1200 and long.px == (10, 9000)
