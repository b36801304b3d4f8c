"""The door that the hooks run: no traceback, no library before it is needed, a refusal where nothing can be judged."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from ledger.cli.door import main
from tests.books import Book
from tests.desk.signed_book import CUT, SCRIPT, TOML, signed_book

HOME = Path(__file__).parent.parent.parent


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return signed_book(tmp_path_factory.mktemp("signed") / "book")


@pytest.fixture
def book(_signed: Book, tmp_path: Path) -> Book:
    shutil.copytree(_signed.top, tmp_path / "book", symlinks=True)
    return Book(tmp_path / "book")


def stage(book: Book, text: str) -> None:
    book.write({"script/01.md": text})
    book.git("add", "-A")


def knock(book: Book, *words: str, said: bytes = b"", code: str = "", **env: str) -> subprocess.CompletedProcess[str]:
    """Runs the door in a fresh Python, as a hook does; `code` is run before it."""
    program = f"import sys; sys.path.insert(0, {str(HOME)!r})\n{code}\nfrom ledger.cli.door import main\n"
    line = [sys.executable, "-I", "-c", program + "sys.exit(main(sys.argv[1:]))", *words]
    done = subprocess.run(line, cwd=book.top, env={**os.environ, **env}, capture_output=True, input=said)
    text = done.stdout.decode(), done.stderr.decode()
    assert "Traceback" not in "".join(text)
    return subprocess.CompletedProcess(line, done.returncode, *text)


@pytest.mark.parametrize("hook", ["pre-commit", "pre-merge-commit", "pre-applypatch"])
def test_a_late_edit_is_stopped_and_the_hook_named(book: Book, hook: str) -> None:
    stage(book, CUT)
    done = knock(book, hook)
    assert done.returncode == 1 and done.stdout == ""
    assert f"inkledger ({hook})" in done.stderr and "line-cut" in done.stderr


def test_a_push_is_judged_by_what_git_tells_the_hook(book: Book) -> None:
    stage(book, CUT)
    book.git("commit", "-q", "--no-verify", "-m", "late")
    line = f"refs/heads/main {book.git('rev-parse', 'HEAD')} refs/heads/main {'0' * 40}\n"
    done = knock(book, "pre-push", "origin", "../copy.git", said=line.encode())
    assert done.returncode == 1 and "inkledger (pre-push)" in done.stderr and "line-cut" in done.stderr
    assert knock(book, "pre-push", "origin", "../copy.git").returncode == 0


WATCH = """
class Watch:
    def find_spec(self, name, path=None, target=None):
        if name in {names!r}:
            raise SystemExit(f'too heavy: {{name}}')
sys.meta_path.insert(0, Watch())
"""
HEAVY = ["click", "numpy", "PIL", "markdown_it", "rich", "git", "rapidfuzz", "lxml"]
SLOW = [*HEAVY, "dataclasses", "tomllib", "subprocess", "pathlib", "re", "typing", "json"]


@pytest.mark.parametrize("text", [SCRIPT, SCRIPT.replace("the map was here", "the map is here")])
def test_what_stays_free_passes_without_a_library(book: Book, text: str) -> None:
    stage(book, text)
    book.write({"letter.txt": "Dear Marsh\n"})
    book.git("add", "-A")
    done = knock(book, "pre-commit", code=WATCH.format(names=[*SLOW]))
    assert (done.returncode, done.stderr) == (0, "")


def test_a_draft_is_judged_without_anything_heavy(book: Book) -> None:
    stage(book, CUT)
    done = knock(book, "pre-commit", code=WATCH.format(names=[*HEAVY, "pathlib", "json", "dataclasses", "inspect"]))
    assert done.returncode == 1 and "line-cut" in done.stderr


def test_a_broken_installation_refuses_and_says_so(book: Book) -> None:
    stage(book, CUT)
    broken = "class Broken:\n    def find_spec(self, name, path=None, target=None):\n" \
             "        if name == 'ledger.judge.agreed.doors':\n" \
              "            raise ImportError('No module named judge')\n" \
             "sys.meta_path.insert(0, Broken())"  # fmt: skip
    done = knock(book, "pre-commit", code=broken)
    assert done.returncode == 1
    assert "installation is broken" in done.stderr and "install inkledger again" in done.stderr


def test_without_git_it_refuses_and_says_so(book: Book, tmp_path: Path) -> None:
    stage(book, CUT)
    (tmp_path / "empty").mkdir()
    done = knock(book, "pre-commit", PATH=str(tmp_path / "empty"))
    assert done.returncode == 1 and "git" in done.stderr


def test_a_broken_book_is_named_with_file_and_line(book: Book) -> None:
    book.write({"book.toml": TOML + "\nnonsense\n"})
    book.git("add", "-A")
    done = knock(book, "pre-commit")
    assert done.returncode == 1 and "book.toml:" in done.stderr and "could not be judged" in done.stderr


def test_names_in_any_script_under_the_plainest_locale(book: Book) -> None:
    book.write({"script/\u00e9t\u00e9 \u6f6e.md": "[page 3]\nW: \u6f6e\u304c\u6765\u308b\u3002\n"})
    book.git("add", "-A")
    done = knock(book, "pre-commit", LC_ALL="C", LANG="C")
    assert done.returncode == 1 and "page-added" in done.stderr and "\u6f6e" in done.stderr


@pytest.mark.parametrize("words", [[], ["post-commit"]])
def test_another_hook_is_none_of_ours(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 1
    assert "no hook of inkledger's" in capsys.readouterr().err
