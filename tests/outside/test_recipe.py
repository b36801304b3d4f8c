"""The recipe for a host's own checks, run as a host would: in a bare clone, with what was there and what is there now.

Common practice, no source: hosts give such a job the ids before and after a push, zeros for a new branch.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.books import Book
from tests.desk.signed_book import CUT, SCRIPT, signed_book
from tests.schema_check import checked

RECIPE = Path(__file__).parent.parent.parent / "docs/recipes/audit-on-push"
ZERO = "0" * 40


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("hosted")
    signed_book(home / "book")
    programs = home / "bin"
    programs.mkdir()
    command = programs / "inkledger"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m ledger "$@"\n')
    command.chmod(0o755)
    return home


@pytest.fixture
def book(_signed: Path, tmp_path: Path) -> Book:
    shutil.copytree(_signed, tmp_path / "home", symlinks=True)
    return Book(tmp_path / "home/book")


def checks(book: Book, old: str, new: str = "HEAD", *, depth: int = 0, **env: str) -> tuple[int, str]:
    """What the host's job says of a push."""
    clone = book.top / "../clone.git"
    shutil.rmtree(clone, ignore_errors=True)
    few = ["--depth", str(depth)] if depth else []
    book.git("clone", "-q", "--bare", *few, book.top.as_uri(), str(clone))
    path = f"{book.top.parent / 'bin'}:{os.environ['PATH']}"
    done = subprocess.run([RECIPE, old, new], cwd=clone, capture_output=True, text=True,
                          env={**os.environ, "PATH": path, **env})  # fmt: skip
    assert "Traceback" not in done.stderr
    return done.returncode, done.stdout + done.stderr


def committed(book: Book, files: dict[str, str]) -> tuple[str, str]:
    old = book.git("rev-parse", "HEAD")
    book.write(files)
    return old, book.commit("pushed")


def test_innocent_work_passes(book: Book) -> None:
    code, said = checks(book, *committed(book, {"letter.txt": "Dear Marsh\n"}))
    assert (code, said) == (0, "Nothing found: history holds what was agreed.\n")


def test_a_late_edit_fails_and_is_told(book: Book, tmp_path: Path) -> None:
    old, new = committed(book, {"script/01.md": CUT})
    code, said = checks(book, old, new, REPORT=str(tmp_path / "report.json"))
    assert code == 1 and "line-cut" in said and len(said.splitlines()) < 12
    assert [f["rule"] for f in checked((tmp_path / "report.json").read_text())["findings"]] == ["line-cut"]


@pytest.mark.parametrize("old", [ZERO, "", "1" * 40])
def test_a_new_branch_is_judged_as_a_whole(book: Book, old: str) -> None:
    committed(book, {"script/01.md": CUT})
    committed(book, {"letter.txt": "Dear Marsh\n"})
    code, said = checks(book, old)
    assert code == 1 and "line-cut" in said


def test_a_branch_written_anew_without_an_entry(book: Book) -> None:
    old = book.git("rev-parse", "HEAD")
    book.git("tag", "before")
    book.git("reset", "-q", "--hard", "HEAD~1")
    committed(book, {"letter.txt": "Dear Marsh\n"})
    code, said = checks(book, old)
    assert code == 1 and "entry-removed" in said and "ledger/lock-inks-1.toml" in said


def test_a_branch_written_anew_with_its_entries(book: Book) -> None:
    old = book.git("rev-parse", "HEAD")
    book.git("tag", "before")
    book.git("commit", "-q", "--amend", "-m", "said better")
    assert checks(book, old)[0] == 0


def test_an_undone_late_edit_is_told_and_passes(book: Book) -> None:
    old, _ = committed(book, {"script/01.md": CUT})
    committed(book, {"script/01.md": SCRIPT})
    code, said = checks(book, old)
    assert code == 0 and "undone" in said


def test_a_part_of_history_is_not_enough(book: Book) -> None:
    old, new = committed(book, {"letter.txt": "Dear Marsh\n"})
    code, said = checks(book, old, new, depth=1)
    assert code == 2 and "whole history" in said
