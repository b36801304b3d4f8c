"""The cast as it stood when an entry was recorded, whatever it is called now."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.desk.casts import cast_lookup
from ledger.gitedge.repository import Repository
from ledger.model.entry import Handoff, Round
from tests.books import Book
from tests.desk.salt_lantern import FIRST, TOML, WHEN, entered


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """Two rounds; between them Wren became Robin."""
    made = Book.new(tmp_path / "book", {"book.toml": TOML, "script/01.md": FIRST})
    entered(made, "script", 1)
    made.write({"book.toml": TOML.replace('"Wren"', '"Robin"')})
    made.commit("another name")
    entered(made, "script", 2)
    return made


def script(number: int) -> Round:
    return Round(path=f"ledger/script-{number}.toml", number=number, pass_name="script", date=WHEN, by="Ada")


def first_name(book: Book, entry: Round | Handoff) -> str | None:
    cast = cast_lookup(Repository.find(book.top))(entry)
    return cast[0].name if cast else None


def test_each_entry_has_the_cast_of_its_own_commit(book: Book) -> None:
    assert [first_name(book, script(number)) for number in (1, 2)] == ["Wren", "Robin"]


def test_without_its_tag_history_is_asked(book: Book) -> None:
    book.git("tag", "-d", "pass/script/1", "pass/script/2")
    assert [first_name(book, script(number)) for number in (1, 2)] == ["Wren", "Robin"]


def test_an_entry_that_was_never_recorded_has_none(book: Book) -> None:
    assert first_name(book, script(9)) is None
    assert (
        first_name(book, Handoff(path="ledger/handoff-1.toml", number=1, pass_name="script", date=WHEN, by="Ada"))
        is None
    )


def test_a_book_that_could_not_be_read_then_has_none(book: Book) -> None:
    book.write({"book.toml": "[book\n"})
    book.commit("spoilt")
    entered(book, "script", 3)
    book.write({"book.toml": TOML})
    book.commit("mended")
    assert first_name(book, script(3)) is None
    book.git("rm", "-q", "book.toml")
    book.commit("gone")
    entered(book, "script", 4)
    assert first_name(book, script(4)) is None


def test_it_is_looked_up_once(book: Book) -> None:
    look = cast_lookup(Repository.find(book.top))
    before = look(script(1))
    book.git("tag", "-d", "pass/script/1")
    book.git("update-ref", "-d", "HEAD")
    assert look(script(1)) is before
