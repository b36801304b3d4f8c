"""A typed script is cut at its chapters and loses no byte."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ledger.read.chapters import chapters_of, with_headings

_ROWS = (
    "# One",
    "# Chapter 4: Two {#two}",
    "## Scene",
    "words",
    "",
    "# PAGE THREE",
    "    # words",
    "- # item",
    "<!--",
    "-->",
)


@given(st.lists(st.sampled_from(_ROWS), max_size=12), st.sampled_from(["\n", "\r\n", "\r"]), st.binary(max_size=3))
def test_the_pieces_together_are_the_file(rows: list[str], end: str, tail: bytes) -> None:
    data = end.join(rows).encode() + tail
    assert b"".join(piece.data for piece in chapters_of("a.md", data)) == data


def test_titles_and_numbers() -> None:
    pieces = chapters_of("a.md", b"Before.\n# PAGE ONE\n# One\n\n# Chapter 4: *Two* {#two}\nN: Hm.\n")
    assert [(piece.title, piece.number) for piece in pieces] == [("One", None), ("Chapter 4: Two", 4)]
    assert pieces[1].data == b"# Chapter 4: *Two* {#two}\nN: Hm.\n"


def test_chapters_of_a_plain_text_without_headings() -> None:
    text = b"\xef\xbb\xbfCHAPTER ONE\r\n\r\nN: Hm.\r\nChapter 2 is a mess.\r\n\r\n  Chapter Two: Tin\r\n\r\nN: Ah.\r\n"
    made, lines = with_headings("a.txt", text)
    assert lines == [1, 6] and made == text.replace(b"CHAPTER ONE", b"# CHAPTER ONE").replace(
        b"  Chapter", b"# Chapter"
    )
    assert [piece.title for piece in chapters_of("a.txt", made)] == ["CHAPTER ONE", "Chapter Two: Tin"]
    assert with_headings("a.txt", b"# One\n\nChapter Two\n") == (b"# One\n\nChapter Two\n", [])
