"""Drawing: pictures are compared by what is seen; in place of a closed page only the page itself may stand."""

from __future__ import annotations

import io

import pytest
from PIL import Image, ImageDraw

from ledger.judge.agreed.doors import charged
from ledger.model.finding import Finding
from tests.judge.shelf import BOOK, Shelf, lock, reopening, slip, told


def drawn(across: int, mode: str = "L", form: str = "PNG", **how: object) -> bytes:
    """A page with one black panel that begins so many px from the left."""
    page = Image.new("L", (60, 90), 255)
    ImageDraw.Draw(page).rectangle((across, 20, across + 20, 60), fill=0)
    out = io.BytesIO()
    page.convert(mode).save(out, form, **how)
    return out.getvalue()


ONE, TWO, THREE = drawn(5), drawn(15), drawn(25)
SIGNED: dict[str, str | bytes] = {"art/inks/p001.png": ONE, "art/inks/p002.png": TWO}


@pytest.fixture
def shelf() -> Shelf:
    return Shelf()


def judged(shelf: Shelf, now: dict[str, str | bytes], *, links: bool = False, pages: str | None = None) -> list[str]:
    closed = lock(shelf, "inks", ["structure", "drawing"], SIGNED, pages=pages)
    base = shelf.state(SIGNED, [closed])
    linked: dict[str, str | bytes] = {"art/inks/p001.png": "p002.png"} if links else {}
    return told(charged([base], shelf.state(now, [closed], links=linked), shelf))


@pytest.mark.parametrize(
    "saved",
    [drawn(5, "RGB"), drawn(5, "1"), drawn(5, compress_level=1), drawn(5, dpi=(600, 600))],
    ids=["other mode", "other depth", "other compression", "other ppi tag"],
)
def test_an_export_saved_again_with_the_same_picture_is_free(shelf: Shelf, saved: bytes) -> None:
    assert judged(shelf, {**SIGNED, "art/inks/p001.png": saved}) == []


def test_a_redrawn_page(shelf: Shelf) -> None:
    assert judged(shelf, {**SIGNED, "art/inks/p001.png": THREE}) == ["block panel-redrawn p1"]


def test_a_single_pixel(shelf: Shelf) -> None:
    page = Image.open(io.BytesIO(ONE))
    page.putpixel((50, 80), 0)
    out = io.BytesIO()
    page.save(out, "PNG")
    assert judged(shelf, {**SIGNED, "art/inks/p001.png": out.getvalue()}) == ["look touch-up p1"]


def test_two_pages_swapped(shelf: Shelf) -> None:
    assert judged(shelf, {"art/inks/p001.png": drawn(15, "RGB"), "art/inks/p002.png": ONE}) == [
        "block page-swapped p1",
        "block page-swapped p2",
    ]


def test_a_copy_of_another_page(shelf: Shelf) -> None:
    assert judged(shelf, {**SIGNED, "art/inks/p001.png": TWO}) == ["block page-swapped p1"]


def test_a_page_gone_and_a_page_added(shelf: Shelf) -> None:
    assert judged(shelf, {"art/inks/p002.png": TWO}) == ["block export-missing p1"]
    assert judged(shelf, {**SIGNED, "art/inks/p003.png": THREE}) == ["block export-added p3"]
    assert judged(shelf, {**SIGNED, "art/inks/p003.png": THREE}, pages="1-2") == []


@pytest.mark.parametrize("bad", [b"", ONE[:60], b"no picture"], ids=["empty", "half", "text"])
def test_what_cannot_be_read_blocks(shelf: Shelf, bad: bytes) -> None:
    assert judged(shelf, {**SIGNED, "art/inks/p001.png": bad}) == ["block export-unreadable p1"]


def test_a_link_in_place_of_a_page_blocks(shelf: Shelf) -> None:
    assert judged(shelf, {"art/inks/p002.png": TWO}, links=True) == ["block export-unreadable p1"]


def test_names_count_byte_for_byte(shelf: Shelf) -> None:
    assert judged(shelf, {"art/inks/p1.png": ONE, "art/inks/p002.png": TWO}) == [
        "block export-added p1",
        "block export-missing p1",
    ]


