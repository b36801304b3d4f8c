"""`recall`: what a round held, byte for byte, beside the book or where a file is missing; all or nothing."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from tests.bench.kills import STEPPED
from tests.schema_check import checked
from tests.typed_book import SCRIPT, TypedBook, typed_book

CRLF = b"# Chapter 2: Low water\r\n\r\n[page 5]\r\n[panel 1]\r\nN: Look.\r\n"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Two rounds of the script, in the second of them a chapter more; one of pencils, signed off."""
    book = typed_book(tmp_path_factory.mktemp("kept") / "book")
    for number in (1, 2, 3):
        book.draw("pencils", f"00{number}", number)
    book.ledger("enter", "script", "-m", "first")
    book.ledger("enter", "pencils", "-m", "drawn")
    book.ledger("lock", "pencils", "-m", "signed")
    book.change("script/01.md", "N: Push.", "N: Push harder.")
    book.write("script/02.md", CRLF)
    book.ledger("enter", "script", "-m", "second", "--reason", "harder")
    return book


@pytest.fixture
def book(kept: TypedBook, tmp_path: Path) -> TypedBook:
    return kept.copied(tmp_path / "book")


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def whole(book: TypedBook) -> tuple[dict[str, bytes], str]:
    """Everything of the book that a reader of it could see."""
    return {p: d for p, d in tree(book.top).items() if not p.startswith(".git/")}, book.git("status", "--porcelain")


def test_a_round_beside_the_book(book: TypedBook) -> None:
    before = whole(book)
    said = checked(book.ledger("recall", "script-1", "--to", "../old", "--json").out)
    assert tree(book.top.parent / "old") == {"script/01.md": SCRIPT.encode()}
    assert (said["done"], said["entry"], said["paths"]) == (True, "script-1", ["../old/script/01.md"])
    assert whole(book) == before


def test_every_line_end_is_as_it_was_committed(book: TypedBook) -> None:
    """Whatever git would do to it on the way into a working tree."""
    book.git("config", "core.autocrlf", "true")
    book.write(".gitattributes", "*.md text eol=crlf\n")
    book.ledger("recall", "script", "--to", "../new")
    oid = book.git("rev-parse", "HEAD:script/01.md").strip()
    data = (book.top.parent / "new/script/01.md").read_bytes()
    assert hashlib.sha1(b"blob %d\0%s" % (len(data), data)).hexdigest() == oid
    assert (book.top.parent / "new/script/02.md").read_bytes() == CRLF


@pytest.mark.parametrize(("ref", "paths"), [
    ("pencils", {"art/pencils/p001.png", "art/pencils/p002.png", "art/pencils/p003.png"}),
    ("lock-pencils-1", {"script/01.md"}),  # signing pencils off closes the structure of the script alone
    ("HEAD", {"art/pencils/p001.png", "art/pencils/p002.png", "art/pencils/p003.png", "script/01.md", "script/02.md"}),
    ("alteration-1", {"script/01.md", "script/02.md"}),
])  # fmt: skip
def test_whatever_names_content(book: TypedBook, ref: str, paths: set[str]) -> None:
    if ref == "alteration-1" and not (book.top / "ledger/alteration-1.toml").exists():
        pytest.fail("the second round was entered without a slip")
    book.ledger("recall", ref, "--to", "../out")
    assert set(tree(book.top.parent / "out")) == paths


def test_pages_by_range(book: TypedBook) -> None:
    book.ledger("recall", "pencils", "--pages", "2-3", "--to", "../out")
    assert set(tree(book.top.parent / "out")) == {"art/pencils/p002.png", "art/pencils/p003.png"}
    book.ledger("recall", "script", "--pages", "5", "--to", "../five")
    assert set(tree(book.top.parent / "five")) == {"script/02.md"}
    some = book.ledger("recall", "pencils", "--pages", "2,9,f1", "--to", "../some").out
    assert "1 file of pencils-1 is in ../some.\npencils-1 holds nothing of pages f1, 9." in some
    assert "holds nothing" not in book.ledger("recall", "HEAD", "--pages", "2,5", "--to", "../both").out
    assert "page 9" in book.ledger("recall", "pencils", "--pages", "9", "--to", "../nine", code=2).err
    assert not (book.top.parent / "nine").exists()


