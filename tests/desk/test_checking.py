"""`check`: everything that stands in your files now; `check --staged`: what the commit must answer for."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from ledger.desk.checking import check, check_staged
from ledger.model.errors import Refusal
from ledger.pictures import METHOD
from tests.books import Book
from tests.desk.signed_book import CUT, GIVEN, SCRIPT, TOML, page, record, short, signed_book, slip


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return signed_book(tmp_path_factory.mktemp("signed") / "book")


@pytest.fixture
def book(_signed: Book, tmp_path: Path) -> Book:
    shutil.copytree(_signed.top, tmp_path / "book", symlinks=True)
    return Book(tmp_path / "book")


def stage(book: Book, files: dict[str, str | bytes]) -> None:
    book.write(files)
    book.git("add", "-A")


def closed(book: Book) -> list[str]:
    """What stands against locks and ledger; the rules of drafts and exports are held elsewhere."""
    return [said for said in short(check(book.top)) if "page-number" not in said and "stale" not in said]


def test_a_signed_book_is_clean(book: Book) -> None:
    assert check(book.top) == ()
    assert check_staged(book.top) == ()


def test_check_shows_old_and_new_and_unstaged_work(book: Book) -> None:
    book.write({"script/01.md": CUT})
    book.commit("late")
    book.write({"script/01.md": CUT.replace("M: Three", "W: Three")})
    assert closed(book) == ["block line-cut p1", "block speaker-changed p2"]
    assert check_staged(book.top) == ()
    book.git("add", "-A")
    assert short(check_staged(book.top)) == ["block speaker-changed p2"]


def test_untracked_files_count(book: Book) -> None:
    book.write({"art/inks/p003.png": page(20)})
    assert "block export-added p3" in closed(book)
    book.write({"script/02.md": "[page 3]\nW: More.\n"})
    assert "block page-added p3" in closed(book)


def test_what_is_staged_is_judged_not_what_lies_there(book: Book) -> None:
    stage(book, {"script/01.md": GIVEN})
    book.write({"script/01.md": SCRIPT})
    assert short(check_staged(book.top)) == ["block speaker-changed p1"]
    assert "speaker-changed" not in " ".join(closed(book))


def test_check_finds_what_has_nothing_to_do_with_locks(book: Book) -> None:
    book.write({"notes/marsh.md": "# Marsh\n\n- [ ] 1 (p1) One\n- [ ] 1 (p2) Two\n"})
    assert "look note-number" in short(check(book.top))


def test_a_lock_deleted_in_the_files_still_closes(book: Book) -> None:
    (book.top / "ledger/lock-inks-1.toml").unlink()
    book.write({"script/01.md": CUT})
    assert closed(book) == ["block entry-removed", "block line-cut p1"]


def test_putting_an_edited_entry_back_is_free(book: Book) -> None:
    first = book.read("ledger/lock-inks-1.toml")
    book.git("tag", "-a", "-m", "lock", "lock/inks/1")
    book.write({"ledger/lock-inks-1.toml": first + b"# x\n"})
    book.commit("edited")
    stage(book, {"ledger/lock-inks-1.toml": first})
    assert check_staged(book.top) == ()


def test_a_merge_under_way_is_judged_by_all_its_parents(book: Book) -> None:
    book.git("switch", "-q", "-c", "side")
    stage(book, {"script/01.md": CUT})
    record(book, slip(book, "1"))
    book.git("switch", "-q", "-")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    book.git("merge", "-q", "--no-commit", "side")
    assert check_staged(book.top) == ()
    stage(book, {"script/01.md": SCRIPT})
    assert short(check_staged(book.top)) == ["block line-added p1"]


def test_a_key_given_to_somebody_else_and_back(book: Book) -> None:
    stage(book, {"book.toml": TOML.replace('W = "Wren"', 'W = "Nessa"')})
    assert short(check_staged(book.top)) == ["block speaker-changed p1"]
    book.git("commit", "-qm", "late")
    assert closed(book) == ["block speaker-changed p1"]
    stage(book, {"book.toml": TOML})
    assert check_staged(book.top) == ()


def test_rules_raised_to_block_hold_at_the_hook(book: Book) -> None:
    stage(book, {"book.toml": TOML + '\n[rules]\nunknown-key = "block"\n'})
    book.git("commit", "-qm", "strict")
    stage(book, {"script/01.md": SCRIPT.replace("M: Three hours", "M: Three full hours\n\nQ: Hours")})
    assert "block unknown-key p2" in short(check_staged(book.top))


def test_without_a_book(tmp_path: Path) -> None:
    book = Book.new(tmp_path / "none", {"letter.txt": "Dear Marsh\n"})
    for ask in (check, check_staged):
        with pytest.raises(Refusal, match=r"no book\.toml"):
            ask(book.top)


def hooked(book: Book) -> None:
    """A hook as git runs it: the door, in git's environment."""
    import sys

    home = Path(__file__).parent.parent.parent
    script = f"#!/bin/sh\nPYTHONPATH='{home}' exec '{sys.executable}' -m ledger.cli.door pre-commit\n"
    for name in ("pre-commit", "pre-merge-commit"):
        place = book.top / ".git/hooks" / name
        place.parent.mkdir(exist_ok=True)
        place.write_text(script.replace("pre-commit\n", f"{name}\n"))
        place.chmod(0o755)


