"""Where the chapters of a draft go."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.desk.arriving.chapter_places import placed, target_of
from ledger.desk.opening import open_book
from ledger.model.book import Pass
from ledger.model.errors import Refusal
from ledger.read.chapters import Piece
from ledger.read.patterns import matches
from tests.books import Book
from tests.desk.salt_lantern import TOML

SCRIPT = Pass("script", "text", ("script/*.md",))


def chapters(*numbers: int | None) -> list[Piece]:
    return [Piece(f"Chapter {at}", number, b"%d\n" % at) for at, number in enumerate(numbers, 1)]


def places(pieces: list[Piece], *files: str, to: str | None = None) -> list[str]:
    return list(placed(pieces, SCRIPT._replace(files=files or SCRIPT.files), to))


@pytest.mark.parametrize(
    ("numbers", "found"),
    [
        ((None, None), ["script/01.md", "script/02.md"]),
        ((3, 4, 7), ["script/03.md", "script/04.md", "script/07.md"]),
        ((3, None), ["script/01.md", "script/02.md"]),
        ((2, 1), ["script/01.md", "script/02.md"]),
        ((2, 2), ["script/01.md", "script/02.md"]),
        ((99, 100), ["script/099.md", "script/100.md"]),
        ((None,), ["script/01.md"]),
    ],
)
def test_chapters_keep_their_numbers_where_they_rise(numbers: tuple[int | None, ...], found: list[str]) -> None:
    assert places(chapters(*numbers)) == found


@pytest.mark.parametrize(
    ("files", "found"),
    [
        (("script/ch-*.txt",), ["script/ch-01.txt", "script/ch-02.txt"]),
        (("script/*",), ["script/01.md", "script/02.md"]),
        (("script.md", "more/*.md"), ["more/01.md", "more/02.md"]),
        (("script/all.md",), ["script/all.md"]),
        (("parts/*/script.md", "whole.md"), ["whole.md"]),
        (("*/*.md", "whole.md"), ["whole.md"]),
    ],
)
def test_the_pattern_says_what_a_file_is_called(files: tuple[str, ...], found: list[str]) -> None:
    assert places(chapters(None, None), *files) == found


def test_a_pass_of_nothing_but_stars_needs_to_be_told() -> None:
    with pytest.raises(Refusal, match="can't be told from") as refused:
        places(chapters(None), "*/*.md")
    assert refused.value.remedy == "name it with --to"


@pytest.mark.parametrize(
    ("to", "count", "found"),
    [
        ("script/07.md", 2, ["script/07.md", "script/08.md"]),
        ("script/099.md", 2, ["script/099.md", "script/100.md"]),
        ("script/9.md", 2, ["script/09.md", "script/10.md"]),
        ("script/vol2/ch1_draft.md", 2, ["script/vol2/ch1_draft.md", "script/vol2/ch2_draft.md"]),
        ("script/vol2/draft.md", 2, ["script/vol2/draft.md"]),
        ("script/7.md", 1, ["script/7.md"]),
    ],
)
def test_counted_on_from_a_place(to: str, count: int, found: list[str]) -> None:
    assert places(chapters(*[5 + n for n in range(count)]), to=to) == found


@given(st.lists(st.one_of(st.none(), st.integers(1, 300)), min_size=1, max_size=12), st.sampled_from(
    [None, "script/07.md", "script/whole.md"]))  # fmt: skip
def test_no_chapter_is_lost_or_put_elsewhere(numbers: list[int | None], to: str | None) -> None:
    pieces = chapters(*numbers)
    found = placed(pieces, SCRIPT, to)
    assert b"".join(piece.data for piece in found.values()) == b"".join(piece.data for piece in pieces)
    assert list(found) == sorted(found), "files are read in name order, so the chapters stay in theirs"
    assert all(matches(path, SCRIPT) for path in found)


# -- what --to names


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    made = Book.new(tmp_path_factory.mktemp("places") / "book", {"book.toml": TOML})
    (made.top / "script").mkdir()
    return made


@pytest.mark.parametrize(
    ("here", "to", "found"),
    [
        (".", None, ("script", None)),
        (".", "script/02.md", ("script", "script/02.md")),
        ("script", "02.md", ("script", "script/02.md")),
        ("script", "script/02.md", ("script", "script/02.md")),
        ("script", "../outline/a.md", ("outline", "outline/a.md")),
        (".", "./script/../script/02.md", ("script", "script/02.md")),
    ],
)
def test_a_place_named_from_where_one_stands(
    book: Book, here: str, to: str | None, found: tuple[str, str | None]
) -> None:
    pass_, path = target_of(open_book(book.top), book.top / here, to)
    assert (pass_.name, path) == found


@pytest.mark.parametrize("to", ["../away.md", "/tmp/away.md", "art/inks/p001.png", "script", "script/deep/er.md", ""])
def test_a_place_elsewhere_is_refused_with_those_there_are(book: Book, to: str) -> None:
    with pytest.raises(Refusal, match="is no place of a text pass") as refused:
        target_of(open_book(book.top), book.top, to)
    assert refused.value.remedy == "name a file of one of them (outline/*.md, script/*.md)"


def test_a_book_without_a_text_pass(tmp_path: Path) -> None:
    made = Book.new(tmp_path / "book", {"book.toml": '[book]\ntitle = "A"\npages = 3\n'})
    with pytest.raises(Refusal, match="this book has no text pass"):
        target_of(open_book(made.top), made.top, None)
