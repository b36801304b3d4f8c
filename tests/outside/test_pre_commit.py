"""The pre-commit framework itself (https://pre-commit.com, from the Python package index), run on real repositories.

Its hooks are taken from our own `.pre-commit-hooks.yaml` and from a `repo: local` configuration, both as
docs/pre-commit.md shows them, with `language: system`: nothing is fetched.
"""

from __future__ import annotations

import re
import shutil
import sys
from pathlib import Path

import pytest

from tests.typed_book import Ran, TypedBook, typed_book

ROOT = Path(__file__).parent.parent.parent
FRAMEWORK = [sys.executable, "-m", "pre_commit"]
TYPES = ("pre-commit", "pre-merge-commit", "pre-push")


def documented(kind: str) -> str:
    """A configuration as the documents show it; `kind` are words of the line above it."""
    text = (ROOT / "docs/pre-commit.md").read_text("utf-8")
    found = re.search(rf"{kind}[^`]*```yaml\n(.*?)```", text, re.DOTALL)
    assert found, kind
    return _here(found[1])


def _here(configuration: str) -> str:
    """Run by this Python, wherever inkledger is installed."""
    own = configuration.replace("entry: python ", f"entry: {sys.executable} ")
    return own.replace("entry: inkledger ", f"entry: {sys.executable} -m ledger ")


def framework(book: TypedBook, *words: str) -> Ran:
    return book.run(*FRAMEWORK, *words, env={"PRE_COMMIT_HOME": str(book.top.parent / "cache")})


