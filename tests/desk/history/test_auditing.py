"""`audit`: late edits in history, what settled them, entries edited and put back, tags, a shallow clone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from ledger.desk.history.auditing import audit
from ledger.model.errors import Refusal
from ledger.read.entries import write_entry
from tests.books import Book
from tests.desk.signed_book import (
    CUT,
    GIVEN,
    SCRIPT,
    TOML,
    lock,
    page,
    record,
    renumbered,
    reopened,
    short,
    signed_book,
    slip,
)


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return signed_book(tmp_path_factory.mktemp("signed") / "book")


@pytest.fixture
def book(_signed: Book, tmp_path: Path) -> Book:
    shutil.copytree(_signed.top, tmp_path / "book", symlinks=True)
    return Book(tmp_path / "book")


def late(book: Book, text: str = CUT, message: str = "a late edit") -> str:
    book.write({"script/01.md": text})
    return book.commit(message)


def test_a_signed_book_is_clean(book: Book) -> None:
    assert audit(book.top) == ()
    book.write({"letter.txt": "Dear Marsh\n", "notes/marsh.md": "# Marsh\n"})
    book.commit("a letter")
    assert audit(book.top) == ()


def test_a_late_edit_blocks_and_names_its_commit(book: Book) -> None:
    commit = late(book)
    found = audit(book.top)
    assert short(found) == ["block line-cut p1"]
    assert found[0].commit == commit


def test_an_undone_late_edit_is_a_query_that_names_the_undo(book: Book) -> None:
    commit = late(book)
    undone = late(book, SCRIPT, "put it back")
    found = audit(book.top)
    assert short(found) == ["look line-cut p1"]
    assert found[0].commit == commit
    assert undone[:10] in found[0].message and "put it back" in found[0].message


def test_a_later_slip_settles_a_late_edit(book: Book) -> None:
    late(book)
    record(book, slip(book, "1"))
    found = audit(book.top)
    assert short(found) == ["look line-cut p1"]
    assert "alteration-1" in found[0].message


def test_a_slip_in_the_same_commit_leaves_nothing_to_say(book: Book) -> None:
    book.write({"script/01.md": CUT})
    book.git("add", "-A")
    record(book, slip(book, "1"))
    assert audit(book.top) == ()


def test_an_undo_of_an_undo_blocks_again(book: Book) -> None:
    late(book)
    late(book, SCRIPT)
    late(book, CUT, "again")
    assert [f.level for f in audit(book.top) if f.rule == "line-cut"] == ["block", "block"]


def test_only_the_unsettled_part_blocks(book: Book) -> None:
    late(book, GIVEN.replace("M: Three", "W: Three"))
    late(book, SCRIPT.replace("M: Three", "W: Three"))
    assert short(audit(book.top)) == ["block speaker-changed p2", "look speaker-changed p1"]


def test_a_new_sign_off_settles_what_it_takes_over(book: Book) -> None:
    late(book)
    record(book, lock(book, 2, minutes=30))
    found = audit(book.top)
    assert short(found) == ["look line-cut p1"]
    assert "lock-inks-2" in found[0].message


def test_changes_on_reopened_pages_are_told_as_queries_while_they_stand(book: Book) -> None:
    record(book, reopened("1"))
    late(book)
    assert short(audit(book.top)) == ["look line-cut p1"]
    record(book, lock(book, 2, minutes=30))
    assert audit(book.top) == ()


def test_an_edited_entry_blocks_until_it_is_put_back(book: Book) -> None:
    first = book.read("ledger/lock-inks-1.toml")
    book.write({"ledger/lock-inks-1.toml": first.replace(b"\n", b"\r\n")})
    book.commit("another editor")
    assert short(audit(book.top)) == ["block entry-changed"]
    book.write({"ledger/lock-inks-1.toml": first})
    back = book.commit("put it back")
    found = audit(book.top)
    assert short(found) == ["look entry-changed"]
    assert back[:10] in found[0].message


def test_a_removed_lock_still_closes(book: Book) -> None:
    (book.top / "ledger/lock-inks-1.toml").unlink()
    book.commit("no lock")
    late(book)
    assert short(audit(book.top)) == ["block entry-removed", "block line-cut p1"]


def test_weakening_and_using_it(book: Book) -> None:
    book.write({"book.toml": TOML.replace('locks = ["structure", "drawing"]', "locks = []"), "script/01.md": CUT})
    book.commit("no locks")
    assert short(audit(book.top)) == ["block line-cut p1", "look lock-loosened"]


def test_a_broken_book_toml_opens_nothing(book: Book) -> None:
    book.write({"book.toml": "[book\n", "script/01.md": CUT})
    book.commit("broken")
    book.write({"book.toml": TOML})
    book.commit("mended")
    assert short(audit(book.top)) == ["block line-cut p1"]


def test_a_late_edit_on_a_branch_is_found_at_its_own_commit(book: Book) -> None:
    book.git("switch", "-q", "-c", "side")
    commit = late(book)
    book.git("switch", "-q", "-")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    book.git("merge", "-q", "--no-edit", "side")
    found = audit(book.top)
    assert short(found) == ["block line-cut p1"] and found[0].commit == commit


def test_a_branch_older_than_the_lock_is_charged_in_the_merge(book: Book) -> None:
    book.git("switch", "-q", "-c", "side", "HEAD~1")
    late(book)
    book.git("switch", "-q", "-")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    book.git("merge", "-q", "--no-edit", "side")
    found = audit(book.top)
    assert short(found) == ["block line-cut p1"] and found[0].commit == book.git("rev-parse", "HEAD")


def test_slips_of_two_branches_renumbered_in_the_merge(book: Book) -> None:
    book.git("switch", "-q", "-c", "side")
    book.write({"script/01.md": SCRIPT.replace("M: Three", "W: Three")})
    book.git("add", "-A")
    theirs = slip(book, "2", minutes=12)
    record(book, theirs)
    book.git("switch", "-q", "-")
    book.write({"script/01.md": CUT})
    book.git("add", "-A")
    record(book, slip(book, "1"))
    book.git("merge", "-q", "--no-edit", "side", check=False)
    book.git("checkout", "-q", "--ours", "ledger/alteration-1.toml")
    both = CUT.replace("M: Three", "W: Three")
    book.write({"script/01.md": both, "ledger/alteration-2.toml": write_entry(renumbered(theirs, 2))})
    book.commit("both")
    assert audit(book.top) == ()


def test_a_redrawn_page_put_back(book: Book) -> None:
    book.write({"art/inks/p001.png": page(25)})
    book.commit("redrawn")
    assert short(audit(book.top)) == ["block panel-redrawn p1"]
    book.write({"art/inks/p001.png": page(5)})
    book.commit("back")
    assert short(audit(book.top)) == ["look panel-redrawn p1"]


def test_a_range_is_judged_from_its_start(book: Book) -> None:
    late(book)
    middle = book.git("rev-parse", "HEAD")
    late(book, CUT.replace("M: Three", "W: Three"))
    assert short(audit(book.top, f"{middle}..HEAD")) == ["block speaker-changed p2"]
    assert short(audit(book.top, middle)) == ["block line-cut p1"]
    with pytest.raises(Refusal, match="no state of this book"):
        audit(book.top, "nowhere..HEAD")


def test_since_the_oldest_sign_off(book: Book, tmp_path: Path) -> None:
    commit = late(book)
    assert [f.commit for f in audit(book.top, since_lock=True)] == [commit]
    open_book = Book.new(tmp_path / "open", {"book.toml": TOML, "script/01.md": SCRIPT})
    with pytest.raises(Refusal, match="nothing of this book is signed off"):
        audit(open_book.top, since_lock=True)


def test_a_moved_tag(book: Book) -> None:
    book.git("tag", "lock/inks/1", "HEAD~1")
    assert short(audit(book.top)) == ["block tag-moved"]


def test_a_shallow_clone_is_one_query_and_blocks_nothing(book: Book, tmp_path: Path) -> None:
    late(book)
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    book.git("clone", "-q", "--depth", "1", f"file://{book.top}", str(tmp_path / "shallow"))
    assert short(audit(tmp_path / "shallow")) == ["look history-cut"]


def test_nothing_recorded_yet(tmp_path: Path) -> None:
    book = Book.new(tmp_path / "new", {})
    book.write({"book.toml": TOML})
    assert audit(book.top) == ()
