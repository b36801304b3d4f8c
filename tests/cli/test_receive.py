"""`receive`: what comes back is judged page by page, the good pages are taken, the others named and left."""

from __future__ import annotations

import random
import re
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw
from PIL.Image import Transpose

from tests.schema_check import checked
from tests.typed_book import FLATS, Ran, TypedBook, typed_book


def flat(place: Path, seed: int = 0, size: tuple[int, int] = (50, 75), mode: str = "RGB") -> None:
    """A page of flats: one colour a panel, hard edges, nothing left out."""
    page = Image.new("RGB", size, (240, 230, 200))
    pen = ImageDraw.Draw(page)
    pen.rectangle((3, 3, 46, 36), fill=(40 + seed, 90, 160))
    pen.rectangle((3, 39, 46, 71), fill=(200, 60 + seed, 30))
    place.parent.mkdir(parents=True, exist_ok=True)
    page.convert(mode).save(place)


@pytest.fixture(scope="module")
def lent(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Pages 1 to 3 of flats are with Odd, in `out` beside the book."""
    book = typed_book(tmp_path_factory.mktemp("receive") / "kept/book")
    book.write("book.toml", (book.top / "book.toml").read_text() + FLATS)
    book.ledger("enter", "script", "-m", "first draft")
    for name in ("pencils", "inks"):
        for page in range(1, 4):
            book.draw(name, f"{page:03d}", page * 5)
        book.ledger("enter", name, "-m", "drawn")
    book.ledger("handoff", "flats", "--pages", "1-3", "--to", "../out", "--for", "Odd")
    return book


@pytest.fixture
def book(lent: TypedBook, tmp_path: Path) -> TypedBook:
    """The same, with all pages made as they were asked."""
    shutil.copytree(lent.top.parent, tmp_path / "here", symlinks=True)
    there = TypedBook(tmp_path / "here/book")
    for page in range(1, 4):
        flat(out(there) / f"flats/p{page:03d}.png", page)
    return there


def out(book: TypedBook) -> Path:
    return book.top.parent / "out"


def received(book: TypedBook, *words: str, code: int = 0) -> dict[str, Any]:
    return checked(book.ledger("receive", *(words or ("../out",)), "--json", code=code).out)


def rules(document: dict[str, Any]) -> list[tuple[str, str, str | None]]:
    return [(each["rule"], each["level"], each["page"]) for each in document["findings"]]


def accepted(document: dict[str, Any]) -> list[str]:
    return [each["page"] for each in document["pages"] if each["accepted"]]


def said(ran: Ran) -> str:
    return " ".join(ran.out.split())


def test_good_pages_become_one_commit_with_entry_and_sheet(book: TypedBook) -> None:
    before = book.git("rev-parse", "HEAD").strip()
    document = received(book)
    assert accepted(document) == ["1", "2", "3"] and document["findings"] == []
    assert document["entry"] == "handoff-2" and [each["placed"] for each in document["pages"]] == [
        f"art/flats/p00{n}.png" for n in (1, 2, 3)
    ]
    assert book.git("rev-parse", "HEAD~1").strip() == before
    for page in (1, 2, 3):
        sent = (out(book) / f"flats/p00{page}.png").read_bytes()
        assert (book.top / f"art/flats/p00{page}.png").read_bytes() == sent
        assert (
            book.git("rev-parse", f"HEAD:art/flats/p00{page}.png").strip()
            in (book.top / "ledger/handoff-2.toml").read_text()
        )
    entry = (book.top / "ledger/handoff-2.toml").read_text()
    assert "returns = 1" in entry and 'pages   = "1-3"' in entry and 'to      = "Odd"' in entry
    assert "As asked, and taken in: pages 1-3" in (book.top / "memos/return-2.md").read_text("utf-8")
    assert book.git("status", "--porcelain") == "" and book.ledger("audit").code == 0
    assert "With Odd" not in book.ledger("status").out


def test_received_twice_is_received_once(book: TypedBook) -> None:
    received(book)
    head = book.git("rev-parse", "HEAD")
    document = received(book)
    assert document["done"] is False and accepted(document) == ["1", "2", "3"]
    assert "Received before: pages 1-3" in said(book.ledger("receive", "../out"))
    assert book.git("rev-parse", "HEAD") == head and book.git("status", "--porcelain") == ""


def test_a_bad_page_stays_and_the_good_ones_come_in(book: TypedBook) -> None:
    flat(out(book) / "flats/p002.png", size=(49, 75))
    document = received(book, code=1)
    assert rules(document) == [("return-size", "block", "2")] and accepted(document) == ["1", "3"]
    assert not (book.top / "art/flats/p002.png").exists()
    sheet = (book.top / "memos/return-2.md").read_text("utf-8")
    assert "page 2" in sheet and "49 x 75 px" in sheet and "taken in: pages 1, 3" in sheet
    assert "With Odd" in book.ledger("status").out and "page 2 of flats" in said(book.ledger("status"))
    head = book.git("rev-parse", "HEAD")
    assert received(book, code=1)["done"] is False and book.git("rev-parse", "HEAD") == head
    flat(out(book) / "flats/p002.png", 2)
    again = received(book)
    assert again["entry"] == "handoff-3" and accepted(again) == ["1", "2", "3"]
    assert 'pages   = "2"' in (book.top / "ledger/handoff-3.toml").read_text()
    assert "With Odd" not in book.ledger("status").out


def test_nothing_good_is_told_on_a_sheet_and_stays_out(book: TypedBook) -> None:
    for page in (1, 2, 3):
        flat(out(book) / f"flats/p00{page}.png", mode="L")
    document = received(book, code=1)
    assert {rule for rule, _, _ in rules(document)} == {"return-mode"} and accepted(document) == []
    assert (book.top / "memos/return-2.md").exists() and not (book.top / "art/flats").exists()
    assert "With Odd" in book.ledger("status").out
    head = book.git("rev-parse", "HEAD")
    received(book, code=1)
    assert book.git("rev-parse", "HEAD") == head


def test_missing_renamed_and_extra(book: TypedBook) -> None:
    (out(book) / "flats/p001.png").unlink()
    (out(book) / "flats/p002.png").rename(out(book) / "flats/page 2 final.png")
    flat(out(book) / "flats/p009.png")
    (out(book) / "flats/.DS_Store").write_bytes(b"x")
    document = received(book, code=1)
    assert sorted(rules(document), key=str) == sorted(
        [("return-count", "block", "1"), ("return-names", "block", "2"), ("return-names", "block", None)], key=str
    )
    assert accepted(document) == ["3"]
    sheet = (book.top / "memos/return-2.md").read_text("utf-8")
    assert sheet.index("To be mended") < sheet.index("page 2 final") < sheet.index("Not there") < sheet.index("page 1")


def test_smoothed_edges_are_named_with_the_first_pixel(book: TypedBook) -> None:
    with Image.open(out(book) / "flats/p003.png") as page:
        page.resize((25, 38)).resize((50, 75)).save(out(book) / "flats/p003.png")
    document = received(book, code=1)
    assert rules(document) == [("edges-smoothed", "block", "3")]
    assert re.search(r"\d+ px from the left, \d+ px from the top", document["findings"][0]["message"])


def test_line_art_that_was_changed(book: TypedBook) -> None:
    with Image.open(out(book) / "inks/p003.png") as page:
        changed = page.copy()
    changed.putpixel((20, 50), 128)
    changed.save(out(book) / "inks/p003.png")
    document = received(book, code=1)
    assert rules(document) == [("line-art-changed", "block", "3")] and accepted(document) == ["1", "2"]
    assert "20" in document["findings"][0]["message"] and "50" in document["findings"][0]["message"]


def test_saved_anew_is_no_fault(book: TypedBook) -> None:
    for page in (1, 2, 3):
        with Image.open(out(book) / f"inks/p00{page}.png") as art:
            art.convert("RGB").save(out(book) / f"inks/p00{page}.png", compress_level=0)
    assert received(book)["findings"] == []


def test_a_newer_page_of_ours_is_never_written_over(book: TypedBook) -> None:
    flat(book.top / "art/flats/p001.png", 77)
    book.ledger("enter", "flats", "-m", "did it ourselves")
    flat(book.top / "art/flats/p002.png", 78)
    ours = {n: (book.top / f"art/flats/p00{n}.png").read_bytes() for n in (1, 2)}
    document = received(book, code=1)
    assert rules(document) == [("page-reverted", "block", "1"), ("page-reverted", "block", "2")]
    assert accepted(document) == ["3"]
    assert {n: (book.top / f"art/flats/p00{n}.png").read_bytes() for n in (1, 2)} == ours
    assert book.git("status", "--porcelain").split() == ["??", "art/flats/p002.png"]


def test_a_better_page_replaces_what_an_earlier_return_brought(book: TypedBook) -> None:
    received(book)
    flat(out(book) / "flats/p001.png", 44)
    document = received(book)
    assert document["entry"] == "handoff-3" and accepted(document) == ["1", "2", "3"]
    assert (book.top / "art/flats/p001.png").read_bytes() == (out(book) / "flats/p001.png").read_bytes()
    flat(book.top / "art/flats/p001.png", 90)
    assert rules(received(book, code=1)) == [("page-reverted", "block", "1")]


def test_a_base_that_moved_is_told_and_the_page_taken(book: TypedBook) -> None:
    book.draw("inks", "002", 21)
    book.ledger("enter", "inks", "-m", "redrawn")
    document = received(book)
    assert rules(document) == [("basis-moved", "query", "2")] and accepted(document) == ["1", "2", "3"]
    assert "inks-1, now inks-2" in document["findings"][0]["message"]


def test_what_a_sign_off_closes_is_held_back(book: TypedBook) -> None:
    book.change("book.toml", 'returns = "flats"', 'returns = "flats"\nlocks = ["drawing"]')
    flat(book.top / "art/flats/p001.png", 1)
    book.ledger("save", "-m", "flats will be signed off")
    book.ledger("enter", "flats", "-m", "as Odd made it")
    book.ledger("lock", "flats", "--pages", "1-2")
    document = received(book, code=1)
    assert accepted(document) == ["1", "3"] and ("export-added", "block", "2") in rules(document)
    assert not (book.top / "art/flats/p002.png").exists() and book.ledger("audit").code == 0
    assert 'pages   = "1,3"' in (book.top / "ledger/handoff-2.toml").read_text()


def test_the_ledger_is_believed_and_an_edited_list_named(book: TypedBook) -> None:
    place = out(book) / "handoff.toml"
    place.write_text(place.read_text().replace('page   = "1"', 'page   = "1"', 1).replace("[50, 75]", "[40, 75]", 1))
    flat(out(book) / "flats/p001.png", size=(40, 75))
    document = received(book, code=1)
    assert ("return-size", "block", "1") in rules(document) and accepted(document) == ["2", "3"]
    assert any(each["path"] == "handoff.toml" and each["level"] == "query" for each in document["findings"])


def test_a_list_that_names_another_round_does_not_say_what_was_given(book: TypedBook) -> None:
    """What was given is known by its content: the round named must hold it (trade fact T-175)."""
    book.draw("inks", "002", 21)
    book.ledger("enter", "inks", "-m", "redrawn")
    place = out(book) / "handoff.toml"
    place.write_text(place.read_text().replace('inks = "inks-1"', 'inks = "inks-2"'))
    document = received(book)
    assert rules(document) == [("basis-moved", "query", "2"), ("return-names", "query", None)]
    told = {each["rule"]: each["message"] for each in document["findings"]}
    assert "inks-1, now inks-2" in told["basis-moved"] and "made from inks-2 for inks-1" in told["return-names"]


def test_a_whole_page_turned_mirrored_or_under_another_name_is_told(lent: TypedBook, tmp_path: Path) -> None:
    """Letters over the inks: known by their looks, whatever was set on them; taken all the same."""
    shutil.copytree(lent.top, tmp_path / "here/book", symlinks=True)
    book = TypedBook(tmp_path / "here/book")
    for page in range(1, 5):
        sketch(book.top / f"art/inks/p00{page}.png", page)
    book.ledger("enter", "inks", "-m", "drawn anew")
    book.ledger("handoff", "letters", "--pages", "1-4", "--to", "../lettered")
    came, turns = book.top.parent / "lettered", {2: Transpose.ROTATE_180, 3: Transpose.FLIP_LEFT_RIGHT}
    for page in range(1, 5):
        with Image.open(came / f"inks/p00{page}.png") as inks:
            lettered = inks.convert("RGB")
        ImageDraw.Draw(lettered).rectangle((8, 8, 16, 11), fill=(255, 255, 255), outline=(0, 0, 0))
        lettered = lettered.transpose(turns[page]) if page in turns else lettered
        lettered.save(came / f"letters/p00{page}.png")
    assert rules(received(book, "../lettered", "--check")) == [
        ("layout-changed", "query", "2"), ("layout-changed", "query", "3"),
    ]  # fmt: skip
    (came / "letters/p001.png").rename(came / "t.png")
    (came / "letters/p004.png").rename(came / "letters/p001.png")
    (came / "t.png").rename(came / "letters/p004.png")
    document = received(book, "../lettered")
    assert accepted(document) == ["1", "2", "3", "4"]
    told = {each["page"]: each["message"] for each in document["findings"]}
    assert told["1"] == "it looks like page 4 as that was handed out" and "page 1" in told["4"]
    assert told["2"].startswith("it is upside down") and told["3"].startswith("it is mirrored")
    (sheet,) = (book.top / "memos").glob("return-*.md")
    assert "letters/p002.png: it is upside down" in sheet.read_text("utf-8")


def sketch(place: Path, seed: int) -> None:
    """A page that is like no other, nor like itself when turned."""
    page, dice = Image.new("L", (50, 75), 255), random.Random(seed)
    pen = ImageDraw.Draw(page)
    for _ in range(9):
        x, y = dice.randrange(40), dice.randrange(60)
        pen.ellipse((x, y, x + dice.randrange(4, 20), y + dice.randrange(4, 20)), fill=dice.choice([0, 255]), outline=0)
    page.save(place)


@pytest.mark.parametrize("wrapped", [False, True])
def test_an_archive_does_as_well(book: TypedBook, wrapped: bool) -> None:
    packed = book.top.parent / "back.zip"
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(out(book).rglob("*")):
            archive.write(path, (Path("out") if wrapped else Path()) / path.relative_to(out(book)))
    assert accepted(received(book, "../back.zip", "--check")) == ["1", "2", "3"]
    assert accepted(received(book, "../back.zip")) == ["1", "2", "3"]


def test_the_helper_can_judge_it_without_a_book(book: TypedBook) -> None:
    flat(out(book) / "flats/p002.png", size=(49, 75))
    alone = TypedBook(book.top.parent.parent / "alone")
    shutil.copytree(out(book), alone.top / "out")
    before = {path: path.read_bytes() for path in alone.top.rglob("*") if path.is_file()}
    document = received(alone, "out", "--check", code=1)
    assert rules(document) == [("return-size", "block", "2")] and document["done"] is False
    assert "2 of 3 pages of flats are as asked" in said(alone.ledger("receive", "out", "--check", code=1))
    flat(alone.top / "out/flats/p002.png")
    assert "They can be sent back" in said(alone.ledger("receive", "out", "--check"))
    assert set(before) == {path for path in alone.top.rglob("*") if path.is_file()}
    assert "book" in alone.ledger("receive", "out", code=2).err


def test_wrong_use(book: TypedBook) -> None:
    assert "no such folder" in book.ledger("receive", "../nowhere", code=2).err
    assert "handoff.toml" in book.ledger("receive", "script", code=2).err
    assert "no ZIP archive" in book.ledger("receive", "book.toml", code=2).err
    list_ = out(book) / "handoff.toml"
    text = list_.read_text()
    list_.write_text(re.sub(r"(?m)^(handoff +=) 1$", r"\1 9", text))
    assert "no such hand-off" in book.ledger("receive", "../out", code=2).err
    list_.write_text(text.replace("px", "py"))
    assert "handoff.toml:" in book.ledger("receive", "../out", code=2).err
