"""`inkledger spreads`: openings, the strip, the document."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from tests.books import Book
from tests.cli.conftest import Tell
from tests.pictures.drawn import inked, saved
from tests.plan.typed import script_text
from tests.schema_check import checked

TOML = """\
[book]
title = "The Weir"
reading = "{reading}"
pages = 20
front_matter = {front}
signature = {signature}

[[pass]]
name = "script"
kind = "text"
files = "script/*.md"
"""


def weir(top: Path, *, reading: str = "ltr", front: int = 0, signature: int = 8, script: str | None = None) -> Book:
    toml = TOML.format(reading=reading, front=front, signature=signature)
    text = script_text(20, (4, 11), {8: 1, 13: 1}) if script is None else script
    return Book.new(top / "weir", {"book.toml": toml, "script/01.md": text})


def test_the_strip_of_a_book(tell: Tell, tmp_path: Path) -> None:
    said = tell(weir(tmp_path).top, "spreads").out
    assert said.startswith("""\
The Weir
20 of story = 20 pages, read left to right: odd pages stand on the right.
3 signatures of 8 pages, 4 pages blank at the end.

  1  |1    2|3    4=5    6|7   *8
  2  |9   10|11? 12|13? 14|15  16
  3  |17  18|19  20|-    -|-    -
""")
    assert "= spread, one picture over both pages: 4-5\n" in said
    assert "* reveal, met on turning the page: 8, 13\n" in said
    assert "look: spread-side script/01.md:" in said
    assert max(map(len, said.splitlines())) <= 80


def test_from_right_to_left_the_strip_starts_at_its_right_end(tell: Tell, tmp_path: Path) -> None:
    said = tell(weir(tmp_path, reading="rtl").top, "spreads").out
    assert "starts at the right" in said
    row = next(line for line in said.splitlines() if line.startswith("  1  "))
    assert row == "  1  8*   7|6    5=4    3|2    1|"


def test_the_document_turns_sides_alone(tell: Tell, tmp_path: Path) -> None:
    ltr, rtl = (
        checked(tell(weir(tmp_path / reading, reading=reading, front=1).top, "spreads", "--json").out)
        for reading in ("ltr", "rtl")
    )
    assert ltr["openings"][1] == {
        "left": {"book": 2, "page": "1"}, "right": {"book": 3, "page": "2"}, "spread": False, "reveals": [],
        "signature": 1,
    }  # fmt: skip
    assert ltr["openings"][0]["left"] is None
    for one, other in zip(ltr["openings"], rtl["openings"], strict=True):
        assert one == {**other, "left": other["right"], "right": other["left"]}
    assert ltr["findings"] == rtl["findings"]
    assert (ltr["extent"], ltr["blanks"]) == (21, 3)


def test_a_long_book_on_large_sheets_still_fits(tell: Tell, tmp_path: Path) -> None:
    book = weir(tmp_path, front=8, signature=32, script="".join(f"[page]\n\nDay {n}.\n\n" for n in range(1, 1101)))
    said = tell(book.top, "spreads").out
    assert max(map(len, said.splitlines())) <= 80
    assert "1100" in said


def test_before_pages_are_marked(tell: Tell, tmp_path: Path) -> None:
    said = tell(weir(tmp_path, script="## Weir\n\nRain.\n").top, "spreads").out
    assert "script has no page marks yet: the story pages are those of book.toml." in said


def test_a_signature_that_no_sheet_has(tell: Tell, tmp_path: Path) -> None:
    said = tell(weir(tmp_path, signature=10).top, "spreads", code=2).err
    assert "book.toml:6" in said
    assert "a folded sheet has 4, 8, 12, 16, 24, 32 pages" in said


def test_a_rule_can_make_a_side_block(tell: Tell, tmp_path: Path) -> None:
    book = weir(tmp_path)
    book.write({"book.toml": TOML.format(reading="ltr", front=0, signature=8) + '\n[rules]\nspread-side = "block"\n'})
    assert "block: spread-side" in tell(book.top, "spreads", code=1).out


@pytest.mark.parametrize(("reading", "panel"), [("ltr", 2), ("rtl", 1)])
def test_the_halves_of_a_spreads_picture(tell: Tell, tmp_path: Path, reading: str, panel: int) -> None:
    """Derived (T-006): in rtl the even page of a spread is the right half of its picture, and is read first."""
    book = weir(tmp_path, reading=reading)
    book.write({"book.toml": TOML.format(reading=reading, front=0, signature=8) + '\n[[pass]]\nname = "inks"\n'})
    halves = [inked(seed, (240, 360)).convert("L") for seed in (1, 2, 3)]
    for right in (1, 2):
        both = Image.new("L", (480, 360), 255)
        both.paste(halves[0].crop((0, 0, 240, 175)), (0, 0))
        both.paste(halves[right].crop((0, 0, 240, 175)), (240, 0))
        book.write({"art/inks/p004-005.png": saved(both)})
        if right == 1:
            tell(book.top, "enter", "inks")
    (told,) = checked(tell(book.top, "compare", "--json").out)["pictures"]
    changed = [(each["index"], each["box"][0] > 0.5) for each in told["panels"] if each["changed"] > 0.05]
    assert (told["page"], changed) == ("4-5", [(panel, True)])
    opening = checked(tell(book.top, "spreads", "--json").out)["openings"][2]
    even = opening["right" if reading == "rtl" else "left"]
    assert (even["page"], opening["spread"]) == ("4", True)
