"""A disk that is full, a folder that can't be written, another git or another of ours at work, names of two cases.

The full disk is a small one of its own, mounted where nobody else sees it (`unshare`, util-linux).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench.kills import CASES, Killing, Typed, differing, signed_off, state
from tests.probes.ground import Ground, act
from tests.typed_book import SOMEBODY, TypedBook

RECORDING = [name for name in CASES if CASES[name].whole or name.startswith("handoff")]
#: Takes a folder of books, a size in KiB and a command line; fills a disk of its own but for so much, works there.
ON_A_SMALL_DISK = """
import os, shutil, subprocess, sys
place, room, command = sys.argv[1], int(sys.argv[2]) * 1024, sys.argv[3:]
disk = place + "/disk"
os.mkdir(disk)
subprocess.run(["mount", "-t", "tmpfs", "-o", "size=24m", "small", disk], check=True)
shutil.copytree(place + "/first/book", disk + "/book", symlinks=True)
os.mkdir(disk + "/tmp")
with open(disk + "/filler", "wb") as filler:
    free = os.statvfs(disk)
    filler.write(b"x" * max(0, free.f_bavail * free.f_frsize - room))
done = subprocess.run(command, cwd=disk + "/book", env={**os.environ, "TMPDIR": disk + "/tmp"}, capture_output=True,
                      stdin=subprocess.DEVNULL)
