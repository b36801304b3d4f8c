"""What the art takes: `doctor --sizes`, and the one word of `status` about much art in git itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book


@pytest.fixture
def book(tmp_path: Path) -> TypedBook:
    return typed_book(tmp_path / "book")


def test_sizes_count_each_content_once(book: TypedBook) -> None:
    book.ledger("enter", "script", "-m", "first")
    book.draw("inks", "001", 1)
    book.draw("inks", "002", 2)
    book.ledger("enter", "inks", "-m", "two pages")
    first = (book.top / "art/inks/p001.png").stat().st_size
    book.draw("inks", "001", 9)
    book.ledger("enter", "inks", "-m", "page 1 again")
    now = sum((book.top / f"art/inks/p00{n}.png").stat().st_size for n in (1, 2))
    sizes = {each["pass"]: each for each in checked(book.ledger("doctor", "--sizes", "--json").out)["sizes"]}
    inks = {"pass": "inks", "files": 2, "bytes": now, "contents": 3, "contents_bytes": now + first}
    assert sizes["inks"] == inks
    assert (sizes["script"]["files"], sizes["letters"]["contents_bytes"]) == (1, 0)
    told = book.ledger("doctor", "--sizes").out.splitlines()
    assert told[0].split()[0] == "pass" and all(len(line) <= 80 for line in told)


def test_much_art_in_git_itself_is_told_once(book: TypedBook) -> None:
    book.draw("inks", "001", 1)
    assert "of art" not in book.ledger("status").out
    with (book.top / "art/inks/p002.png").open("wb") as file:
        file.truncate(501 * 1024 * 1024)  # a hole, which takes nothing on disk
    told = " ".join(book.ledger("status").out.split())
    assert "carries 501 MiB of art" in told and "inkledger init --lfs" in told
    assert "of art" not in book.ledger("status").out


def test_with_git_lfs_nothing_is_told(book: TypedBook) -> None:
    with (book.top / "art/inks/p002.png").open("wb") as file:
        file.truncate(501 * 1024 * 1024)
    book.write(".gitattributes", "art/** filter=lfs diff=lfs merge=lfs -text\n")
    assert "of art" not in book.ledger("status").out
