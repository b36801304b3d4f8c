"""`compare script letters.pdf`: a PDF's own text against the script."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.marked_pdf import MarkedFile
from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book

PAGES = (
    "IS THAT YOU,\nOR THE WIND?\n \n \nNEITHER. IT'S\nTHE RENT.\n \n \nFOUND IT IN THE\nBIL-\nGE.\n \n \n"
    "NOBODY HAD OPENED\nTHE FAR ROOM IN\nNINE YEARS.",
    "PUSH.\n \n \nKRRNK\n \n \nTHEY NEVER CAME\nBACK FOR SUPPER.",
    "THEN WE WON'T KEEP\nTHEM WAITING.",
    "LISTEN.",
)


@pytest.fixture
def book(tmp_path: Path) -> TypedBook:
    return typed_book(tmp_path / "book")


Told = list[tuple[str, str, list[tuple[str, str]]]]


def lettered(book: TypedBook, pages: tuple[str, ...]) -> Told:
    """Page, state and the faults (kind, words) of a PDF with these words."""
    made = MarkedFile()
    for words in pages:
        made.page(words=words)
    return told(book, made)


def told(book: TypedBook, made: MarkedFile) -> Told:
    """The same of a PDF that is made."""
    book.write("letters.pdf", made.bytes())
    said = checked(book.ledger("compare", "script/01.md", "letters.pdf", "--json").out)
    assert all(len(row) <= 80 for row in book.ledger("compare", "script/01.md", "letters.pdf").out.splitlines())
    return [
        (each["page"], each["state"], [(c["kind"], (c["old"] or c["new"])["text"]) for c in each["lines"]])
        for each in said["lettering"]
    ]


def test_capitals_broken_rows_and_hyphens_are_no_faults(book: TypedBook) -> None:
    assert lettered(book, PAGES) == [(page, "same", []) for page in "1234"]


def test_front_matter_is_found_by_what_stands_on_the_pages(book: TypedBook) -> None:
    assert lettered(book, ("THE NINTH SUPPER", "", *PAGES)) == [(page, "same", []) for page in "1234"]


def test_missing_changed_doubled_and_moved(book: TypedBook) -> None:
    first = PAGES[0].replace("NEITHER. IT'S\nTHE RENT.\n \n \n", "").replace("THE WIND?", "THE WINDS?")
    second = "KRRNK\n \n \nPUSH.\n \n \nTHEY NEVER CAME\nBACK FOR SUPPER.\n \n \nTHEY NEVER CAME\nBACK FOR SUPPER."
    found = lettered(book, (first, second, *PAGES[2:]))
    assert found[0] == (
        "1", "changed", [("reworded", "Is that you, or the wind?"), ("cut", "Neither. It's the rent.")],
    )  # fmt: skip
    assert found[1][1] == "changed"
    assert {kind for kind, _ in found[1][2]} == {"moved", "added"}
    assert [state for _, state, _ in found[2:]] == ["same", "same"]


def test_a_page_without_text_is_not_read(book: TypedBook) -> None:
    assert lettered(book, (*PAGES[:2], "", PAGES[3]))[2] == ("3", "not read", [])


def test_one_page_and_several_are_told_as_such(book: TypedBook) -> None:
    made = MarkedFile()
    for words in ("THE NINTH SUPPER", *PAGES[:2], "", ""):
        made.page(words=words)
    book.write("letters.pdf", made.bytes())
    said = book.ledger("compare", "script/01.md", "letters.pdf").out
    assert "pages 3-4: not read, since no text is on them." in said
    assert "sheet 1: no page of the script stands on it." in said
    made = MarkedFile()
    for words in (PAGES[0].replace("WIND", "RAIN"), "", PAGES[2]):
        made.page(words=words)
    book.write("letters.pdf", made.bytes())
    book.change("script/01.md", "[page 4]", "[pages 4-5]")
    said = book.ledger("compare", "script/01.md", "letters.pdf").out
    assert "page 2: not read, since no text is on it." in said and "pages 4-5: not in this file." in said
    assert "\npage 1, sheet 1\n" in said


def test_what_is_no_pdf_is_refused(book: TypedBook) -> None:
    book.write("letters.pdf", b"%PDF-1.7 half")
    assert "damaged" in book.ledger("compare", "script/01.md", "letters.pdf", code=2).err


ALL_SAME = [(page, "same", []) for page in "1234"]


def test_labels_of_the_file_play_no_part(book: TypedBook) -> None:
    """Pages are found by their words: a part file may be labelled anyhow (ISO 32000-1, 12.4.2)."""
    made = MarkedFile()
    for at, words in enumerate(PAGES):
        made.page(words=words)
        made.label(at, f"A-{9 - at}")
    assert told(book, made) == ALL_SAME


def test_a_book_read_from_right_to_left(book: TypedBook) -> None:
    """The balloon on the right is read first there: written after the left one, it is in order all the same."""
    book.change("book.toml", 'reading = "ltr"', 'reading = "rtl"')
    assert lettered(book, PAGES) == ALL_SAME
    swapped = "THEY NEVER CAME\nBACK FOR SUPPER.\n \n \nKRRNK\n \n \nPUSH."
    found = lettered(book, (PAGES[0], swapped, *PAGES[2:]))
    assert found[1][1] == "changed" and {kind for kind, _ in found[1][2]} == {"moved"}
    assert [found[0], *found[2:]] == [ALL_SAME[0], *ALL_SAME[2:]]


def test_rows_set_in_kerned_pieces_are_whole_words(book: TypedBook) -> None:
    made = MarkedFile()
    for words in PAGES:
        made.page(words=words, kerned=True)
    assert told(book, made) == ALL_SAME


@pytest.mark.parametrize(("turn", "matrix"), [
    (90, "0 1 -1 0 100 50"), (180, "-1 0 0 -1 450 50"), (270, "0 -1 1 0 400 700"),
])  # fmt: skip
def test_a_page_that_is_turned_to_be_read_reads_the_same(book: TypedBook, turn: int, matrix: str) -> None:
    """Set sideways or upside down, and shown upright by the page's own turn (ISO 32000-1, 7.7.3.3)."""
    made = MarkedFile()
    for words in PAGES:
        made.page(words=words, turn=turn, matrix=matrix)
    assert told(book, made) == ALL_SAME


def test_a_whole_page_there_twice_is_named_line_by_line(book: TypedBook) -> None:
    found = lettered(book, (*PAGES[:2], PAGES[1], *PAGES[2:]))
    assert [each for each in found if each[0] != "2"] == [ALL_SAME[0], *ALL_SAME[2:]]
    (second,) = (each for each in found if each[0] == "2")
    assert second[1] == "changed"
    assert second[2] == [("added", "Push."), ("added", "KRRNK"), ("added", "They never came back for supper.")]
    said = book.ledger("compare", "script/01.md", "letters.pdf").out
    assert "sheet 2: page 2 once more." in said or "sheet 3: page 2 once more." in said
    assert "no page of the script" not in said