@pytest.mark.parametrize("to", ["out", ".", "art/../out/deep", ".git/out", "../link/out", "../book/x"])
def test_never_inside_the_book(book: TypedBook, to: str) -> None:
    (book.top.parent / "link").symlink_to(book.top)
    before = whole(book)
    assert "inside the book" in book.ledger("recall", "pencils", "--to", to, code=2).err
    assert whole(book) == before


def test_a_folder_that_holds_anything_is_refused(book: TypedBook) -> None:
    there = book.top.parent / "out"
    there.mkdir()
    book.ledger("recall", "pencils", "--to", "../out")
    before = tree(there)
    for _ in range(2):
        assert "something in this folder" in book.ledger("recall", "script-1", "--to", "../out", code=2).err
    assert tree(there) == before
    (book.top.parent / "a file").write_bytes(b"mine")
    assert "a file of this name" in book.ledger("recall", "script-1", "--to", "../a file", code=2).err
    assert sorted(p.name for p in book.top.parent.iterdir()) == ["a file", "book", "out"]


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can mount a disk")
def test_a_whole_disk_is_no_folder_of_its_own(book: TypedBook, tmp_path: Path) -> None:
    """The folder gets its name at once, and a disk can't be given another name."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if subprocess.run(["mount", "-t", "tmpfs", "tmpfs", disk], capture_output=True).returncode:
        pytest.skip("no disk can be mounted here")
    try:
        for words in (("recall", "pencils"), ("handoff", "inks"), ("deliver", "pencils")):
            said = book.ledger(*words, "--to", str(disk), code=2).err
            assert "whole disk" in said and "disk/pages" in said, words
        book.ledger("recall", "pencils", "--to", str(disk / "pages"))
        assert (disk / "pages/art/pencils/p001.png").exists()
    finally:
        subprocess.run(["umount", disk], check=True)


def test_folders_on_the_way_are_made_and_go_again(book: TypedBook) -> None:
    oid = book.git("rev-parse", "HEAD:art/pencils/p003.png").strip()
    (book.top / f".git/objects/{oid[:2]}/{oid[2:]}").unlink()
    said = book.ledger("recall", "pencils", "--to", "../a/b/c", code=1).out
    assert "art/pencils/p003.png" in said and "Nothing was written" in said
    assert [p.name for p in book.top.parent.iterdir()] == ["book"]
    book.ledger("recall", "pencils", "--pages", "1-2", "--to", "../a/b/c")
    assert len(tree(book.top.parent / "a/b/c")) == 2


def test_what_is_missing_is_put_back_and_nothing_else(book: TypedBook) -> None:
    first = (book.top / "art/pencils/p001.png").read_bytes()
    (book.top / "art/pencils/p001.png").unlink()
    book.draw("pencils", "002", 20)
    mine = (book.top / "art/pencils/p002.png").read_bytes()
    said = checked(book.ledger("recall", "pencils-1", "--put-back", "--json").out)
    assert said["paths"] == ["art/pencils/p001.png"]
    assert (book.top / "art/pencils/p001.png").read_bytes() == first
    assert (book.top / "art/pencils/p002.png").read_bytes() == mine
    again = book.ledger("recall", "pencils-1", "--put-back").out
    assert "Nothing of pencils-1 is missing" in again


def test_put_back_a_whole_folder_and_only_pages_asked_for(book: TypedBook) -> None:
    shutil.rmtree(book.top / "art")
    book.ledger("recall", "pencils", "--pages", "2", "--put-back")
    assert [p.name for p in (book.top / "art/pencils").iterdir()] == ["p002.png"]


def test_a_page_that_is_there_under_another_name_is_not_doubled(book: TypedBook) -> None:
    (book.top / "art/pencils/p001.png").rename(book.top / "art/pencils/p1.png")
    said = book.ledger("recall", "pencils", "--put-back").out
    assert "there as art/pencils/p1.png" in said and not (book.top / "art/pencils/p001.png").exists()


def test_never_through_a_link(book: TypedBook) -> None:
    elsewhere = book.top.parent / "elsewhere"
    shutil.move(book.top / "art/pencils", elsewhere)
    (elsewhere / "p001.png").unlink()
    (book.top / "art/pencils").symlink_to(elsewhere)
    assert "in the way" in book.ledger("recall", "pencils", "--put-back", code=2).err
    assert not (elsewhere / "p001.png").exists()


@pytest.mark.parametrize("words", [
    ("recall", "pencils"), ("recall", "pencils", "--to", "../x", "--put-back"), ("recall", "nothing", "--to", "../x"),
    ("recall", ".", "--to", "../x"), ("recall", ":index", "--to", "../x"), ("recall", "script/01.md", "--to", "../x"),
    ("recall", "inks", "--to", "../x"), ("recall", "pencils", "--pages", "z", "--to", "../x"),
])  # fmt: skip
def test_what_names_no_round_is_refused(book: TypedBook, words: tuple[str, ...]) -> None:
    assert checked(book.ledger(*words, "--json", code=2).out)["error"]["remedy"]
    assert not (book.top.parent / "x").exists()


@pytest.mark.needs_lfs
def test_large_files_come_from_the_store_on_this_disk(tmp_path: Path) -> None:
    book = typed_book(tmp_path / "book")
    book.git("lfs", "install", "--local", "--skip-repo")
    book.write(".gitattributes", "art/** filter=lfs diff=lfs merge=lfs -text\n")
    book.draw("pencils", "001", 1)
    book.draw("pencils", "002", 2)
    book.ledger("enter", "pencils", "-m", "drawn")
    drawn = {n: (book.top / f"art/pencils/p00{n}.png").read_bytes() for n in (1, 2)}
    book.ledger("recall", "pencils", "--to", "../out")
    assert tree(tmp_path / "out") == {f"art/pencils/p00{n}.png": drawn[n] for n in drawn}
    digest = hashlib.sha256(drawn[2]).hexdigest()
    place = book.top / f".git/lfs/objects/{digest[:2]}/{digest[2:4]}/{digest}"
    place.chmod(0o644)
    place.write_bytes(b"torn")
    assert "art/pencils/p002.png" in book.ledger("recall", "pencils", "--to", "../two", code=2).err
    place.unlink()
    said = checked(book.ledger("recall", "pencils", "--to", "../two", "--json", code=1).out)
    assert [each["path"] for each in said["findings"]] == ["art/pencils/p002.png"]
    assert not (tmp_path / "two").exists()


# -- a stranger's tree: names that leave the folder (CWE-22), git's own (CWE-73), one name on some disks (CWE-178)

ENTRY = """entry = "pass"
pass = "pencils"
round = 2
date = 2026-03-02T17:20:00+01:00
by = "Somebody <s@example.org>"

