"""A disk that knows no case and no second names: exFAT, through FUSE, where this machine can mount one.

It needs root, `mkfs.exfat` (exfatprogs), `mount.exfat-fuse` (exfat-fuse) and a loop device. Where they are missing it
is skipped with the reason; `test_names_that_differ_in_case_alone` and `test_on_a_disk_without_second_names_too` hold
the same by settings of git and by refusing second names.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench.kills import Killing, Typed, killed_somewhere, signed_off

pytestmark = pytest.mark.group("names of two cases", "kept")


def _said(*words: str | Path) -> str:
    """What a program says; the tests are skipped where it can't do it."""
    done = subprocess.run(words, capture_output=True, text=True, stdin=subprocess.DEVNULL)
    if done.returncode:
        pytest.skip(f"no such disk can be mounted here: {words[0]}: {(done.stderr or done.stdout).strip()[-200:]}")
    return done.stdout.strip()


@pytest.fixture(scope="module")
def disk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Where an empty disk is mounted."""
    missing = [name for name in ("mkfs.exfat", "mount.exfat-fuse", "losetup") if shutil.which(name) is None]
    if missing or os.geteuid():
        pytest.skip(f"no such disk can be mounted here: {', '.join(missing) or 'only root can'}")
    home = tmp_path_factory.mktemp("other")
    (home / "disk").mkdir()
    with (home / "image").open("wb") as image:
        image.truncate(128 << 20)
    _said("mkfs.exfat", home / "image")
    device = _said("losetup", "--find", "--show", home / "image")
    try:
        _said("mount.exfat-fuse", device, home / "disk")
        yield home / "disk"
    finally:
        subprocess.run(["umount", home / "disk"], capture_output=True)
        subprocess.run(["losetup", "--detach", device], capture_output=True)


@pytest.fixture(scope="module")
def book(disk: Path, program: Path) -> Typed:
    made = signed_off(program, disk / "base")
    assert (made.top / "BOOK.toml").exists(), "this disk knows case"
    with pytest.raises(OSError, match=r"."):
        os.link(made.top / "book.toml", made.top / "second")
    return Typed(program, made.top)


def test_a_disk_that_knows_no_case(book: Typed) -> None:
    """Late pages are stopped, a name in other case is no change, allowed work goes on."""
    staged = book.git("ls-files", "-s")
    book.draw("inks", "001", 9)
    assert "panel-redrawn" in book.git("commit", "-q", "-a", "-m", "late", code=1)
    book.git("reset", "-q", "--hard")
    pages = book.top / "art/inks"
    (pages / "p001.png").rename(pages / "P001.PNG")
    book.git("add", "-A")
    assert book.git("ls-files", "-s") == staged
    assert "unchanged" in book.ledger("enter", "inks", "-m", "the same").out
    (book.top / "ledger/lock-inks-1.toml").rename(book.top / "ledger/Lock-Inks-1.toml")
    assert "Nothing found" in book.ledger("check").out
    book.git("mv", "art/inks/p002.png", "art/inks/P002.png")
    assert "export-missing" in book.git("commit", "-m", "case", code=1)
    book.git("reset", "-q", "--hard")
    book.draw("pencils", "004", 11)
    before = book.git("rev-parse", "HEAD")
    book.ledger("enter", "pencils", "-m", "again")
    book.ledger("undo")
    assert book.git("rev-parse", "HEAD") == before
    book.ledger("save", "-m", "as it is")
    assert book.git("status", "--porcelain") == ""
    assert book.git("fsck", "--strict", "--no-dangling").strip() == ""
    for _ in range(2):
        book.ledger("backup", str(book.top.parent / "copy"))


def test_names_in_both_cases_from_another_machine(book: Typed) -> None:
    """Git lays one of the two out; reading goes on, and nothing of it is written over."""
    one = book.git("rev-parse", "HEAD:art/inks/p003.png").strip()
    book.git("update-index", "--add", "--cacheinfo", f"100644,{one},art/inks/P003.png")
    book.git("commit", "-q", "--no-verify", "-m", "two cases")
    for words in (("status",), ("check",), ("audit",), ("rounds",)):
        assert book.ledger(*words, code=None).code in (0, 1)
    assert "unchanged" in book.ledger("enter", "inks", "-m", "the same").out
    assert book.git("status", "--porcelain") == ""
    book.git("reset", "-q", "--hard", "HEAD~1")


@pytest.mark.parametrize("name", ["enter", "undo"])
def test_killed_there(book: Typed, program: Path, disk: Path, name: str) -> None:
    (disk / name).mkdir()
    killing = Killing(program, book, disk / name, name)
    killed_somewhere(killing, random.Random(name))
    assert killing.tally.lost == []