@pytest.fixture(scope="module")
def _signed(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """A book with its pencils signed off and no hooks of ours, and its shared copy."""
    home = tmp_path_factory.mktemp("framework")
    book = typed_book(home / "book")
    book.ledger("hook", "remove")
    book.ledger("enter", "script", "-m", "first draft")
    book.draw("pencils", "001", 1)
    book.ledger("enter", "pencils", "-m", "page 1")
    book.ledger("lock", "pencils", "-m", "story locked")
    book.git("init", "-q", "--bare", "../shared.git")
    book.git("remote", "add", "origin", "../shared.git")
    book.git("push", "-q", "origin", "HEAD:main")
    return book


@pytest.fixture(params=["our own", "local"])
def book(request: pytest.FixtureRequest, _signed: TypedBook, tmp_path: Path) -> TypedBook:
    """The same, with the framework's hooks in, by either configuration."""
    shutil.copytree(_signed.top.parent, tmp_path / "home", symlinks=True)
    book = TypedBook(tmp_path / "home/book")
    configuration = documented(request.param)
    if request.param == "our own":
        manifest = TypedBook(tmp_path / "inkledger")
        manifest.top.mkdir()
        manifest.write(".pre-commit-hooks.yaml", _here((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8")))
        manifest.git("init", "-q", ".")
        manifest.git("add", "-A")
        manifest.git("commit", "-qm", "hooks")
        configuration = re.sub(r"repo: \S+", f"repo: {manifest.top}", configuration)
        configuration = re.sub(r"rev: \S+", f"rev: {manifest.git('rev-parse', 'HEAD').strip()}", configuration)
    book.write(".pre-commit-config.yaml", configuration)
    book.git("add", ".pre-commit-config.yaml")
    book.git("commit", "-qm", "the framework")
    done = framework(book, "install", *(word for each in TYPES for word in ("--hook-type", each)))
    assert done.code == 0, done.out + done.err
    book.env["PRE_COMMIT_HOME"] = str(tmp_path / "cache")
    return book


def late(book: TypedBook) -> None:
    book.change("script/01.md", "N: Push.\n", "")
    book.git("add", "-A")


def test_a_late_edit_is_refused_and_an_allowed_one_passes(book: TypedBook) -> None:
    late(book)
    told = book.git("commit", "-m", "late", code=1)
    assert "line-cut" in told and "inkledger alter" in told
    book.git("checkout", "-q", "HEAD", "--", "script")
    book.change("script/01.md", "N: Push.", "N: Push!")
    book.git("commit", "-qam", "a stronger push")
    late_again = book.git("log", "-1", "--format=%s").strip()
    assert late_again == "a stronger push"


def test_a_slip_lets_it_through(book: TypedBook) -> None:
    late(book)
    book.ledger("alter", "--reason", "the door stands open")
    book.git("commit", "-qm", "with its slip")
    assert book.ledger("audit").code == 0


def test_what_is_judged_is_what_is_staged(book: TypedBook) -> None:
    """The framework puts unstaged changes aside meanwhile, and brings them back."""
    book.change("script/01.md", "N: Push.\n", "")
    book.write("letter.txt", "Dear Ida\n")
    book.git("add", "letter.txt")
    book.git("commit", "-qm", "a letter alone")
    assert "N: Push." not in (book.top / "script/01.md").read_text()
    assert "line-cut" in book.git("commit", "-am", "late", code=1)
    assert "line-cut" in book.git("commit", "-m", "late", "--", "script/01.md", code=1)


def test_a_merge_is_judged(book: TypedBook) -> None:
    """What was no late edit where it was made is one where it arrives."""
    book.git("switch", "-q", "-c", "side", "lock/pencils/1~1")
    late(book)
    book.git("commit", "-q", "--no-verify", "-m", "before the sign-off")
    book.git("switch", "-q", "-")
    assert "line-cut" in book.git("merge", "-q", "--no-edit", "side", code=1)


def test_a_push_is_judged(book: TypedBook) -> None:
    late(book)
    book.git("commit", "-q", "--no-verify", "-m", "late")
    assert "line-cut" in book.git("push", "origin", "HEAD:main", code=1)
    book.git("reset", "-q", "--hard", "HEAD~1")
    book.git("push", "-q", "origin", "HEAD:main")


@pytest.mark.parametrize("to", ["main", "fresh"])
def test_a_late_edit_that_was_undone_is_not_pushed(book: TypedBook, to: str) -> None:
    """Others would have it in their history, whether the branch is known there or new."""
    late(book)
    book.git("commit", "-q", "--no-verify", "-m", "late")
    book.git("revert", "--no-edit", "HEAD")
    assert book.ledger("audit").code == 0, "what is settled blocks no audit"
    assert "line-cut" in book.git("push", "origin", f"HEAD:refs/heads/{to}", code=1)
    book.git("push", "-q", "--no-verify", "origin", f"HEAD:refs/heads/{to}")


def test_all_of_a_history_is_judged_where_nothing_is_yet(book: TypedBook) -> None:
    book.git("init", "-q", "--bare", "../empty.git")
    book.git("remote", "add", "empty", "../empty.git")
    book.git("push", "-q", "empty", "HEAD:refs/heads/main")
    book.git("init", "-q", "--bare", "../second.git")
    book.git("remote", "add", "second", "../second.git")
    late(book)
    book.git("commit", "-q", "--no-verify", "-m", "late")
    book.git("revert", "--no-edit", "HEAD")
    assert "line-cut" in book.git("push", "second", "HEAD:refs/heads/main", code=1)


def test_both_ways_at_once_run_both(book: TypedBook) -> None:
    told = book.ledger("hook", "install").out
    assert "The hooks are in" in told
    late(book)
    assert book.git("commit", "-m", "late", code=1).count("line-cut") == 1, "the framework's comes first and stops"
    book.ledger("hook", "remove")
    assert "line-cut" in book.git("commit", "-m", "late", code=1)
    assert framework(book, "uninstall").code == 0
    book.git("commit", "-qm", "nobody looks")


def test_our_own_list_of_hooks_is_valid() -> None:
    book = TypedBook(ROOT)
    done = book.run(*FRAMEWORK, "validate-manifest", ".pre-commit-hooks.yaml")
    assert done.code == 0, done.out + done.err
