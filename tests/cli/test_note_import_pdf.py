"""`notes import marks.pdf`: which page a mark is on, whose it is, and that it comes once."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from tests.cli.conftest import Said, Tell
from tests.cli.test_note_import import rounds, take_in
from tests.marked_pdf import MarkedFile
from tests.schema_check import checked
from tests.typed_book import TypedBook


def inked(book: TypedBook) -> None:
    """Four pages of inks that look different from afar, entered."""
    for page in range(1, 5):
        picture = Image.new("L", (50, 75), 255)
        pen = ImageDraw.Draw(picture)
        pen.rectangle((4, 4 + 16 * (page - 1), 46, 18 + 16 * (page - 1)), fill=0)
        pen.ellipse((5 * page, 60 - 12 * page % 50, 5 * page + 14, 74 - 12 * page % 50), fill=90)
        (book.top / "art/inks").mkdir(parents=True, exist_ok=True)
        picture.save(book.top / f"art/inks/p{page:03}.png")
    book.ledger("enter", "inks", "-m", "all inked")


def pencils(book: TypedBook, page: int) -> Path:
    return book.top / f"art/pencils/p{page:03}.png"


def marked(book: TypedBook) -> MarkedFile:
    """Pages 3 and 1 of the pencils in one file, with marks of two readers."""
    made = MarkedFile()
    made.page(pencils(book, 3))
    made.page(pencils(book, 1))
    made.mark(0, "Text", (205, 432, 215, 438), Contents="her hand?", T="Ida Kestrel", M="D:20260212", NM="n-1")
    made.mark(0, "Ink", (100, 100, 200, 200), T="Bede Lorn")
    made.mark(1, "Square", (400, 700, 450, 740), Contents="too small", T="Ida Kestrel", M="D:20260214", NM="n-2")
    return made


def pdf(book: TypedBook, tell: Tell, made: MarkedFile, *more: str, code: int = 0) -> Said:
    return take_in(book, tell, made.bytes(), *more, name="marks.pdf", code=code)


def test_pages_are_told_by_the_pictures_they_carry(entered: TypedBook, tell: Tell) -> None:
    said = pdf(entered, tell, marked(entered))
    found = rounds(entered)
    assert list(found) == ["bede-lorn-1", "ida-kestrel-1"]
    assert found["ida-kestrel-1"] == (
        "# Ida Kestrel on pencils-1\nfrom: Ida Kestrel\non: pencils-1\ndate: 2026-02-14\n\n"
        "- [ ] 1 (p3 @0.42,0.42) her hand?\n  - mark: 2026-02-12, Ida Kestrel, n-1\n"
        "- [ ] 2 (p1 @0.85,0.04) too small\n  - mark: 2026-02-14, Ida Kestrel, n-2\n"
    )
    assert "- [ ] 1 (p3 @0.3,0.8) ink stroke\n  - mark: Bede Lorn, " in found["bede-lorn-1"]
    assert "2 notes of Ida Kestrel on pencils-1" in said.out and "not there" not in said.out


def test_twice_adds_nothing_and_three_more_marks_add_three(entered: TypedBook, tell: Tell) -> None:
    pdf(entered, tell, marked(entered))
    once = rounds(entered)
    assert checked(pdf(entered, tell, marked(entered), "--json").out)["done"] is False and rounds(entered) == once
    entered.ledger("notes", "answer", "ida-kestrel-1/1", "done", "drawn again")
    entered.draw("pencils", "003", 19)
    entered.ledger("enter", "pencils", "-m", "page three again")
    more = marked(entered)
    more.writer.pages[0]["/Resources"]["/XObject"]
    for words in ("one", "two", "three"):
        more.mark(1, "Text", (10, 10, 20, 20), Contents=words, T="Ida Kestrel")
    answered = rounds(entered)["ida-kestrel-1"]
    assert "3 notes of Ida Kestrel on pencils-1" in pdf(entered, tell, more).out
    assert rounds(entered)["bede-lorn-1"] == once["bede-lorn-1"]
    assert rounds(entered)["ida-kestrel-1"].startswith(answered)
    assert rounds(entered)["ida-kestrel-1"].count("- [") == 5 and len(rounds(entered)) == 2


def test_labels_tell_the_page_where_pictures_do_not(entered: TypedBook, tell: Tell) -> None:
    made = MarkedFile()
    for label in ("p002", "Page 4", "12", "cover"):
        made.label(made.page(), label)
        made.mark(len(made.writer.pages) - 1, "Text", Contents=f"on {label}")
    said = pdf(entered, tell, made, "--from", "Bo", "--on", "pencils-1")
    assert (
        "(p2 @0.5,0.533) on p002\n" in rounds(entered)["bo-1"]
        and "(p4 @0.5,0.533) on Page 4\n" in rounds(entered)["bo-1"]
    )
    assert "] 3 page 3 of marks.pdf: on 12\n" in rounds(entered)["bo-1"]
    assert "Page 3 of the file is no page of this book" in said.out and "Page 4 of the file is no" in said.out


def test_a_picture_says_more_than_a_label(entered: TypedBook, tell: Tell) -> None:
    made = marked(entered)
    made.label(0, "p004")
    pdf(entered, tell, made)
    assert "(p3 @0.42,0.42) her hand?" in rounds(entered)["ida-kestrel-1"]


@pytest.mark.parametrize("place", ["500 0 0 750 0 0", "400 0 0 600 50 100"])
def test_a_page_made_smaller_is_known_by_its_looks(entered: TypedBook, tell: Tell, tmp_path: Path, place: str) -> None:
    inked(entered)
    made = MarkedFile()
    small = Image.open(entered.top / "art/inks/p002.png").resize((40, 60)).convert("RGB")
    small.save(tmp_path / "small.jpg", quality=60)
    page = made.page(tmp_path / "small.jpg", place=place)
    left, bottom, right, top = (0, 0, 500, 750) if place.endswith(" 0 0") else (50, 100, 450, 700)
    spot = (left + (right - left) * 0.25, top - (top - bottom) * 0.75)
    made.mark(page, "Text", (*spot, *spot), Contents="here", T="Ida")
    pdf(entered, tell, made)
    assert "on: inks-1\n" in rounds(entered)["ida-1"] and "(p2 @0.25,0.75) here\n" in rounds(entered)["ida-1"]


def test_a_foreign_picture_is_no_page(entered: TypedBook, tell: Tell, tmp_path: Path) -> None:
    inked(entered)
    Image.effect_mandelbrot((50, 75), (-3, -2.5, 2, 2.5), 100).save(tmp_path / "else.png")
    made = MarkedFile()
    made.mark(made.page(tmp_path / "else.png"), "Text", Contents="whose is this?", T="Ida")
    said = pdf(entered, tell, made)
    assert "- [ ] 1 page 1 of marks.pdf: whose is this?\n" in rounds(entered)["ida-1"]
    assert "Page 1 of the file is no page of this book" in said.out


def test_a_marked_script_is_found_by_its_words(entered: TypedBook, tell: Tell) -> None:
    made = MarkedFile()
    page = made.page(words="N: Is that you, or the wind?\nJ: Neither. It's the rent.")
    made.mark(page, "Highlight", (50 + 16 * 12, 694, 50 + 28 * 12, 716), Contents="the sea?", T="Ida")
    made.mark(page, "StrikeOut", (50 + 12 * 12, 670, 50 + 26 * 12, 692), T="Ida")
    pdf(entered, tell, made)
    assert "on: script-1\n" in rounds(entered)["ida-1"]
    assert '- [ ] 1 ("or the wind?") the sea?\n' in rounds(entered)["ida-1"]
    assert '- [ ] 2 ("It’s the rent.") strikeout “It’s the rent.”\n' in rounds(entered)["ida-1"]
    listed = checked(tell(entered.top, "notes", "list", "--json").out)["notes"]
    assert [note["place_then"] for note in listed] == ['p1.1 "or the wind?"', 'p1.1 "It’s the rent."']


def test_replies_come_with_their_mark_and_new_ones_later(entered: TypedBook, tell: Tell) -> None:
    def answered(*words: str) -> MarkedFile:
        made = MarkedFile()
        first = made.mark(made.page(pencils(entered, 2)), "Text", Contents="why?", T="Ida", NM="q")
        for each in words:
            made.mark(0, "Text", Contents=each, T="Bede", IRT=first)
        return made

    pdf(entered, tell, answered("because"))
    assert "  - reply by Bede: because\n" in rounds(entered)["ida-1"] and list(rounds(entered)) == ["ida-1"]
    assert "1 reply to notes that were here already" in " ".join(
        pdf(entered, tell, answered("because", "so")).out.split()
    )
    assert checked(pdf(entered, tell, answered("because", "so"), "--json").out)["done"] is False


def test_damaged_and_locked_files_are_refused_and_nothing_is_written(entered: TypedBook, tell: Tell) -> None:
    whole = marked(entered).bytes()
    for data, said in (
        (whole[:-200], "marks.pdf: it is damaged"),
        (marked(entered).encrypted(), "marks.pdf: it is encrypted"),
    ):
        assert said in take_in(entered, tell, data, name="marks.pdf", code=2).err
    unmarked = MarkedFile()
    unmarked.page(pencils(entered, 1))
    assert "it holds no notes" in pdf(entered, tell, unmarked, code=2).err
    assert not (entered.top / "notes").exists() or not rounds(entered)


@pytest.mark.parametrize("algorithm", ["RC4-128", "AES-128", "AES-256"])
def test_a_file_that_opens_without_a_password_is_read_whatever_its_owner_forbids(
    entered: TypedBook, tell: Tell, algorithm: str
) -> None:
    """ISO 32000-1, 7.6.3.2: the empty user password opens it; the marks are the same as without a lock."""
    plainly, locked = (marked(entered).bytes(), marked(entered).encrypted("", algorithm))
    assert plainly != locked and b"/Encrypt" in locked
    take_in(entered, tell, locked, name="locked.pdf")
    assert rounds(entered)
    assert checked(take_in(entered, tell, plainly, "--json", name="open.pdf").out)["done"] is False


def test_without_the_extra_an_aes_file_is_refused_with_the_way_out(entered: TypedBook) -> None:
    """An installation without the libraries that know the cipher, in a process of its own."""
    (entered.top.parent / "locked.pdf").write_bytes(marked(entered).encrypted("", "AES-256"))
    without = "import sys; sys.modules['cryptography'] = sys.modules['Crypto'] = None"
    code = f"{without}; from ledger.cli.start import main; sys.argv[1:] = ['notes', 'import', '../locked.pdf']; main()"
    done = subprocess.run([sys.executable, "-c", code], cwd=entered.top, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, rounds(entered)) == (2, "", {})
    said = " ".join(done.stderr.split())
    assert "locked.pdf: it is encrypted with AES, and what opens that is not installed" in said
    assert "pip install 'inkledger[encrypted-pdf]'" in said


def test_what_is_named_as_a_pdf_and_is_none_is_told_as_such(entered: TypedBook, tell: Tell) -> None:
    for data in (bytes(range(256)) * 40, b"just a few words\n", b"\x00\xff" * 4000):
        said = take_in(entered, tell, data, name="Marks.PDF", code=2).err
        assert "Marks.PDF: it is damaged: it does not begin and end as a PDF does" in " ".join(said.split())


def test_many_marks_are_taken_in(entered: TypedBook, tell: Tell) -> None:
    made = MarkedFile()
    page = made.page(pencils(entered, 1))
    for number in range(1500):
        made.mark(
            page, "Text", (number % 500, number // 5, number % 500, number // 5), Contents=f"note {number}", T="Ida"
        )
    assert "1,500 notes of Ida on pencils-1" in pdf(entered, tell, made).out


def test_a_file_under_another_name_and_a_script_that_changed_add_nothing(entered: TypedBook, tell: Tell) -> None:
    made = MarkedFile()
    page = made.page(words="N: Is that you, or the wind?")
    made.mark(page, "Highlight", (50 + 16 * 12, 694, 50 + 28 * 12, 716), Contents="the sea?", T="Ida")
    made.mark(made.page(), "Text", Contents="of no page", T="Ida")
    pdf(entered, tell, made)
    once = rounds(entered)
    entered.change("script/01.md", "or the wind?", "or the sea?")
    entered.ledger("enter", "script", "-m", "sea")
    take_in(entered, tell, made.bytes(), name="other name.pdf")
    assert rounds(entered) == once


@pytest.mark.parametrize("copied", [False, True])
def test_pages_of_an_older_round_are_on_that_round(
    entered: TypedBook, tell: Tell, tmp_path: Path, copied: bool
) -> None:
    inked(entered)
    made = MarkedFile()
    for page in (2, 3):
        picture = entered.top / f"art/inks/p{page:03}.png"
        if copied:
            Image.open(picture).resize((40, 60)).save(tmp_path / f"{page}.jpg", quality=70)
            picture = tmp_path / f"{page}.jpg"
        made.mark(made.page(picture), "Text", Contents=f"on {page}", T="Ida")
    again = Image.open(entered.top / "art/inks/p002.png")
    ImageDraw.Draw(again).rectangle((5, 40, 45, 70), fill=0)
    again.save(entered.top / "art/inks/p002.png")
    entered.ledger("enter", "inks", "-m", "page two again")
    pdf(entered, tell, made)
    assert "on: inks-1\n" in rounds(entered)["ida-1"]
    assert "(p2 @0.5,0.533) on 2\n" in rounds(entered)["ida-1"] and "(p3 @0.5,0.533) on 3\n" in rounds(entered)["ida-1"]
