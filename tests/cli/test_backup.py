"""`backup`: a whole copy, checked; renewed, damaged, in the way; and the book made again from it."""

from __future__ import annotations

import fcntl
import shutil
import time
from pathlib import Path

import pytest

from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book


@pytest.fixture(scope="module")
def _entered(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """A script entered, pencils drawn and signed off, a branch beside."""
    book = typed_book(tmp_path_factory.mktemp("kept") / "book")
    book.ledger("enter", "script", "-m", "first draft")
    for number in range(1, 5):
        book.draw("pencils", f"00{number}", number)
    book.ledger("enter", "pencils", "-m", "all pages")
    book.ledger("lock", "pencils", "-m", "story locked")
    book.git("branch", "other")
    return book


@pytest.fixture
def book(_entered: TypedBook, tmp_path: Path) -> TypedBook:
    return _entered.copied(tmp_path / "book")


def refs(folder: Path, book: TypedBook) -> str:
    return book.git("-C", str(folder), "for-each-ref", "--format=%(refname) %(objectname)")


def test_a_copy_holds_every_ref_and_git_finds_nothing_wrong(book: TypedBook) -> None:
    book.write("letter.txt", "not recorded yet\n")
    told = book.ledger("backup", "../copy.git").out
    assert "is made and checked: 5 branches and tags" in " ".join(told.split())
    assert "not recorded yet: 1 file" in " ".join(told.split())
    copy = book.top.parent / "copy.git"
    assert refs(copy, book) == refs(book.top, book)
    assert book.git("-C", str(copy), "fsck", "--strict", "--full").strip() == ""
    assert book.git("-C", str(copy), "symbolic-ref", "HEAD") == book.git("symbolic-ref", "HEAD")
    assert not list(book.top.parent.glob("*.inkledger-new"))


def test_working_files_that_are_not_in_git_are_named(book: TypedBook) -> None:
    """`save` would not take them in, so that it is no way to have them in the copy."""
    book.change("book.toml", 'locks = ["structure"]', 'locks = ["structure"]\nmasters = "work/p{page}.*"')
    book.ledger("save")
    book.write("work/p001.psd", b"8BPS in layers")
    told = " ".join(book.ledger("backup", "../copy.git").out.split())
    assert "Left out: work/p001.psd, named by masters in book.toml, so not in git unless you add it." in told
    assert "not recorded yet" not in told


def test_a_broken_book_toml_stops_no_copy(book: TypedBook) -> None:
    """What is recorded is whole; least of all is it to be without a copy while somebody mends a line."""
    book.write("book.toml", "[book\n")
    for _ in range(2):
        assert "not recorded yet: 1 file." in " ".join(book.ledger("backup", "../copy.git").out.split())
        book.git("add", "book.toml")


def test_again_adds_what_is_new_and_keeps_what_is_gone(book: TypedBook) -> None:
    book.ledger("backup", "../copy.git")
    book.ledger("reopen", "pencils", "--pages", "2", "--reason", "a new door")
    other = book.git("rev-parse", "other").strip()
    book.git("branch", "-D", "other")
    old = book.git("rev-parse", "HEAD").strip()
    book.git("commit", "-q", "--amend", "-m", "said better")
    done = checked(book.ledger("backup", "../copy.git", "--json").out)
    assert done["done"] is True
    copy = book.top.parent / "copy.git"
    there = refs(copy, book).splitlines()
    assert [line for line in there if "before-backup" not in line] == refs(book.top, book).splitlines()
    assert [line.split()[1] for line in there if "before-backup" in line] == [other]
    book.git("reset", "-q", "--hard", "HEAD~1")
    told = book.ledger("backup", "../copy.git").out
    assert "keeps what the book has let go: refs/heads/main" in " ".join(told.split())
    assert old != book.git("rev-parse", "HEAD").strip()


def test_the_book_is_made_again_from_it(book: TypedBook) -> None:
    book.ledger("backup", "../copy.git")
    told = book.ledger("init", "../again", "--from", "../copy.git").out
    again = TypedBook(book.top.parent / "again")
    assert "The hooks are in" in told
    assert again.git("status", "--porcelain") == ""
    assert refs(again.top, book) == refs(book.top, book)
    assert again.ledger("doctor").out == "Everything that the entries name is here.\n"
    assert again.ledger("audit").code == 0
    for path in ("script/01.md", "art/pencils/p003.png", "book.toml", ".gitattributes"):
        assert (again.top / path).read_bytes() == (book.top / path).read_bytes()
    again.change("script/01.md", "N: Push.\n", "")
    assert "line-cut" in again.git("commit", "-qam", "late", code=1)
    assert not list(book.top.parent.glob("*.inkledger-new"))


def test_nothing_is_written_over(book: TypedBook) -> None:
    full = book.top.parent / "disk"
    full.mkdir()
    (full / "letters.txt").write_text("dear Ida\n")
    told = book.ledger("backup", "../disk", code=2)
    assert "something else here" in told.err and "book.git" in told.err
    assert "something in this folder" in book.ledger("init", "../disk", "--from", "../copy.git", code=2).err
    assert "inside the book" in book.ledger("backup", "copies", code=2).err
    assert "inside the book" in book.ledger("backup", ".git/copy", code=2).err
    assert [path.name for path in full.iterdir()] == ["letters.txt"]
    assert "no copy" in book.ledger("init", "../new", "--from", "../disk", code=2).err
    assert not (book.top.parent / "new").exists()


@pytest.mark.parametrize("which", ["HEAD", "HEAD^{tree}", "HEAD:art/pencils/p002.png", "lock/pencils/1"])
def test_a_damaged_copy_is_told(book: TypedBook, which: str) -> None:
    book.ledger("backup", "../copy.git")
    copy = book.top.parent / "copy.git"
    oid = book.git("rev-parse", which).strip()
    for pack in list(copy.glob("objects/pack/*.pack")):
        data = (copy / pack).read_bytes()
        for part in copy.glob("objects/pack/*"):
            part.chmod(0o644)
            part.unlink()
        book.write("../pack", data)
        book.run("sh", "-c", "git -C ../copy.git unpack-objects -q < ../pack")
    loose = copy / f"objects/{oid[:2]}/{oid[2:]}"
    loose.chmod(0o644)
    data = bytearray(loose.read_bytes())
    data[len(data) // 2] ^= 0xFF
    loose.write_bytes(data)
    assert "damaged" in book.ledger("backup", "../copy.git", code=2).err
    assert book.ledger("init", "../again", "--from", "../copy.git", code=2).err
    assert not (book.top.parent / "again").exists()


def test_a_book_of_which_git_has_lost_something_is_told(book: TypedBook) -> None:
    lost = book.git("rev-parse", "HEAD:script/01.md").strip()
    (book.top / ".git/objects" / lost[:2] / lost[2:]).unlink()
    told = book.ledger("backup", "../copy.git", code=2)
    assert told.err.startswith("inkledger: git has lost something that was recorded here")
    assert "inkledger doctor" in told.err and not (book.top.parent / "copy.git").exists()
    assert "script/01.md" in book.ledger("doctor", code=1).out


def test_a_part_of_history_is_no_copy(book: TypedBook) -> None:
    book.git("clone", "-q", "--depth", "1", book.top.as_uri(), "../part")
    part = TypedBook(book.top.parent / "part")
    assert "--unshallow" in part.ledger("backup", "../copy.git", code=2).err


def test_what_was_left_by_a_killed_run_is_no_hindrance(book: TypedBook) -> None:
    left = book.top.parent / "copy.git.inkledger-new"
    left.mkdir()
    (left / "HEAD").write_text("half\n")
    book.ledger("backup", "../copy.git")
    assert not left.exists()


LOCKS = ("refs/heads/main.lock", "packed-refs.lock", "packed-refs.new", "HEAD.lock")


def test_locks_of_a_killed_run_are_taken_away_and_nobody_elses(book: TypedBook) -> None:
    book.ledger("backup", "../copy.git")
    copy = book.top.parent / "copy.git"
    assert not (copy / "inkledger-at-work").exists()
    book.ledger("reopen", "pencils", "--pages", "2", "--reason", "a new door")
    (copy / "refs/heads/main.lock").touch()
    assert "main.lock" in book.ledger("backup", "../copy.git", code=2).err
    assert (copy / "refs/heads/main.lock").exists()
    # What a run leaves that is killed together with its git.
    (copy / "inkledger-at-work").write_text("1")
    for name in LOCKS:
        (copy / name).touch()
    book.ledger("backup", "../copy.git")
    assert [name for name in (*LOCKS, "inkledger-at-work") if (copy / name).exists()] == []
    assert refs(copy, book) == refs(book.top, book)


@pytest.mark.parametrize("folder", ["copy.git", "copy.git.inkledger-new"])
def test_two_at_once_are_told_apart(book: TypedBook, folder: str) -> None:
    place = book.top.parent / folder
    if folder == "copy.git":
        book.ledger("backup", "../copy.git")
    else:
        place.mkdir()
        (place / "of another").touch()
    with (place / "inkledger-at-work").open("w") as sign:
        fcntl.flock(sign, fcntl.LOCK_EX)
        assert "another inkledger" in book.ledger("backup", "../copy.git", code=2).err
    assert folder == "copy.git" or (place / "of another").exists()
    book.ledger("backup", "../copy.git")
    assert not list(book.top.parent.glob("*.inkledger-new"))


def test_status_says_how_old_the_newest_copy_is(book: TypedBook) -> None:
    assert "No backup yet: inkledger backup DIR" in book.ledger("status").out
    book.ledger("backup", "../copy.git")
    assert "Newest backup: today, in" in book.ledger("status").out
    note = book.top / ".git/inkledger/backup"
    note.write_text(f"{int(time.time()) - 9 * 86_400}\n/media/blue/copy.git\n")
    told = " ".join(book.ledger("status").out.split())
    assert "Newest backup: 9 days ago, in /media/blue/copy.git." in told
    assert "due: inkledger backup /media/blue/copy.git" in told
    note.write_text("yesterday\n")
    assert "No backup yet" in book.ledger("status").out


def test_a_sha256_book_is_copied_and_made_again(tmp_path: Path) -> None:
    book = TypedBook(tmp_path / "book")
    book.top.mkdir()
    book.git("init", "-q", "--object-format=sha256", ".")
    book.ledger("init", "--yes")
    book.write("script/01.md", "[page 1]\nA tide.\n")
    book.ledger("enter", "script", "-m", "first")
    book.ledger("backup", "../copy.git")
    book.ledger("init", "../again", "--from", "../copy.git")
    assert refs(tmp_path / "again", book) == refs(book.top, book)


@pytest.mark.needs_lfs
def test_large_files_go_along(tmp_path: Path) -> None:
    book = typed_book(tmp_path / "book")
    (book.top / ".gitattributes").unlink()
    book.ledger("init", "--yes", "--lfs")
    book.ledger("save", "-m", "large files apart")
    book.draw("inks", "001", 1)
    book.ledger("enter", "inks", "-m", "page 1")
    picture = (book.top / "art/inks/p001.png").read_bytes()
    told = book.ledger("backup", "../copy.git").out
    assert "1 large file new" in told
    assert "large file" not in book.ledger("backup", "../copy.git").out
    shutil.rmtree(book.top)
    home = TypedBook(tmp_path)
    home.ledger("init", "book", "--from", "copy.git")
    assert (book.top / "art/inks/p001.png").read_bytes() == picture
    assert book.git("status", "--porcelain") == ""
    assert book.git("cat-file", "-p", "HEAD:art/inks/p001.png").startswith("version https://git-lfs")
    assert book.ledger("doctor").code == 0


@pytest.mark.needs_lfs
def test_large_files_that_are_not_here_or_damaged_are_told(tmp_path: Path) -> None:
    book = typed_book(tmp_path / "book")
    (book.top / ".gitattributes").unlink()
    book.ledger("init", "--yes", "--lfs")
    book.ledger("save", "-m", "large files apart")
    book.draw("inks", "001", 1)
    book.ledger("enter", "inks", "-m", "page 1")
    (content,) = (path for path in (book.top / ".git/lfs/objects").rglob("*") if path.is_file())
    data = content.read_bytes()
    content.chmod(0o644)
    content.write_bytes(data[:-1] + b"x")
    assert "is damaged" in book.ledger("backup", "../copy.git", code=2).err
    assert not (tmp_path / "copy.git").exists()
    content.unlink()
    done = book.ledger("backup", "../copy.git", code=1)
    assert "export-unreadable art/inks/p001.png" in " ".join(done.out.split())
    assert (tmp_path / "copy.git/HEAD").exists()
