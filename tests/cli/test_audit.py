"""`audit`: what it says of a late edit, what settles it, ranges, and the reports for a publisher."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """A script entered, pencils drawn and signed off."""
    book = typed_book(tmp_path_factory.mktemp("audited") / "book")
    book.ledger("enter", "script", "-m", "first draft")
    for number in range(1, 5):
        book.draw("pencils", f"00{number}", number)
    book.ledger("enter", "pencils", "-m", "all pages")
    book.ledger("lock", "pencils", "-m", "story locked")
    return book


@pytest.fixture
def book(_signed: TypedBook, tmp_path: Path) -> TypedBook:
    return _signed.copied(tmp_path / "book")


def late(book: TypedBook) -> str:
    """A line cut with the hooks passed by; gives the commit."""
    book.change("script/01.md", "N: Push.\n", "")
    book.git("commit", "-q", "--no-verify", "-am", "a late cut")
    return book.git("rev-parse", "HEAD").strip()


def test_a_late_edit_is_named_with_its_commit_rule_and_remedy(book: TypedBook) -> None:
    commit = late(book)
    (finding,) = checked(book.ledger("audit", "--json", code=1).out)["findings"]
    assert (finding["rule"], finding["level"], finding["commit"]) == ("line-cut", "block", commit)
    assert "inkledger alter --late --reason" in finding["remedy"]


def test_what_the_remedy_says_settles_it(book: TypedBook) -> None:
    commit = late(book)
    book.ledger("alter", "--late", "--reason", "the editor agreed", "--class", "EA")
    book.git("commit", "-q", "-m", "its slip")
    (finding,) = checked(book.ledger("audit", "--json").out)["findings"]
    assert (finding["level"], finding["commit"]) == ("query", commit)
    assert "settled by alteration-1" in finding["message"]


def test_a_range_and_since_lock(book: TypedBook) -> None:
    commit = late(book)
    book.write("letter.txt", "Dear Ida\n")
    book.git("add", "-A")
    book.git("commit", "-qm", "a letter")
    assert book.ledger("audit", f"{commit}..").code == 0
    assert book.ledger("audit", f"{commit}~..{commit}", code=1).code == 1
    assert "line-cut" in book.ledger("audit", "--since-lock", code=1).out
    assert "no state of this book" in book.ledger("audit", "nowhere..", code=2).err


def test_reports_are_written_as_a_page_and_as_json(book: TypedBook) -> None:
    commit = late(book)
    told = book.ledger("audit", "--out", "audit.html", code=1)
    page = (book.top / "audit.html").read_text("utf-8")
    assert "The report is in audit.html." in told.out and "line-cut" in told.out
    assert commit[:10] in page and "alter --late" in page and "lock-pencils-1" in page and "Dates are claims" in page
    book.ledger("audit", "--out", "audit.json", code=1)
    written = checked((book.top / "audit.json").read_text("utf-8"))
    assert written == checked(book.ledger("audit", "--json", code=1).out)


@pytest.mark.parametrize("name", ["audit.pdf", "audit", ".html"])
def test_other_names_are_refused_before_anything_is_done(book: TypedBook, name: str) -> None:
    told = book.ledger("audit", "--out", name, code=2)
    assert "ends in .html or .json" in told.err
    assert not (book.top / name).exists()


def test_a_report_of_nothing(tmp_path: Path) -> None:
    book = TypedBook(tmp_path)
    book.git("init", "-q", ".")
    book.ledger("audit", "--out", "audit.html")
    assert "nothing was found" in (tmp_path / "audit.html").read_text("utf-8")
