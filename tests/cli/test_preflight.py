"""Every rule of the preflight through the command, each with a picture made here that breaks it and no other."""

from __future__ import annotations

import io
import os
from pathlib import Path

import pytest
from PIL import Image

from tests.books import Book
from tests.cli.conftest import Tell
from tests.pictures.drawn import coloured, inked, saved, shaded, widened
from tests.pictures.test_forms import tiled
from tests.schema_check import checked

TOML = """[book]
title = "The Ninth Supper"
pages = 9

[page]
trim_mm = [50.8, 76.2]
ppi = 100
ink_limit = 300

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.*"
mode = "1"
masters = "work/inks/p{page}.*"

[[pass]]
name = "colours"
kind = "art"
files = "art/colours/p{page}.*"
mode = "cmyk"
from = ["inks"]
"""
SIZE = (200, 300)


def lines(seed: int, size: tuple[int, int] = SIZE, **how: object) -> bytes:
    return saved(inked(seed, size), **how)


def inks(spot: tuple[int, int, int, int]) -> bytes:
    sheet = Image.new("CMYK", SIZE, (0, 0, 0, 60))
    sheet.paste(spot, (0, 0, 200, 30))
    return saved(sheet, "TIFF")


PAGES = {
    "art/inks/p001.png": lines(1),
    "art/inks/p002.tif": saved(inked(1, SIZE), "TIFF", compression="group4"),
    "art/inks/p003.png": saved(shaded(3, SIZE)),
    "art/inks/p004.png": lines(4, (190, 290)),
    "art/inks/p005.png": lines(5, dpi=(72, 72)),
    "art/inks/p007.jpg": saved(inked(7, SIZE).convert("L"), "JPEG"),
    "art/inks/p008.png": lines(8)[:300],
    "art/inks/p009.png": lines(9),
    "art/inks/p9.png": lines(10),
    "art/colours/p001.tif": inks((255, 255, 204, 153)),
    "art/colours/p002.tif": inks((255, 204, 153, 102)),
}
FOUND = [
    ("export-behind", "1"), ("export-mode", "3"), ("export-mode", "7"), ("export-size", "4"), ("export-size", "5"),
    ("export-unreadable", "8"), ("ink-limit", "1"), ("page-duplicate", "2"), ("page-gap", "6"), ("page-number", "9"),
]  # fmt: skip


@pytest.fixture
def book(tmp_path: Path) -> Book:
    book = Book.new(tmp_path / "book", {"book.toml": TOML, ".gitignore": "work/\n", **PAGES})
    book.write({"work/inks/p001.kra": b"layers"})
    os.utime(book.top / "art/inks/p001.png", (1_770_000_000, 1_770_000_000))
    return book


def test_each_is_asked_about_once(tell: Tell, book: Book) -> None:
    found = checked(tell(book.top, "check", "--json").out)["findings"]
    assert sorted((each["rule"], each["page"]) for each in found) == FOUND
    assert {each["level"] for each in found} == {"query"}


def test_an_earlier_export_is_back(tell: Tell, book: Book) -> None:
    book.git("rm", "-q", "art/inks/p9.png")
    book.commit("page 9 is there once")
    tell(book.top, "enter", "inks", "--pages", "1", "-m", "one")
    book.write({"art/inks/p001.png": lines(11)})
    tell(book.top, "enter", "inks", "--pages", "1", "-m", "another")
    book.write({"art/inks/p001.png": PAGES["art/inks/p001.png"]})
    found = checked(tell(book.top, "check", "--json").out)["findings"]
    assert [each["page"] for each in found if each["rule"] == "page-reverted"] == ["1"]


@pytest.mark.parametrize("rule", sorted({rule for rule, _ in FOUND}))
def test_the_rules_of_the_book_raise_and_lower_each(tell: Tell, book: Book, rule: str) -> None:
    for level, code in (("block", 1), ("off", 0)):
        book.write({"book.toml": TOML.replace("[[pass]]", f'[rules]\n{rule} = "{level}"\n\n[[pass]]', 1)})
        found = checked(tell(book.top, "check", "--json", code=code).out)["findings"]
        levels = {each["level"] for each in found if each["rule"] == rule}
        assert levels == ({"block"} if level == "block" else set())


@pytest.mark.parametrize("rule", ["export-size", "ink-limit", "page-gap", "export-mode"])
def test_what_the_rules_raised_stops_the_commit_of_a_page(tell: Tell, book: Book, rule: str) -> None:
    """Only what is staged answers for it: wrong pages of old stand as they are."""
    book.write({"book.toml": TOML.replace("[[pass]]", f'[rules]\n{rule} = "block"\n\n[[pass]]', 1)})
    book.commit("stricter from now on")
    assert checked(tell(book.top, "check", "--staged", "--json").out)["findings"] == []
    new = {
        "export-size": {"art/inks/p010.png": lines(12, (190, 290))},
        "ink-limit": {"art/colours/p003.tif": inks((255, 255, 255, 255))},
        "page-gap": {"art/inks/p012.png": lines(12)},
        "export-mode": {"art/inks/p010.png": saved(shaded(12, SIZE))},
    }[rule]
    book.write(new)
    book.git("add", "-A")
    found = checked(tell(book.top, "check", "--staged", "--json", code=1).out)["findings"]
    assert [(each["rule"], each["level"]) for each in found] == [(rule, "block")], found


PLAIN = TOML.replace('mode = "1"\nmasters = "work/inks/p{page}.*"', 'mode = "grey"').replace('mode = "cmyk"\n', "")


def several(form: str) -> bytes:
    """A page and another one in the same file."""
    out = io.BytesIO()
    coloured(3, SIZE).save(out, form, save_all=True, append_images=[coloured(4, SIZE)])
    return out.getvalue()


def test_every_form_that_pages_come_in_is_read_and_what_it_holds_besides_is_said(tell: Tell, tmp_path: Path) -> None:
    pages = {
        "art/inks/p001.tif": saved(widened(shaded(1, SIZE), 257), "TIFF"),
        "art/inks/p002.png": saved(widened(shaded(2, SIZE), 257)),
        "art/inks/p003.tif": tiled(shaded(3, SIZE)),
        "art/colours/p001.webp": saved(coloured(1, SIZE), "WEBP", lossless=True),
        "art/colours/p002.jpg": saved(coloured(2, SIZE), "JPEG", dpi=(100, 100)),
        "art/colours/p003.tif": several("TIFF"),
        "art/colours/p004.webp": several("WEBP"),
    }
    book = Book.new(tmp_path / "book", {"book.toml": PLAIN, **pages})
    found = checked(tell(book.top, "check", "--json").out)["findings"]
    assert [(each["rule"], each["path"]) for each in found] == [
        ("export-mode", "art/colours/p003.tif"), ("export-mode", "art/colours/p004.webp"),
    ]  # fmt: skip
    assert all("holds 2 pictures in one file; the first is taken for the page" in each["message"] for each in found)
