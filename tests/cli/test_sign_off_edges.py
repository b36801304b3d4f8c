"""Edges of signing off and entering: content that is lost, folders where files were, slips staged beforehand."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.typed_book import TypedBook, typed_book


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = typed_book(tmp_path_factory.mktemp("edges") / "book")
    for label in ("001", "002"):
        book.draw("inks", label, int(label))
    book.ledger("enter", "script", "-m", "first")
    book.ledger("enter", "inks", "-m", "first")
    return book


@pytest.fixture
def book(_signed: TypedBook, tmp_path: Path) -> TypedBook:
    return _signed.copied(tmp_path / "book")


def test_what_git_has_lost_is_not_signed_off(book: TypedBook) -> None:
    oid = book.git("rev-parse", "HEAD:art/inks/p001.png").strip()
    (book.top / f".git/objects/{oid[:2]}/{oid[2:]}").unlink()
    head = book.git("rev-parse", "HEAD")
    said = book.ledger("lock", "inks", code=2).err
    assert "art/inks/p001.png: git has lost what was recorded here" in said
    assert "backup" in said
    assert book.git("rev-parse", "HEAD") == head


def test_a_large_file_that_was_not_fetched_is_signed_off_with_a_word(book: TypedBook) -> None:
    pointer = "version https://git-lfs.github.com/spec/v1\noid sha256:" + "ab" * 32 + "\nsize 1234\n"
    oid = book.run("git", "hash-object", "-w", "--stdin", input=pointer).out.strip()
    book.git("update-index", "--add", "--cacheinfo", f"100644,{oid},art/letters/p001.png")
    book.git("commit", "-q", "--no-verify", "-m", "from elsewhere")
    book.change("book.toml", 'locks = ["wording"]', 'locks = ["wording", "drawing"]')
    book.git("add", "book.toml")
    book.git("commit", "-q", "-m", "letters close drawing")
    done = book.ledger("lock", "letters", "--json").document
    told = [(f["rule"], f["level"], f["path"]) for f in done["findings"]]
    assert told == [("export-unreadable", "query", "art/letters/p001.png")]
    assert done["entry"] == "lock-letters-1"


def test_a_folder_where_a_page_was_is_no_page_that_is_gone(book: TypedBook) -> None:
    place = book.top / "art/inks/p002.png"
    place.unlink()
    place.mkdir()
    (place / "layers.txt").write_text("of the page\n")
    said = book.ledger("enter", "inks", "-m", "second", code=2).err
    assert "art/inks/p002.png: a folder lies where a file belongs" in said
    assert "inks-2" not in book.git("tag", "-l")


def test_a_slip_staged_beforehand_goes_along(book: TypedBook) -> None:
    book.ledger("lock", "inks", "-m", "signed")
    book.change("script/01.md", "N: Push.\n", "N: Push.\nJ: I am pushing.\n")
    book.git("add", "script/01.md")
    book.ledger("alter", "--reason", "he answers")
    done = book.ledger("enter", "script", "-m", "he answers")
    assert "alteration-1, staged beforehand, went along" in done.out
    held = book.git("show", "--name-only", "--format=", "HEAD").split()
    assert held == ["ledger/alteration-1.toml", "ledger/script-2.toml", "memos/script-2.md", "script/01.md"]
    assert book.git("status", "--porcelain") == ""
    assert "block" not in book.ledger("audit").out


def test_a_slip_staged_for_something_else_stays(book: TypedBook) -> None:
    book.ledger("lock", "inks", "-m", "signed")
    book.write("art/inks/p001.png", (book.top / "art/inks/p002.png").read_bytes())
    book.git("add", "art/inks/p001.png")
    book.ledger("alter", "--reason", "redrawn")
    book.change("script/01.md", "N: Push.\n", "N: Push.\nJ: I am pushing.\n")
    book.ledger("enter", "script", "-m", "he answers", code=1)
    done = book.ledger("enter", "script", "--reason", "he answers")
    assert "alteration-2 admits" in done.out
    assert "A  ledger/alteration-1.toml" in book.git("status", "--porcelain")
    book.git("commit", "-q", "-m", "redrawn")
    assert "block" not in book.ledger("audit").out


def test_a_reason_where_the_slip_is_there_already(book: TypedBook) -> None:
    book.ledger("lock", "inks", "-m", "signed")
    book.change("script/01.md", "N: Push.\n", "N: Push.\nJ: I am pushing.\n")
    book.git("add", "script/01.md")
    book.ledger("alter", "--reason", "he answers")
    done = book.ledger("enter", "script", "--reason", "he answers")
    assert "alteration-1, staged beforehand, went along" in done.out
    assert "alteration-2" not in done.out


def test_a_rule_of_the_ledger_that_is_lowered_is_told(book: TypedBook) -> None:
    book.write(
        "book.toml", (book.top / "book.toml").read_text() + '\n[rules]\nentry-changed = "off"\ntouch-up = "off"\n'
    )
    found = book.ledger("check", "--json").document["findings"]
    told = [f for f in found if "changes nothing" in f["message"]]
    assert [(f["rule"], "entry-changed" in f["message"]) for f in told] == [("rules-loosened", True)]
    assert told[0]["level"] == "query" and told[0]["path"] == "book.toml"


@pytest.mark.parametrize("blank", ["", " ", " \t\n"])
def test_a_message_of_blanks_is_none(entered: TypedBook, blank: str) -> None:
    entered.change("script/01.md", "N: Listen.", "N: Listen!")
    assert entered.ledger("enter", "script", "-m", blank).out.startswith("script-2 entered.\n")
    entered.ledger("lock", "pencils", "-m", blank)
    entered.write("notes/marsh.md", "- [ ] 1 Louder.\n")
    entered.ledger("save", "-m", blank)
    entries = [(entered.top / f"ledger/{name}.toml").read_text() for name in ("script-2", "lock-pencils-1")]
    assert not any("message" in entry for entry in entries)
    assert entered.git("log", "-3", "--format=%s").split("\n")[:3] == ["save 1 file", "lock-pencils-1", "script-2"]
    assert "needs a reason" in entered.ledger("enter", "pencils", "--stands", "-m", blank, code=2).err