[files]
"""


@pytest.mark.parametrize("path", [
    "../out.png", "art/../../out.png", "/tmp/ink-out.png", ".git/hooks/post-commit", "art/.GIT/config", "art//p.png",
    "art/./p.png", "art/.git /x", "art/.g\u200dit/config", "GIT~1/config", "art\\..\\..\\p.png", ".git::$DATA/x", "",
    "art/\u0007/../../p",
])  # fmt: skip
def test_names_that_lead_out_are_refused(book: TypedBook, path: str) -> None:
    _stranger(book, {"art/pencils/p001.png": "HEAD:art/pencils/p001.png", path: "HEAD:script/01.md"})
    before, around = whole(book), sorted(book.top.parent.iterdir())
    for words in (("--to", "../x"), ("--put-back",)):
        said = book.ledger("recall", "pencils-2", *words, code=2).err
        assert "not written anywhere" in said and "\u0007" not in said
    assert whole(book) == before and sorted(book.top.parent.iterdir()) == around


@pytest.mark.parametrize("paths", [
    ("art/pencils/p001.png", "art/PENCILS/P001.png"), ("art/caf\u00e9/p1.png", "art/cafe\u0301/p1.png"),
    ("art/x", "art/x/p001.png"), ("art/stra\u00dfe/p1.png", "art/STRASSE/p1.png"),
])  # fmt: skip
def test_two_names_that_are_one_on_some_disks_are_refused(book: TypedBook, paths: tuple[str, str]) -> None:
    _stranger(book, dict.fromkeys(paths, "HEAD:script/01.md"))
    assert book.ledger("recall", "pencils-2", "--to", "../x", code=2).err
    assert not (book.top.parent / "x").exists()


@pytest.mark.parametrize("what", ["HEAD", "HEAD:art", "pass/pencils/1"])
def test_an_object_that_is_no_file_is_named(book: TypedBook, what: str) -> None:
    _stranger(book, {"art/pencils/p001.png": what})
    assert "no file's content" in book.ledger("recall", "pencils-2", "--to", "../x", code=1).out
    assert not (book.top.parent / "x").exists()


@pytest.mark.parametrize(("mode", "what"), [("120000", "a link"), ("160000", "another repository")])
def test_links_and_submodules_of_a_revision_are_refused(book: TypedBook, mode: str, what: str) -> None:
    oid = book.git("rev-parse", "HEAD" if mode == "160000" else "HEAD:script/02.md").strip()
    book.git("update-index", "--add", "--cacheinfo", f"{mode},{oid},art/pencils/p004.png")
    book.git("commit", "-q", "--no-verify", "-m", "strange")
    assert what in book.ledger("recall", "HEAD", "--to", "../x", code=2).err
    assert not (book.top.parent / "x").exists()
    book.ledger("recall", "HEAD", "--pages", "1-3", "--to", "../x")


def test_a_folder_left_by_a_killed_run_does_not_matter_and_no_link_is_followed(book: TypedBook) -> None:
    left = book.top.parent / "x.inkledger-new"
    (left / "art").mkdir(parents=True)
    (left / "art/half.png").write_bytes(b"half")
    book.ledger("recall", "pencils", "--to", "../x")
    assert len(tree(book.top.parent / "x")) == 3 and not left.exists()
    mine = book.top.parent / "mine"
    mine.mkdir()
    (mine / "own").write_bytes(b"own")
    (book.top.parent / "y.inkledger-new").symlink_to(mine)
    book.ledger("recall", "pencils", "--to", "../y", code=2)
    assert tree(mine) == {"own": b"own"}


def _stranger(book: TypedBook, files: dict[str, str]) -> None:
    """An entry with such names, written by hand."""
    rows = []
    for path, what in files.items():
        quoted = "".join(f"\\u{ord(sign):04x}" if sign in '\\"' or sign < " " else sign for sign in path)
        rows.append(f'"{quoted}" = "{book.git("rev-parse", what).strip()}"\n')
    book.write("ledger/pencils-2.toml", ENTRY + "".join(rows))


@pytest.mark.parametrize("step", range(1, 20, 3))
def test_a_killed_run_leaves_the_folder_whole_or_not_there(book: TypedBook, step: int) -> None:
    """Killed before a step of its own (`tests/bench/stepped.py`); the same again comes to its end."""
    words, before = ("recall", "pencils", "--to", "../x"), whole(book)
    done = book.run(sys.executable, str(STEPPED), str(step), str(book.top), *words)
    there = book.top.parent / "x"
    assert not there.exists() or len(tree(there)) == 3
    assert whole(book) == before
    if done.code == -signal.SIGKILL and not there.exists():
        book.ledger(*words)
    assert len(tree(there)) == 3
    assert [p.name for p in sorted(book.top.parent.iterdir())] == ["book", "x"]


def test_on_a_disk_that_is_full_nothing_is_left(book: TypedBook) -> None:
    """A file may grow to a few blocks only, as on a disk with no more room."""
    noise = Image.effect_noise((200, 300), 200)
    for label in ("001", "002"):
        noise.save(book.write(f"art/inks/p{label}.png", b""))
    book.ledger("enter", "inks", "-m", "large")
    shutil.rmtree(book.top / "art/inks")
    line = f'ulimit -f 8; exec "{sys.executable}" -m ledger recall inks'
    for words in ("--to ../x", "--put-back"):
        done = book.run("bash", "-c", f"{line} {words}")
        assert done.code == 2 and "Traceback" not in done.err, done.err
        assert [p.name for p in book.top.parent.iterdir()] == ["book"]
        assert not (book.top / "art/inks").exists() and not list(book.top.rglob(".inkledger*"))
