"""The ledger's numbers: the newest entry of a pass, the next free number, the pass that is meant."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from ledger.desk.numbers import (
    basis_of,
    free_number,
    locks_of,
    newest_round,
    next_number,
    rounds_of,
    slips,
    the_pass,
)
from ledger.desk.opening import open_book
from ledger.model.book import Book as BookFacts
from ledger.model.book import Pass
from ledger.model.entry import Alteration, Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.state import BookState
from tests.books import Book
from tests.desk.salt_lantern import FIRST, TOML, entered

WHEN = date(2026, 3, 2)
INKS = Pass("inks", "art", ("art/inks/p{page}.png",), comes_from=("pencils", "script"))


def a_round(name: str, number: int) -> Round:
    return Round(path=f"ledger/{name}-{number}.toml", number=number, date=WHEN, by="Ada", pass_name=name)


def a_slip(number: int) -> Alteration:
    return Alteration(path=f"ledger/alteration-{number}.toml", number=number, date=WHEN, by="Ada")


# By name, as a ledger is read: 10 stands before 2.
ENTRIES = (
    a_slip(10), a_slip(2), a_round("inks", 10), a_round("inks", 2), a_round("inks-wash", 12), a_round("script", 3),
    Lock(path="ledger/lock-inks-10.toml", number=10, date=WHEN, by="Ada", pass_name="inks", scopes=()),
    Lock(path="ledger/lock-inks-9.toml", number=9, date=WHEN, by="Ada", pass_name="inks", scopes=()),
    Reopen(path="ledger/reopen-11.toml", number=11, date=WHEN, by="Ada"),
)  # fmt: skip


def state(*paths: str) -> BookState:
    return BookState(Snapshot(".", {path: FileAt(path, None) for path in paths}, None), BookFacts("x", 1))  # type: ignore[arg-type]


def test_numbers_are_counted_not_spelled() -> None:
    assert [entry.number for entry in rounds_of(ENTRIES, "inks")] == [2, 10]
    newest = newest_round(ENTRIES, "inks")
    assert newest is not None and newest.name == "inks-10"
    assert newest_round(ENTRIES, "ink") is None and newest_round((), "inks") is None
    assert [entry.number for entry in locks_of(ENTRIES, "inks")] == [9, 10]


def test_a_reopening_is_no_slip() -> None:
    assert [entry.name for entry in slips(ENTRIES)] == ["alteration-2", "alteration-10"]


def test_what_a_round_rests_on() -> None:
    assert basis_of(ENTRIES, INKS) == {"script": "script-3"}
    assert basis_of((*ENTRIES, a_round("pencils", 1)), INKS) == {"pencils": "pencils-1", "script": "script-3"}
    assert basis_of(iter(ENTRIES), INKS._replace(comes_from=())) == {}


@pytest.mark.parametrize(
    ("paths", "number"),
    [
        ((), 1),
        (("ledger/inks-1.toml",), 2),
        (("ledger/inks-9.toml", "ledger/inks-10.toml"), 11),
        (("ledger/inks-wash-7.toml", "ledger/lock-inks-8.toml", "ledger/script-9.toml"), 1),
        (("art/inks-5.toml",), 1),
        (("ledger/inks-03.toml",), 4),
        (("ledger/inks-x.toml", "ledger/inks-.toml", "ledger/README.md"), 1),
        (("ledger/inks-²·.toml", "ledger/inks-².toml"), 1),
    ],
)
def test_the_next_free_number(paths: tuple[str, ...], number: int) -> None:
    assert next_number([state(*paths)], "inks") == number


def test_every_state_counts() -> None:
    assert next_number([None, state("ledger/inks-2.toml"), state("ledger/inks-4.toml")], "inks") == 5
    assert next_number([None], "lock-inks") == 1


def test_a_number_that_another_branch_has_is_taken(tmp_path: Path) -> None:
    book = Book.new(tmp_path / "book", {"book.toml": TOML, "script/01.md": FIRST})
    entered(book, "script", 1)
    book.git("switch", "-q", "-c", "other")
    entered(book, "script", 2)
    book.git("switch", "-q", "main")
    opened = open_book(book.top)
    assert next_number([opened.working], "script") == 2
    assert free_number(opened.repo, [opened.working], "script", "pass/script") == 3
    book.git("tag", "pass/script/3", "HEAD")
    assert free_number(opened.repo, [opened.working], "script", "pass/script") == 3, (
        "a tag of somebody's own is no entry"
    )


def test_a_pass_nearly_named() -> None:
    book = BookFacts("x", 1, passes=(INKS, Pass("script", "text", ())))
    assert the_pass(book, "inks") is INKS
    with pytest.raises(Refusal, match="'ink' is no pass of this book") as refused:
        the_pass(book, "ink")
    assert refused.value.remedy == "did you mean inks?"
    with pytest.raises(Refusal) as refused:
        the_pass(book, "zzz")
    assert refused.value.remedy == "passes of this book: inks, script"
    with pytest.raises(Refusal) as refused:
        the_pass(book._replace(passes=()), "inks")
    assert refused.value.remedy == "passes of this book: none"
