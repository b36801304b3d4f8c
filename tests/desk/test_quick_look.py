"""The hooks' first look lets nothing through that the judgement stops: changes of the probes, alone and together."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest

from ledger.cli.door import _surely_free
from ledger.desk.staged import staged_findings
from ledger.model.errors import Refusal
from tests.books import Book
from tests.probes import edits
from tests.probes.ground import Ground, laid_out

CHANGES = {
    **{name: late.make for group in (edits.STRUCTURE, edits.DRAWING, edits.TAMPERING, edits.WEAKENED, edits.CLEVER)
       for name, late in group.items()},
    **edits.ALLOWED,
}  # fmt: skip
#: How many changes each base is tried with; the variable is for longer runs.
TIMES = int(os.environ.get("INKLEDGER_TEST_TIMES", "12"))
#: What was recorded past the hooks before.
BEFORE = {
    "as signed off": lambda book: None,
    "the lock taken out": edits.gone(edits.LOCK),
    "book.toml taken out": edits.gone("book.toml"),
    "a slip": edits.with_slip(edits.CUT, "1", ["structure"]),
    "a line cut": edits.CUT,
}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return laid_out(Ground(tmp_path_factory.mktemp("quick") / "home", Path("unused")))


def taken_back(book: Book, to: str) -> None:
    book.git("reset", "-q", "--hard", to)
    book.git("clean", "-q", "-ffdx")


def tried(book: Book, monkeypatch: pytest.MonkeyPatch, names: list[str]) -> tuple[bool, list[str]] | None:
    """Whether the first look lets the changes through, and what blocks them; None where they don't go together."""
    try:
        for name in names:
            CHANGES[name](book)
    except (AssertionError, OSError, Refusal, ValueError):
        return None
    book.git("add", "-A")
    monkeypatch.chdir(book.top)
    free = _surely_free()
    try:
        stopped = [finding.rule for finding in staged_findings(os.fspath(book.top)) if finding.blocks]
    except Refusal:
        stopped = ["not judged"]
    return free, stopped


@pytest.mark.parametrize("name", ["nothing of the book's", "the outline", "a note"])
def test_the_first_look_lets_something_through(book: Book, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    start = book.git("rev-parse", "HEAD")
    assert tried(book, monkeypatch, [name]) == (True, [])
    taken_back(book, start)


@pytest.mark.parametrize("before", BEFORE)
def test_what_the_first_look_lets_through_is_free(book: Book, monkeypatch: pytest.MonkeyPatch, before: str) -> None:
    start = book.git("rev-parse", "HEAD")
    try:
        BEFORE[before](book)
        book.git("add", "-A")
        book.git("commit", "-q", "--allow-empty", "-m", before)
        base = book.git("rev-parse", "HEAD")
        rng = random.Random(before)
        for _ in range(TIMES):
            found = tried(book, monkeypatch, rng.sample(sorted(CHANGES), rng.choice((1, 1, 2, 3))))
            if found is not None:
                assert not (found[0] and found[1]), (book.git("diff", "--cached", "HEAD"), found)
            taken_back(book, base)
    finally:
        taken_back(book, start)
