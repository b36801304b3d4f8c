"""`packet`: what it writes, what it refuses, and what the ledger says of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = typed_book(tmp_path_factory.mktemp("packet") / "book")
    book.ledger("enter", "script", "-m", "first draft")
    for page in range(1, 4):
        book.draw("pencils", f"{page:03d}", page * 5)
    book.ledger("enter", "pencils", "-m", "drawn")
    return book


@pytest.fixture
def book(kept: TypedBook, tmp_path: Path) -> TypedBook:
    return kept.copied(tmp_path / "book")


def test_it_shows_the_round_not_what_was_changed_since(book: TypedBook) -> None:
    book.change("script/01.md", "N: Push.", "N: Pull.")
    assert "packet-script-1.html" in book.ledger("packet", "script").out
    html = (book.top / "packet-script-1.html").read_text("utf-8")
    assert "Push." in html and "Pull." not in html


def test_only_the_pages_asked_for(book: TypedBook) -> None:
    book.ledger("packet", "pencils", "--pages", "2-3", "--out", "two.html")
    assert (book.top / "two.html").read_text("utf-8").count("<section") == 2


def test_what_can_not_be_read_is_refused(book: TypedBook) -> None:
    said = book.ledger("packet", "inks", code=2).err
    assert "nothing of 'inks' is entered yet" in said and "inkledger enter inks" in said
    assert "nothing there" in book.ledger("packet", "pencils", "--pages", "9", code=2).err
    assert "is no page" in book.ledger("packet", "pencils", "--pages", "x", code=2).err
    assert ".html" in book.ledger("packet", "script", "--out", "a.pdf", code=2).err
    book.write("script/01.md", "# One\n\nN: No page is marked here.\n")
    book.ledger("enter", "script", "-m", "no pages")
    assert "has no page marks" in book.ledger("packet", "script", code=2).err


def test_a_packet_for_somebody_is_out_until_notes_come(book: TypedBook) -> None:
    done = checked(book.ledger("packet", "pencils", "--for", "E. Marsh", "--out", "p.html", "--json").out)
    assert done["entry"] == "handoff-1" and done["paths"] == ["p.html", "ledger/handoff-1.toml"]
    assert "E. Marsh" in (book.top / "p.html").read_text("utf-8")
    entry = (book.top / "ledger/handoff-1.toml").read_text("utf-8")
    assert "packet" in entry and "art/pencils/p001.png" in entry and book.git("status", "--porcelain") == "?? p.html\n"
    assert "pencils with E. Marsh since" in book.ledger("status").out
    assert book.ledger("audit").code == 0
    book.write("notes/marsh.md", "from: E. Marsh\non: pencils-1\n\n- [ ] 1 (p2) Her hand?\n")
    assert "with E. Marsh" not in book.ledger("status").out


def test_what_can_not_be_recorded_is_not_written(book: TypedBook) -> None:
    book.git("checkout", "-q", "--detach")
    assert book.ledger("packet", "pencils", "--for", "Marsh", code=2).err
    assert not list(book.top.glob("*.html"))
    assert "--for is empty" in book.ledger("packet", "pencils", "--for", " ", code=2).err


@pytest.mark.parametrize("out", ["p.html", "../p.html"])
def test_a_packet_written_over_another_comes_with_its_record_or_not_at_all(book: TypedBook, out: str) -> None:
    """Into the book's folder or beside it; another git is at work the first time."""
    book.write(out, "an older packet")
    lock = book.write(".git/index.lock", "another's")
    assert "another git is at work" in book.ledger("packet", "pencils", "--for", "Marsh", "--out", out, code=2).err
    assert (book.top / out).read_text() == "an older packet" and not (book.top / "ledger/handoff-1.toml").exists()
    lock.unlink()
    book.ledger("packet", "pencils", "--for", "Marsh", "--out", out)
    assert "Marsh" in (book.top / out).read_text("utf-8") and (book.top / "ledger/handoff-1.toml").exists()
    assert not list(book.top.rglob(".inkledger-*"))


def test_a_picture_that_can_not_be_shown_is_named(book: TypedBook) -> None:
    oid = book.git("rev-parse", "HEAD:art/pencils/p002.png").strip()
    blob = book.top / ".git/objects" / oid[:2] / oid[2:]
    blob.unlink()
    done = checked(book.ledger("packet", "pencils", "--out", "p.html", "--json").out)
    assert [(each["rule"], each["page"]) for each in done["findings"]] == [("export-unreadable", "2")]
    assert "not on the machine" in (book.top / "p.html").read_text("utf-8")
