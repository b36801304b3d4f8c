"""The command line in the process of the tests: what it says and how it ends."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from ledger.cli.frame import run
from tests.books import Book
from tests.desk.salt_lantern import salt_lantern
from tests.typed_book import TypedBook, typed_book


@dataclass(frozen=True)
class Said:
    """Standard output, standard error, exit code."""

    out: str
    err: str
    code: int


Tell = Callable[..., Said]


@pytest.fixture
def tell(capsysbinary: pytest.CaptureFixture[bytes]) -> Tell:
    """Runs inkledger in a folder; no traceback may ever reach the user."""

    def told(here: Path, *words: str, code: int | None = 0) -> Said:
        capsysbinary.readouterr()
        ended = run(["-C", str(here), *words])
        caught = capsysbinary.readouterr()
        said = Said(caught.out.decode("utf-8"), caught.err.decode("utf-8"), ended)
        assert "Traceback" not in said.out + said.err
        assert code is None or ended == code, said
        return said

    return told


@pytest.fixture(scope="session")
def _lantern(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return salt_lantern(tmp_path_factory.mktemp("lantern") / "book")


@pytest.fixture
def lantern(_lantern: Book, tmp_path: Path) -> Book:
    """ "The Salt Lantern" with its two script rounds, a copy for this test."""
    shutil.copytree(_lantern.top, tmp_path / "book", symlinks=True)
    return Book(tmp_path / "book")


@pytest.fixture(scope="session")
def _typed(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    return typed_book(tmp_path_factory.mktemp("books") / "ninth-supper")


@pytest.fixture(scope="session")
def _entered(_typed: TypedBook, tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = _typed.copied(tmp_path_factory.mktemp("books") / "entered")
    book.ledger("enter", "script", "-m", "first draft")
    for page in range(1, 5):
        book.draw("pencils", f"{page:03}", page)
    book.ledger("enter", "pencils", "-m", "all four pages")
    return book


@pytest.fixture(scope="session")
def _signed(_entered: TypedBook, tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = _entered.copied(tmp_path_factory.mktemp("books") / "signed")
    book.ledger("lock", "pencils", "-m", "story locked")
    return book


@pytest.fixture
def laid_out(_typed: TypedBook, tmp_path: Path) -> TypedBook:
    """The typed book laid out, with a script, nothing entered."""
    return _typed.copied(tmp_path / "laid-out")


@pytest.fixture
def entered(_entered: TypedBook, tmp_path: Path) -> TypedBook:
    """The typed book with one round of script and one of pencils."""
    return _entered.copied(tmp_path / "entered")


@pytest.fixture
def signed(_signed: TypedBook, tmp_path: Path) -> TypedBook:
    """The typed book with pencils signed off: the structure is closed."""
    return _signed.copied(tmp_path / "signed")
