"""Where a key of a TOML file stands: complaints name the line a person has to look at."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.errors import Refusal
from ledger.read.toml_text import KeyPath, end_of_table, line_of_key, load_toml

WHOLE = '''\
# title = "no key"
title = "A [book] = 'x'" # pages = 3
'quoted key' = 1
"also \\u0041" = 2
story.pages = 12

[page]  # pages [and] more
trim_mm = [
  168.3, # ] no end
  "]",
]
note = """
[fake]
ppi = 1
"""
ppi = 400

[[pass]]
name = "script"

[[ pass ]]
name = "inks"
from = ["script"]
  [pass.more]
  deep = { a = 1, b = [ { c = "}" } ] }
after = \'\'\'
x = 2
\'\'\'
last = true
'''


@pytest.mark.parametrize(
    ("wanted", "line"),
    [
        (("title",), 2), (("quoted key",), 3), (("also A",), 4), (("story", "pages"), 5), (("page",), 7),
        (("page", "trim_mm"), 8), (("page", "note"), 12), (("page", "ppi"), 16), (("pass", 0), 18),
        (("pass", 0, "name"), 19), (("pass", 1), 21), (("pass", 1, "name"), 22), (("pass", 1, "from"), 23),
        (("pass", 1, "more"), 24), (("pass", 1, "more", "deep"), 25), (("pass", 1, "more", "after"), 26),
        (("pass", 1, "more", "last"), 29),
    ],
)  # fmt: skip
def test_the_line_of_a_key(wanted: KeyPath, line: int) -> None:
    tomllib.loads(WHOLE)
    assert line_of_key(WHOLE, wanted) == line
    assert line_of_key(WHOLE.replace("\n", "\r\n"), wanted) == line


def test_a_key_that_is_not_there_is_told_at_the_table_that_would_hold_it() -> None:
    assert line_of_key(WHOLE, ("pass", 0, "files")) == 18
    assert line_of_key(WHOLE, ("pass", 1, "more", "deep", "a")) == 25
    assert line_of_key(WHOLE, ("fake",)) is None
    assert line_of_key(WHOLE, ("pages",)) is None
    assert line_of_key("", ("title",)) is None


BARE = st.text("abcXYZ019_-", min_size=1, max_size=6)
VALUES = st.recursive(
    st.one_of(
        st.integers(-9, 99).map(str),
        st.booleans().map(str).map(str.lower),
        st.text("a =#[]{}'\\", max_size=6).map(lambda text: '"' + text.replace("\\", "\\\\") + '"'),
        st.text('a =#[]{}"\\', max_size=6).map(lambda text: f"'{text}'"),
        st.text("a =#[]{}\n", max_size=8).map(lambda text: f'"""{text}"""'),
    ),
    lambda inner: st.lists(inner, max_size=3).map(lambda parts: "[ # [\n" + "".join(f"{p},\n" for p in parts) + "]"),
    max_leaves=4,
)


@given(st.dictionaries(BARE, st.dictionaries(BARE, VALUES, max_size=4), max_size=4), st.booleans())
def test_every_key_is_found_where_it_was_typed(tables: dict[str, dict[str, str]], remarks: bool) -> None:
    text, lines = "", {}
    for table, keys in tables.items():
        lines[(table,)] = text.count("\n") + 1
        text += f"[{table}]{' # [x] = 1' if remarks else ''}\n"
        for key, value in keys.items():
            lines[(table, key)] = text.count("\n") + 1
            text += f"{key} = {value}{' # y = 2' if remarks else ''}\n"
    tomllib.loads(text)
    assert {path: line_of_key(text, path) for path in lines} == lines


@pytest.mark.parametrize(
    ("text", "table", "before"),
    [
        ('[cast]\nW = "Wren"\n\n[page]\n', "cast", "\n[page]\n"), ("[cast] # nobody yet\n[page]\n", "cast", "[page]\n"),
        ('[cast]\r\nW = [\r\n"x",\r\n]\r\n\r\n[page]\r\n', "cast", "\r\n[page]\r\n"),
        ('[page]\nppi = 3\n[cast]\nW = "Wren"', "cast", ""), ('[ "cast" ]\nW = 1\n# end', "cast", "# end"),
    ],
)  # fmt: skip
def test_where_a_line_more_belongs(text: str, table: str, before: str) -> None:
    at = end_of_table(text, (table,))
    assert at is not None and text[at:] == before


def test_a_table_that_has_no_header_has_no_end() -> None:
    assert end_of_table('cast = { W = "Wren" }\n', ("cast",)) is None
    assert end_of_table('note = """\n[cast]\n"""\n', ("cast",)) is None


# -- what is refused


@pytest.mark.parametrize(
    ("data", "line", "said"),
    [
        (b"a = 1\nb = \xff\n", 2, "not written in UTF-8"),
        ("a = 1\nb = \N{LATIN SMALL LETTER E WITH ACUTE}\n".encode("utf-16"), 1, "not written in UTF-8"),
        (b"a = 1\nb = [1,\n", 2, "no readable TOML"), (b"a = 1\n\na = 2\n", 3, "no readable TOML"),
        (b'a = "x\n', 1, "no readable TOML"), (b"a = 1\x00\n", 1, "no readable TOML"),
    ],
)  # fmt: skip
def test_a_broken_file_is_refused_at_its_line(data: bytes, line: int, said: str) -> None:
    with pytest.raises(Refusal, match=said) as refused:
        load_toml(data, "book.toml")
    assert (refused.value.path, refused.value.line) == ("book.toml", line)
    assert refused.value.remedy


def test_brackets_without_end_are_refused() -> None:
    with pytest.raises(Refusal, match="nested too deep"):
        load_toml(b"a = " + b"[" * 20_000, "book.toml")


def test_a_byte_order_mark_is_no_part_of_the_text() -> None:
    assert load_toml(b"\xef\xbb\xbfa = 1\r\n", "book.toml") == ({"a": 1}, "a = 1\r\n")


@given(st.binary(max_size=40))
def test_any_bytes_are_values_or_a_refusal(data: bytes) -> None:
    try:
        values, text = load_toml(data, "book.toml")
    except Refusal:
        return
    assert all(line_of_key(text, (key,)) for key in values)


def test_a_table_without_a_header_of_its_own_stands_where_it_is_first_named() -> None:
    text = '\n[book.more]\ntitle = "x"\n\n[[pass]]\nname = "script"\nfrom.a = 1\n\n[book]\n'
    assert line_of_key(text, ("book",)) == 9
    assert line_of_key(text.replace("[book]", ""), ("book",)) == 2
    assert line_of_key(text, ("pass",)) == 5
    assert line_of_key(text, ("pass", 0, "from")) == 7
