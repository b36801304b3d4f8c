"""What is about to be pushed: every commit the other side has not, entries it would lose, tags it would move."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from ledger.desk.history.pushing import push_findings
from tests.books import Book
from tests.desk.signed_book import CUT, SCRIPT, record, short, signed_book, slip

NONE = "0" * 40


@pytest.fixture(scope="module")
def _pushed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A signed book and the bare copy it was pushed to."""
    home = tmp_path_factory.mktemp("pushed")
    book = signed_book(home / "book")
    book.git("init", "-q", "--bare", str(home / "copy.git"))
    book.git("remote", "add", "origin", "../copy.git")
    book.git("push", "-q", "-u", "origin", "HEAD:main")
    return home


@pytest.fixture
def book(_pushed: Path, tmp_path: Path) -> Book:
    shutil.copytree(_pushed, tmp_path / "home", symlinks=True)
    return Book(tmp_path / "home/book")


def push(book: Book, *lines: str) -> list[str]:
    """The findings in short for the lines that git would tell its hook."""
    said = "".join(f"{line}\n" for line in lines).encode()
    return short(push_findings(str(book.top), ["origin", "../copy.git"], said))


def main_line(book: Book) -> str:
    return f"refs/heads/main {book.git('rev-parse', 'HEAD')} refs/heads/main {book.git('rev-parse', 'origin/main')}"


def late(book: Book, text: str) -> None:
    book.write({"script/01.md": text})
    book.commit("late")


def test_innocent_work_goes_through(book: Book) -> None:
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    assert push(book, main_line(book)) == []
    assert push(book) == []


def test_a_late_commit_stops_the_push_even_when_undone(book: Book) -> None:
    late(book, CUT)
    assert push(book, main_line(book)) == ["block line-cut p1"]
    late(book, SCRIPT)
    assert push(book, main_line(book)) == ["block line-cut p1"]


def test_a_late_commit_with_its_slip_goes_through(book: Book) -> None:
    book.write({"script/01.md": CUT})
    book.git("add", "-A")
    record(book, slip(book, "1"))
    assert push(book, main_line(book)) == []


def test_the_way_out_names_the_branch_there(book: Book) -> None:
    late(book, CUT)
    said = f"{main_line(book)}\n".encode()
    (found,) = push_findings(str(book.top), ["origin"], said)
    assert found.commit == book.git("rev-parse", "HEAD")
    assert "git reset --soft origin/main" in (found.remedy or "")


def test_a_push_that_would_drop_an_entry(book: Book) -> None:
    book.git("reset", "-q", "--hard", "HEAD~1")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("another way")
    assert "block entry-removed" in push(book, main_line(book))


def test_an_entry_that_stays_on_another_branch_is_not_dropped(book: Book) -> None:
    tip = book.git("rev-parse", "HEAD")
    book.git("push", "-q", "origin", "HEAD:refs/heads/kept")
    book.git("fetch", "-q", "origin")
    assert push(book, f"(delete) {NONE} refs/heads/main {tip}") == []


def test_deleting_the_only_branch_that_holds_entries(book: Book) -> None:
    tip = book.git("rev-parse", "HEAD")
    assert push(book, f"(delete) {NONE} refs/heads/main {tip}") == ["block entry-removed"]


@pytest.mark.parametrize("tag", ["lock/inks/1", "pass/script/1", "alteration/1"])
def test_tags_of_entries_are_never_moved_or_deleted(book: Book, tag: str) -> None:
    tip, before = book.git("rev-parse", "HEAD"), book.git("rev-parse", "HEAD~1")
    ref = f"refs/tags/{tag}"
    assert push(book, f"{ref} {tip} {ref} {before}") == ["block tag-moved"]
    assert push(book, f"(delete) {NONE} {ref} {tip}") == ["block tag-moved"]
    holds_it = tag == "lock/inks/1"
    assert push(book, f"{ref} {tip} {ref} {NONE}") == ([] if holds_it else ["block tag-moved"])


def test_other_tags_and_notes_are_free(book: Book) -> None:
    tip, before = book.git("rev-parse", "HEAD"), book.git("rev-parse", "HEAD~1")
    assert push(book, f"refs/tags/v1 {tip} refs/tags/v1 {before}") == []
    assert push(book, f"refs/notes/commits {tip} refs/notes/commits {before}") == []


def test_a_first_push_judges_everything(book: Book) -> None:
    late(book, CUT)
    tip = book.git("rev-parse", "HEAD")
    said = f"refs/heads/main {tip} refs/heads/main {NONE}\n".encode()
    assert short(push_findings(str(book.top), ["elsewhere"], said)) == ["block line-cut p1"]


def test_a_lock_that_was_taken_out_long_ago_goes_on_closing(book: Book) -> None:
    book.git("rm", "-q", "ledger/lock-inks-1.toml")
    book.git("commit", "-q", "--no-verify", "-m", "out with it")
    book.git("push", "-q", "--no-verify", "origin", "HEAD:main")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    assert push(book, main_line(book)) == []
    late(book, CUT)
    assert push(book, main_line(book)) == ["block line-cut p1"]


def test_a_book_without_its_book_toml(book: Book) -> None:
    book.git("rm", "-q", "book.toml")
    book.git("commit", "-q", "--no-verify", "-m", "no book any more")
    assert push(book, main_line(book)) == ["block lock-loosened"]
    book.git("push", "-q", "--no-verify", "origin", "HEAD:main")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    assert push(book, main_line(book)) == []


BROKEN = {"ledger/pencils-7.toml": "number = seven\n"}


def broken_long_ago(book: Book) -> None:
    """Somebody passed all hooks by with an entry that nobody can read, and it is there already."""
    book.write(BROKEN)
    book.commit("passed by")
    book.git("push", "-q", "--no-verify", "origin", "HEAD:main")


def test_an_entry_that_cannot_be_read_stops_the_push_that_brings_it_and_no_other(book: Book) -> None:
    book.write(BROKEN)
    book.commit("a broken entry")
    assert push(book, main_line(book)) == ["block entry-changed"]
    book.git("push", "-q", "--no-verify", "origin", "HEAD:main")
    late(book, CUT)
    assert push(book, main_line(book)) == ["block line-cut p1"]


@pytest.mark.parametrize("before", [False, True])
def test_an_old_broken_entry_that_a_merge_brings_along_is_not_told_again(book: Book, before: bool) -> None:
    start = book.git("rev-parse", "HEAD")
    broken_long_ago(book)
    book.git("push", "-q", "--no-verify", "origin", "HEAD:refs/heads/other")
    if before:
        late(book, CUT)
    tip = book.git("rev-parse", "HEAD")
    book.git("checkout", "-q", "-b", "side", start)
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    late(book, CUT)
    book.git("merge", "-q", "--no-edit", tip)
    line = f"refs/heads/side {book.git('rev-parse', 'HEAD')} refs/heads/side {NONE}"
    assert push(book, line) == ["block line-cut p1"] * (1 + before)
