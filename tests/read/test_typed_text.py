"""Bytes to lines: whatever the line ends, blanks and comments, every line keeps its number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.read.typed_text import decoded, rows_of


def rows(text: str) -> list[tuple[int, str]]:
    return rows_of("a.md", text.encode())[0]


def rules(data: bytes) -> list[tuple[str, int | None]]:
    return [(finding.rule, finding.line) for finding in rows_of("a.md", data)[1]]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", []),
        ("\n", [(1, "")]),
        ("a", [(1, "a")]),
        ("a\n", [(1, "a")]),
        ("a\n\nb", [(1, "a"), (2, ""), (3, "b")]),
        ("a  \t\nb", [(1, "a"), (2, "b")]),
        ("a\r\n\r\nb\r", [(1, "a"), (2, ""), (3, "b")]),
        ("a\rb\n\rc", [(1, "a"), (2, "b"), (3, ""), (4, "c")]),
        ("a\x0bb\u2028c\x85d", [(1, "a b c d")]),
        ("a\u00a0b\u3000c", [(1, "a b c")]),
        ("W: Up, up, and up.\0 Now.", [(1, "W: Up, up, and up.\ufffd Now.")]),
        ("\ta", [(1, "\ta")]),
    ],
)
def test_lines_are_those_an_editor_counts(text: str, found: list[tuple[int, str]]) -> None:
    assert rows(text) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a <!-- x --> b", [(1, "a  b")]),
        ("a\n<!-- x -->\nb", [(1, "a"), (3, "b")]),
        ("a <!-- x\ny\nz --> b", [(1, "a"), (3, " b")]),
        ("<!-- x\n\ny -->\nb", [(4, "b")]),
        ("<!--><b", [(1, "<b")]),
        ("<!---><b", [(1, "<b")]),
        ("<!-- a --><!-- b -->c", [(1, "c")]),
        (r"\<!-- x -->", [(1, r"\<!-- x -->")]),
        (r"\\<!-- x -->a", [(1, r"\\a")]),
        ("a -->", [(1, "a -->")]),
        ("<!-- é\n -->ü", [(2, "ü")]),
    ],
)
def test_comments_are_not_there(text: str, found: list[tuple[int, str]]) -> None:
    assert rows(text) == found
    assert rules(text.encode()) == []


def test_a_comment_without_end_takes_nothing_away() -> None:
    assert rows("a\nb <!-- c\nd") == [(1, "a"), (2, "b <!-- c"), (3, "d")]
    assert rules(b"a\nb <!-- c\nd") == [("text-dropped", 2)]
    assert rows("<!-- a\nb <!-- c --> d") == [(1, "<!-- a"), (2, "b  d")]
    assert rules(b"<!-- a\nb <!-- c --> d") == [("text-dropped", 1)]


@pytest.mark.parametrize("codec", ["utf-16", "utf-32", "utf-16-le", "utf-16-be", "cp1252", "latin-1"])
def test_another_encoding_is_read_and_named_once(codec: str) -> None:
    text = "W: The café is shut, said Zoë.\nT: Olé!\n"
    assert [row for _, row in rows_of("a.md", text.encode(codec))[0]] == text.splitlines()
    assert [rule for rule, _ in rules(text.encode(codec))] == ["encoding"]


@pytest.mark.parametrize(
    ("codec", "name", "text"),
    [
        ("cp932", "Shift-JIS", "W: 潮が来る、と彼は言った。"),
        ("euc_jp", "EUC-JP", "W: 潮が来る、と彼は言った。"),
        ("euc_kr", "EUC-KR", "W: 물이 들어오고 있어."),
    ],
)
def test_encodings_of_the_east_are_known_by_the_signs_that_no_other_has(codec: str, name: str, text: str) -> None:
    found, (finding,) = rows_of("a.txt", text.encode(codec))
    assert found == [(1, text)] and finding.rule == "encoding" and f"looks like {name} and" in finding.message


@pytest.mark.parametrize("text", ["Ärger, sagt er.", "Où va-t-il ? Là.", "ÅÄÖ förstås.", "Señor ¿qué?"])
def test_western_accents_are_not_taken_for_those(text: str) -> None:
    assert rows_of("a.txt", text.encode("cp1252"))[0] == [(1, text)]


def test_what_a_merge_left_is_told_and_every_word_read() -> None:
    text = "a\n<<<<<<< HEAD\nW: Push.\n=======\nW: Pull.\n>>>>>>> other\nb\n"
    assert [row for _, row in rows(text)] == text.splitlines()
    assert rules(text.encode()) == [("text-dropped", 2)]
    assert rules(b"a <<<<<<< b\n>>>>>>> c\n<<<<<<< d\n") == []


@pytest.mark.parametrize(
    "data", [b"\x89PNG\r\n\x1a\n" + bytes(60), bytes(100), b"\xff\xd8\xff\xe0" + bytes(range(32)) * 4]
)
def test_a_file_that_is_no_text_is_named_and_empty(data: bytes) -> None:
    assert rules(data) == [("encoding", 1)]
    assert all(not row.strip("\ufffd") for _, row in rows_of("a.md", data)[0])


def test_where_the_first_strange_byte_stands() -> None:
    assert rules(b"a\r\nb\rc\nd\xe9") == [("encoding", 4)]


@given(st.text(max_size=60))
def test_utf8_is_read_as_it_is(text: str) -> None:
    data = text.encode("utf-8", "ignore")
    if b"\0" not in data and not data.startswith((b"\xff", b"\xfe", b"\xef\xbb\xbf")):
        assert decoded("a.md", data) == (data.decode(), [])


@given(st.binary(max_size=60))
def test_any_bytes_are_lines_in_order(data: bytes) -> None:
    found, findings = rows_of("a.md", data)
    numbers = [number for number, _ in found]
    assert numbers == sorted(set(numbers)) and all(number > 0 for number in numbers)
    assert all("\n" not in row and "\r" not in row and row == row.rstrip() for _, row in found)
    assert all(finding.line and finding.remedy for finding in findings)
