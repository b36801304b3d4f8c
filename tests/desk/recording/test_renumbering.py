"""`doctor --renumber` in real merges: both entries are kept, and no door has anything to say of it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from ledger.model.errors import Refusal
from ledger.read.entries import read_entry, write_entry
from tests.books import Book
from tests.desk.signed_book import SCRIPT, record, renumbered, signed_book, slip
from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book


def ledger(book: Book, *words: str, code: int = 0) -> str:
    done = subprocess.run([sys.executable, "-m", "ledger", *words], cwd=book.top, capture_output=True, text=True)
    assert done.returncode == code, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    return done.stdout + done.stderr


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A signed book with a slip 1 on each of two branches, in the middle of bringing them together."""
    book = signed_book(tmp_path / "book")
    book.git("switch", "-q", "-c", "side")
    book.write({"script/01.md": SCRIPT.replace("You said the map", "I said the map")})
    book.git("add", "-A")
    record(book, slip(book, "1", ["structure", "wording"]))
    book.git("switch", "-q", "main")
    ledger(book, "hook", "install")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.git("add", "-A")
    record(book, renumbered(slip(book, "2", minutes=20), 1))
    book.git("merge", "-q", "side", check=False)
    assert "AA ledger/alteration-1.toml" in book.status()
    return book


def test_both_entries_stand_in_the_merge(book: Book) -> None:
    ours, theirs = (book.git_bytes("show", f"{side}:ledger/alteration-1.toml") for side in ("main", "side"))
    said = ledger(book, "doctor", "--renumber")
    assert "alteration-1 of the other side stands as alteration-2 now" in said
    assert book.read("ledger/alteration-1.toml") == ours
    assert book.read("ledger/alteration-2.toml") == theirs.replace(b"number  = 1", b"number  = 2")
    assert ledger(book, "check", "--staged").count("block") == 0
    book.git("commit", "-q", "--no-edit")
    assert book.status() == ""
    assert "number-taken" not in ledger(book, "audit")
    assert "alteration/2" in ledger(book, "doctor") + book.git("tag")


def test_without_it_the_merge_is_refused(book: Book) -> None:
    book.git("checkout", "-q", "--theirs", "ledger/alteration-1.toml")
    book.git("add", "-A")
    done = subprocess.run(["git", "commit", "-q", "--no-edit"], cwd=book.top, capture_output=True, text=True)
    assert done.returncode == 1 and "number-taken" in done.stderr and "doctor --renumber" in done.stderr


def test_twice_is_once(book: Book) -> None:
    ledger(book, "doctor", "--renumber")
    before = book.all_files(), book.staged()
    document = checked(ledger(book, "doctor", "--renumber", "--json"))
    assert document["renumbered"] == []
    assert (book.all_files(), book.staged()) == before


def test_a_file_in_the_way_is_left_alone(book: Book) -> None:
    book.write({"ledger/alteration-2.toml": "mine"})
    assert "in the way" in ledger(book, "doctor", "--renumber", code=2)
    assert book.read("ledger/alteration-2.toml") == b"mine"


def test_an_entry_edited_on_one_side_is_no_second_entry(tmp_path: Path) -> None:
    book = signed_book(tmp_path / "book")
    path = "ledger/lock-inks-1.toml"
    told = book.read(path)
    book.git("switch", "-q", "-c", "side")
    book.write({path: told + b"# mine\n"})
    book.commit("edited")
    book.git("switch", "-q", "main")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    book.git("merge", "-q", "--no-commit", "side")
    assert "took no number twice" in ledger(book, "doctor", "--renumber")


def test_outside_a_merge_there_is_nothing_to_number(tmp_path: Path) -> None:
    book = signed_book(tmp_path / "book")
    assert "no merge is under way" in ledger(book, "doctor", "--renumber", code=2)


def test_rounds_take_their_memos_along(tmp_path: Path) -> None:
    book: TypedBook = typed_book(tmp_path / "book")
    book.ledger("enter", "script", "-m", "first")
    book.git("switch", "-q", "-c", "side")
    book.change("script/01.md", "Rain on tin.", "Hail on tin.")
    book.ledger("enter", "script", "-m", "hail")
    book.git("switch", "-q", "main")
    book.git("tag", "-d", "pass/script/2")
    book.change("script/01.md", "N: Push.", "N: Pull.")
    book.ledger("enter", "script", "-m", "pull")
    book.git("merge", "-q", "side", code=1)
    document = book.ledger("doctor", "--renumber", "--json").document
    assert document["renumbered"] == [{"old": "script-2", "new": "script-3"}]
    assert (book.top / "memos/script-3.md").exists()
    book.git("commit", "-q", "--no-edit")
    assert "block" not in book.ledger("audit").out
    path = "ledger/script-3.toml"
    entry = read_entry(path, (book.top / path).read_bytes())
    assert entry.message == "hail" and write_entry(entry) == (book.top / path).read_bytes()


def test_what_can_t_be_read_is_given_no_number(book: Book) -> None:
    from ledger.read.entries import numbered

    with pytest.raises(Refusal):
        numbered("ledger/alteration-2.toml", b"number = 1\n")
