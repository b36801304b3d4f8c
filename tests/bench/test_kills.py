"""The measure of kills can tell what is left behind."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.bench.kills import differing, state
from tests.books import Book


def left_open(top: Path) -> None:
    (top / ".git/index.lock").touch()


def half_written(top: Path) -> None:
    (top / "notes").mkdir()
    (top / "notes/.inkledger-0").write_text("half")


def staged(top: Path) -> None:
    (top / "b.md").write_text("b")
    Book(top).git("add", "b.md")


@pytest.mark.parametrize(
    ("leave", "named"), [(left_open, "index.lock"), (half_written, ".inkledger-0"), (staged, "index"),
                         (lambda top: (top / "a.md").chmod(0o600), "a.md"),
                         (lambda top: Book(top).git("tag", "pass/script/1"), "refs")]
)  # fmt: skip
def test_what_is_left_behind_is_told(tmp_path: Path, leave: Callable[[Path], object], named: str) -> None:
    book = Book.new(tmp_path / "book", {"a.md": "a\n"})
    before = state(book.top)
    assert state(book.top) == before
    leave(book.top)
    assert named in differing(state(book.top), before)