def commit(book: Book, *args: str, input: bytes | None = None) -> tuple[int, str]:
    done = subprocess.run(["git", *args], cwd=book.top, env=dict(os.environ), capture_output=True, input=input)
    return done.returncode, done.stderr.decode()


@pytest.mark.parametrize("how", [["-a"], ["-o", "script/01.md"], ["-i", "script/01.md"], ["script/01.md"]])
def test_the_hook_judges_the_index_that_git_made_for_this_commit(book: Book, how: list[str]) -> None:
    hooked(book)
    book.write({"script/01.md": GIVEN})
    code, said = commit(book, "commit", "-m", "late", *how)
    assert code == 1 and "speaker-changed" in said and "inkledger (pre-commit)" in said
    assert "inkledger alter" in said and "git restore" in said and "Traceback" not in said


def test_half_a_file_staged_is_half_judged(book: Book) -> None:
    hooked(book)
    book.write({"script/01.md": GIVEN.replace("M: Three hours", "M: Three and a half hours")})
    code, said = commit(book, "commit", "-p", "-m", "the free half", input=b"s\nn\ny\n")
    assert code == 0, said
    assert "M: It was." in book.read("script/01.md").decode()
    assert "T: It was." in book.git("show", "HEAD:script/01.md")


@pytest.mark.parametrize("path", ["letter.txt", "notes/marsh.md", "outline/01.md", "thumbs/p001.png"])
def test_the_hook_lets_everything_else_through(book: Book, path: str) -> None:
    hooked(book)
    stage(book, {path: "something\n"})
    assert commit(book, "commit", "-m", "work") == (0, "")


@pytest.mark.parametrize(
    "files",
    [
        {"script/99.md": "[page 3]\nW: More.\n"},
        {"art/inks/p003.png": page(20)},
        {"art/inks/p001.png": page(20)},
        {"ledger/lock-inks-1.toml": b"entry = 'lock'\n"},
    ],
)
def test_the_first_look_misses_nothing(book: Book, files: dict[str, str | bytes]) -> None:
    hooked(book)
    stage(book, files)
    assert commit(book, "commit", "-m", "late")[0] == 1


def test_a_merge_is_stopped_by_its_own_hook(book: Book) -> None:
    book.git("switch", "-q", "-c", "side", "HEAD~1")
    book.write({"script/01.md": CUT})
    book.commit("before the lock")
    book.git("switch", "-q", "-")
    hooked(book)
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    code, said = commit(book, "merge", "--no-edit", "side")
    assert code != 0 and "inkledger (pre-merge-commit)" in said and "line-cut" in said


def test_the_first_commit_and_a_book_without_locks(tmp_path: Path) -> None:
    book = Book.new(tmp_path / "new", {})
    hooked(book)
    stage(book, {"book.toml": TOML, "script/01.md": SCRIPT})
    assert commit(book, "commit", "-m", "first")[0] == 0
    stage(book, {"script/01.md": CUT})
    assert commit(book, "commit", "-m", "second") == (0, "")


def test_a_repository_without_a_book_is_left_alone(tmp_path: Path) -> None:
    book = Book.new(tmp_path / "none", {})
    hooked(book)
    for number in (1, 2):
        stage(book, {"letter.txt": f"Dear Marsh, {number}\n"})
        assert commit(book, "commit", "-m", "a letter") == (0, "")


def test_book_toml_stays_while_something_is_signed_off(book: Book) -> None:
    hooked(book)
    book.git("rm", "-q", "book.toml")
    assert short(check_staged(book.top)) == ["block lock-loosened"]
    code, said = commit(book, "commit", "-m", "no book")
    assert code == 1 and "lock-inks-1" in said and "git restore" in said


def test_a_broken_book_toml_is_refused_with_file_and_line(book: Book) -> None:
    hooked(book)
    stage(book, {"book.toml": TOML + "\nnonsense\n"})
    code, said = commit(book, "commit", "-m", "broken")
    assert code == 1 and "book.toml:" in said and "Traceback" not in said


def test_what_is_remembered_of_pictures_changes_nothing_that_is_said(book: Book) -> None:
    book.write({"art/inks/p002.png": page(5)})
    first = check(book.top)
    memory = book.top / f".git/inkledger/prints-{METHOD}"
    assert "page-duplicate p2" in " ".join(short(first))
    assert len(memory.read_text("ascii").splitlines()) == 2  # whole, and what it shows
    assert check(book.top) == first
    memory.write_bytes(b"\xff no memory at all\n")
    assert check(book.top) == first
