"""Every picture a page ever had: which there are, what became of each, and what lies there now."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from ledger.desk.page_life import page_life
from ledger.model.life import LifePicture
from tests.books import Book
from tests.desk.salt_lantern import entered, salt_lantern
from tests.judge.test_stale import four_panels, touched
from tests.pictures.drawn import inked, saved


@pytest.fixture(scope="module")
def _drawn(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """Page 1 inked three times: the second time a panel is another, the third time the file alone."""
    book = salt_lantern(tmp_path_factory.mktemp("life") / "book")
    put(book, saved(four_panels()), 2)
    put(book, touched(0.51), 3)
    put(book, saved(four_panels().convert("L")), 4)
    put(book, saved(four_panels().convert("RGB")), 5)
    return book


def put(book: Book, picture: bytes, number: int) -> None:
    book.write({"art/inks/p001.png": picture})
    book.commit("page 1 again")
    entered(book, "inks", number, pages="1", basis={"script": "script-2"}, message="page 1 again")


@pytest.fixture
def book(_drawn: Book, tmp_path: Path) -> Book:
    shutil.copytree(_drawn.top, tmp_path / "book", symlinks=True)
    return Book(tmp_path / "book")


def pictures(book: Book, page: str = "1") -> list[tuple[str, str, list[int]]]:
    """Entry (or "now"), what became of the picture, the panels that changed."""
    return [
        (each.entry.name if each.entry else "now", each.change.kind, each.change.changed_panels)
        for each in every(book, page)
    ]


def every(book: Book, page: str = "1") -> tuple[LifePicture, ...]:
    return page_life(book.top, page, pictures=True).pictures


def test_each_round_and_what_became_of_the_one_before(book: Book) -> None:
    assert pictures(book)[1:] == [
        ("inks-2", "redrawn", []), ("inks-3", "redrawn", [3]), ("inks-4", "redrawn", [3]), ("inks-5", "same", []),
    ]  # fmt: skip
    assert pictures(book)[0] == ("inks-1", "added", [])
    assert all(each.shown for each in every(book))


def test_they_are_made_only_where_they_are_asked_for(book: Book) -> None:
    assert page_life(book.top, "1").pictures == ()


def test_what_lies_there_now_if_no_round_holds_it(book: Book) -> None:
    book.write({"art/inks/p001.png": touched(0.05)})
    assert pictures(book)[-1] == ("now", "redrawn", [1])
    book.write({"art/inks/p001.png": saved(four_panels(), compress_level=1)})
    assert pictures(book)[-1][0] == "inks-5", "the same picture, saved again"
    book.write({"art/inks/p003.png": saved(inked(3))})
    assert pictures(book, "4")[-1][:2] == ("inks-1", "added"), "page 4 was page 3 then"


def test_a_page_that_is_in_no_round_yet(book: Book) -> None:
    book.write({"art/inks/p004.png": saved(inked(3))})
    assert pictures(book, "4")[-1][0] == "now"


def test_what_cant_be_read_is_left_without_a_picture(book: Book) -> None:
    book.write({"art/inks/p001.png": b"PAGE ONE"})
    last = every(book)[-1]
    assert (last.entry, last.shown) == (None, None)


def test_a_spread_is_met_by_either_half(book: Book) -> None:
    book.git("mv", "art/inks/p002.png", "art/inks/p002-003.png")
    assert [each.entry is None for each in every(book, "2")] == [False], "the same picture under another name"
    book.write({"art/inks/p002-003.png": saved(inked(5))})
    assert [each.change.page for each in every(book, "2") if each.entry is None] == ["2-3"]