def test_another_pass_is_free(shelf: Shelf) -> None:
    assert judged(shelf, {**SIGNED, "art/letters/p001.png": THREE}) == []


def test_a_slip_moves_the_baseline_of_its_pages(shelf: Shelf) -> None:
    now: dict[str, str | bytes] = {**SIGNED, "art/inks/p001.png": THREE}
    closed = lock(shelf, "inks", ["structure", "drawing"], SIGNED)
    admitting = slip(shelf, {"art/inks/p001.png": THREE}, pages="1", scopes=["drawing"], passes=["inks"])
    base = shelf.state(SIGNED, [closed])
    assert charged([base], shelf.state(now, [closed, admitting]), shelf) == ()
    after = shelf.state(now, [closed, admitting])
    assert told(charged([after], shelf.state(SIGNED, [closed, admitting]), shelf)) == ["block panel-redrawn p1"]
    elsewhere = slip(shelf, {"art/inks/p001.png": THREE}, pages="2", scopes=["drawing"], passes=["inks"])
    assert told(charged([base], shelf.state(now, [closed, elsewhere]), shelf)) == ["block panel-redrawn p1"]


def test_a_slip_may_take_a_page_away(shelf: Shelf) -> None:
    closed = lock(shelf, "inks", ["structure", "drawing"], SIGNED)
    gone = slip(shelf, {"art/inks/p001.png": b""}, pages="1", scopes=["drawing"], passes=["inks"])
    left: dict[str, str | bytes] = {"art/inks/p002.png": TWO}
    assert charged([shelf.state(SIGNED, [closed])], shelf.state(left, [closed, gone]), shelf) == ()
    again = charged([shelf.state(left, [closed, gone])], shelf.state(SIGNED, [closed, gone]), shelf)
    assert told(again) == ["block export-added p1"]


def test_a_reopened_page_may_be_redrawn(shelf: Shelf) -> None:
    closed, opened = lock(shelf, "inks", ["structure", "drawing"], SIGNED), reopening("inks", "1")
    base = shelf.state(SIGNED, [closed, opened])
    found = charged([base], shelf.state({**SIGNED, "art/inks/p001.png": THREE}, [closed, opened]), shelf)
    assert told(found) == ["look panel-redrawn p1"]
    assert "reopen-1" in found[0].message


def test_renaming_the_pass_opens_nothing(shelf: Shelf) -> None:
    closed = lock(shelf, "inks", ["structure", "drawing"], SIGNED)
    base = shelf.state(SIGNED, [closed])
    book = BOOK.replace('"inks"', '"finals"').replace("art/inks/", "art/finals/")
    change = shelf.state({**SIGNED, "art/inks/p001.png": THREE}, [closed], book=book)
    assert told(charged([base], change, shelf)) == ["block panel-redrawn p1", "look lock-loosened"]


def test_content_that_was_not_fetched(shelf: Shelf) -> None:
    closed = lock(shelf, "inks", ["structure", "drawing"], SIGNED)
    base = shelf.state(SIGNED, [closed])
    change = shelf.state({**SIGNED, "art/inks/p001.png": THREE}, [closed])
    shelf.missing.add(change.snapshot.files["art/inks/p001.png"].oid or "")
    found = charged([base], change, shelf)
    assert told(found) == ["look export-unreadable p1"]
    assert "not fetched" in found[0].message
    assert told(charged([base], change, shelf, must_be_here=True)) == ["block export-unreadable p1"]


def test_every_message_is_a_sentence_with_the_way_out(shelf: Shelf) -> None:
    closed = lock(shelf, "inks", ["structure", "drawing"], SIGNED)
    base = shelf.state(SIGNED, [closed])
    found: list[Finding] = []
    for now in ({"art/inks/p002.png": THREE}, {**SIGNED, "art/inks/p003.png": ONE}):
        found += charged([base], shelf.state(now, [closed]), shelf)
    assert found
    for finding in found:
        assert finding.message[0].isupper() and "closed by lock-inks-1" in finding.message
        assert finding.remedy and "inkledger alter" in finding.remedy
