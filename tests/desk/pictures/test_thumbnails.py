"""Exports made small are kept in the git folder; losing them costs time and nothing else."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from ledger.desk.opening import open_book
from ledger.desk.pictures.picture_memory import prints_remembered
from ledger.desk.pictures.thumbnails import DELIVERED, SIDE, keep_small, thumbnails
from ledger.model.pages import PageSet
from ledger.model.plate import Shown
from ledger.pictures.examined import WHITE
from ledger.pictures.files.decode import digest
from tests.books import Book
from tests.pictures.drawn import inked, saved

TOML = '[book]\ntitle = "The Ninth Supper"\npages = 4\n[[pass]]\nname = "inks"\nkind = "art"\nfiles = "p{page}.png"\n'


@pytest.fixture
def book(tmp_path: Path) -> Book:
    found = Book.new(tmp_path / "book", {"book.toml": TOML, "p2.png": "no picture"})
    for number in (1, 3):
        (found.top / f"p{number}.png").write_bytes(saved(inked(number)))
    found.commit("pages")
    return found


def made(book: Book) -> dict[str, Shown]:
    desk = open_book(book.top)
    return thumbnails(desk.working, desk.working.book.passes, repo=desk.repo)["inks"]


def kept(book: Book) -> Path:
    (found,) = (book.top / ".git" / "inkledger").glob("small-*")
    return found


def test_what_is_no_picture_is_left_out(book: Book) -> None:
    shown = made(book)
    assert sorted(shown) == ["1", "3"]
    assert max(Image.open(io.BytesIO(shown["1"].data)).size) == 96
    assert max(shown["1"].width, shown["1"].height) == 96


def test_the_second_time_nothing_is_decoded(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    first = made(book)

    def never(*_: object) -> None:
        raise AssertionError("asked to make one small")

    monkeypatch.setattr("ledger.pictures.plates.small", never)
    (book.top / "p2.png").unlink()
    assert made(book) == first


def test_another_picture_is_made_small_anew(book: Book) -> None:
    first = made(book)
    (book.top / "p1.png").write_bytes(saved(inked(9)))
    second = made(book)
    assert second["1"] != first["1"]
    assert second["3"] == first["3"]


@pytest.mark.parametrize("damage", [b"\0\xff\n", b"small-00 00000000 64x96:!!\n", b""])
def test_a_damaged_file_is_not_believed(book: Book, damage: bytes) -> None:
    first = made(book)
    kept(book).write_bytes(damage + kept(book).read_bytes()[40:])
    assert made(book) == first


def test_what_is_kept_when_pages_are_signed_off_is_what_a_later_look_makes(book: Book) -> None:
    (book.top / "p4.png").write_bytes(saved(Image.new("L", (60, 90), "white")))
    book.commit("white")
    desk = open_book(book.top)
    (inks,) = desk.working.book.passes
    later = {side: thumbnails(desk.working, [inks], side)["inks"] for side in (SIDE, DELIVERED)}
    keep_small(desk.repo, desk.working, inks, PageSet(frozenset({"1", "2", "4"})))
    rows = kept(book).read_bytes()
    assert rows.count(b"\n") == 4  # two pictures at two sizes, what is no picture left out, page 3 not asked for
    found = {side: thumbnails(desk.working, [inks], side, desk.repo)["inks"] for side in (SIDE, DELIVERED)}
    assert found == later
    ids = {label: files[0].oid or "" for label, files in desk.working.exports(inks).items()}
    data = (book.top / "p1.png").read_bytes()
    assert prints_remembered(desk.repo) == {ids["1"]: digest(data), ids["4"]: WHITE}


def test_nothing_is_made_twice_when_a_page_is_signed_off_again(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = open_book(book.top)
    (inks,) = desk.working.book.passes
    keep_small(desk.repo, desk.working, inks, PageSet(frozenset({"1"})))

    def never(*_: object) -> None:
        raise AssertionError("read again")

    monkeypatch.setattr("ledger.desk.pictures.thumbnails._read", never)
    keep_small(desk.repo, desk.working, inks, PageSet(frozenset({"1"})))
