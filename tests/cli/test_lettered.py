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


def lettered(book: TypedBook, pages: tuple[str, ...]) -> list[tuple[str, str, list[tuple[str, str]]]]:
    """Page, state and the faults (kind, words) of a PDF with these words."""
    made = MarkedFile()
    for words in pages:
        made.page(words=words)
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


def test_what_is_no_pdf_is_refused(book: TypedBook) -> None:
    book.write("letters.pdf", b"%PDF-1.7 half")
    assert "damaged" in book.ledger("compare", "script/01.md", "letters.pdf", code=2).err