os.unlink(disk + "/filler")
shutil.copytree(disk, place + "/full", symlinks=True, ignore=shutil.ignore_patterns("tmp"))
sys.stderr.buffer.write(done.stderr)
sys.exit(done.returncode)
"""


@pytest.fixture(scope="session")
def _base(tmp_path_factory: pytest.TempPathFactory, program: Path) -> TypedBook:
    return signed_off(program, tmp_path_factory.mktemp("lost") / "base")


def settled(killing: Killing, book: TypedBook, code: int, said: str, *, words: str) -> None:
    """As before, and told why in words, or as after; then the same typed again comes to its end."""
    assert "Traceback" not in said and code in (0, 2), f"exit {code}: {said}"
    typed = Typed(killing.program, book.top)
    now = killing._next(typed)
    assert now in (killing.before, killing.after), differing(now, killing.before, killing.after)
    if code:
        assert words in said, said
    if now == killing.before:
        assert code == 2
        typed.ledger(*killing.case.words)
        assert state(book.top) == killing.after


@pytest.mark.group("full disk", "kept")
@pytest.mark.parametrize("name", RECORDING)
def test_a_full_disk(_base: TypedBook, program: Path, tmp_path: Path, name: str) -> None:
    killing = Killing(program, _base, tmp_path, name)
    ended = set()
    for room in (0, 8, 40):
        shutil.rmtree(tmp_path / "full", ignore_errors=True)
        shutil.rmtree(tmp_path / "disk", ignore_errors=True)
        done = subprocess.run(
            ["unshare", "--map-root-user", "--mount", sys.executable, "-c", ON_A_SMALL_DISK, str(tmp_path), str(room),
             str(program), *killing.case.words],
            env={**os.environ, **SOMEBODY, **killing.first.env}, capture_output=True, text=True,
        )  # fmt: skip
        settled(killing, TypedBook(tmp_path / "full/book"), done.returncode, done.stderr, words="")
        if done.returncode:
            assert "full" in done.stderr or "No space" in done.stderr or "room" in done.stderr, done.stderr
        ended.add(done.returncode)
    assert 2 in ended, "the disk was never full"


@pytest.mark.group("read-only", "kept")
@pytest.mark.parametrize("name", RECORDING)
def test_a_book_that_cannot_be_written(_base: TypedBook, program: Path, tmp_path: Path, name: str) -> None:
    killing = Killing(program, _base, tmp_path, name)
    top = killing.first.top
    done = subprocess.run(
        ["unshare", "--map-root-user", "--mount", "sh", "-c",
         'mount --bind "$0" "$0" && mount -o remount,bind,ro "$0" && cd "$0" && exec "$@"', str(top), str(program),
         *killing.case.words],
        env={**os.environ, **SOMEBODY, **killing.first.env}, capture_output=True, text=True, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert done.returncode == 2, done.stderr
    settled(killing, TypedBook(top), done.returncode, done.stderr, words="read-only")


@pytest.mark.group("another at work", "kept")
@pytest.mark.parametrize("name", RECORDING)
def test_another_git_at_work(_base: TypedBook, program: Path, tmp_path: Path, name: str) -> None:
    """Its lock on the index stands in the way of all that touches the index; notes, drafts and tags are none of its."""
    killing = Killing(program, _base, tmp_path, name)
    book = killing.first
    lock = book.top / ".git/index.lock"
    lock.write_text("another's")
    done = book.run(str(program), *killing.case.words)
    assert lock.read_text() == "another's"
    lock.unlink()
    assert done.code == (0 if name.startswith(("notes", "bring", "recall", "doctor")) else 2), done.err
    settled(killing, book, done.code, done.err, words="another git is at work here: .git/index.lock")


@pytest.mark.group("another at work", "kept")
@pytest.mark.parametrize(
    "words",
    [
        ("notes", "add", "marsh-2", "Number {}?"),
        ("notes", "import", "{}.txt", "--from", "Marsh"),
        ("save", "-m", "Number {}?"),
    ],
    ids=["notes add", "notes import", "save"],
)
def test_several_of_ours_at_once(_base: TypedBook, program: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    """Each does what it was asked or refuses in words; nothing of one is lost for another."""
    book = Typed(program, _base.copied(tmp_path / "book").top)
    book.write("designs/nell.txt", "short hair\n")
    for n in range(6 if "import" in words else 0):
        book.write(f"{n}.txt", f"p2 Number {n}?\n")
    env = {**os.environ, **SOMEBODY, **book.env}
    started = [
        subprocess.Popen([program, *(word.format(n) for word in words)], cwd=book.top, env=env, text=True,
                         stdout=subprocess.PIPE, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL)
        for n in range(6)
    ]  # fmt: skip
    said = [each.communicate()[1] for each in started]
    codes = [each.returncode for each in started]
    assert set(codes) <= {0, 2} and 0 in codes, said
    assert all(f"{why}" in text for code, text in zip(codes, said, strict=True) if code for why in ("again",)), said
    book.git("fsck", "--strict")
    if words[0] == "save":
        assert book.git("log", "--format=%s", "-1").startswith("Number")
        assert "nell" not in book.git("status", "--porcelain")
        return
    text = (book.top / "notes/marsh-2.md").read_text()
    kept = [n for n, code in enumerate(codes) if code == 0]
    assert [n for n in range(6) if f"Number {n}?" in text] == kept
    assert text.count("- [ ]") == len(kept)


@pytest.mark.group("names of two cases", "kept")
@pytest.mark.parametrize("setting", ["true", "false"])
def test_names_that_differ_in_case_alone(ground: Ground, setting: str) -> None:
    """As a book from another machine brings them; git is told that case is nothing, or everything."""
    book = ground.book
    for path, data in (("script/Notes.MD", b"# a\n"), ("art/inks/P003.png", book.read("art/inks/p003.png"))):
        oid = book.git("hash-object", "-w", "--stdin", input=data)
        book.git("update-index", "--add", "--cacheinfo", f"100644,{oid},{path}")
    book.git("commit", "-q", "--no-verify", "-m", "two cases")
    book.git("config", "core.ignoreCase", setting)
    book.git("checkout-index", "-q", "-a")
    before = ground.held()
    for words in (("status",), ("check",), ("audit",), ("rounds",)):
        code, said = ground.ledger(*words)
        assert code in (0, 1), said
    assert ground.held() == before
    book.write({"art/pencils/p001.png": book.read("art/pencils/p002.png")})
    code, said = ground.ledger("enter", "pencils", "-m", "another")
    assert code == 0, said
    assert book.git("fsck", "--strict", "--no-dangling") == ""
    assert act(book, "status", "--porcelain")[1] == ""
