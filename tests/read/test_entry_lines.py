"""The quick reader of entries says what a TOML parser says, or says nothing."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.read.entry_lines import read_plain_layout

ROUND = b"""\
entry   = "pass"
pass    = "inks"
round   = 12
date    = 2026-03-02T17:20:00+01:00
by      = "Ines <ines@example.org>"
packet  = true
scopes  = ["structure", "drawing"]
basis   = { script = "script-4", pencils = "pencils-2" }

[files]
"art/inks/p001.tif" = "3b18e5"
"art/inks/p002.tif" = ""

[made_from]
"1" = { pencils = "9c1f", script = "aa-bb" }
"2" = { pencils = "9c1f" }
"""
# The writer leaves no empty line before a table's header; the reader takes the header with its line end.
PLAIN = ROUND.replace(b"\n\n[", b"\n[")


def parsed(data: bytes) -> object:
    """What a TOML parser says of it; None where it is no TOML."""
    try:
        return tomllib.loads(data.decode())
    except ValueError:
        return None


def test_the_written_layout() -> None:
    found = read_plain_layout(PLAIN)
    assert found is not None and found == parsed(PLAIN)
    assert list(found["files"]) == ["art/inks/p001.tif", "art/inks/p002.tif"]


@pytest.mark.parametrize(
    "line",
    [
        'scopes = ["structure""drawing"]',
        'scopes = ["structure" "drawing"]',
        'scopes = ["structure", ]',
        'basis = { script = "script-4", }',
        'basis = { script = "a"pencils = "b" }',
        'basis = { script = "a", script = "b" }',
        "basis = {  }",
        "basis = {}",
        "scopes = []",
        'by = "a" # who',
        "by = 'a'",
        'by = "\\u0041"',
        'by = "a\tb"',
        "round = 01",
        "round = 1_000",
        "round = +1",
        "round = 0",
        "round = 99999999999999999999",
        "date = 2026-02-30",
        "date = 0000-01-01",
        "date = 2026-03-02T25:00:00+01:00",
        "date = 2026-03-02T12:00:60+01:00",
        "date = 2026-03-02T12:00:00+05:60",
        "date = 2026-03-02T12:00:00+24:00",
        "date = 2026-03-02T12:00:00Z",
        "date = 2026-03-02T12:00:00",
        "date = 2026-03-02T12:00:00.120000-00:30",
        'by = "a"\nby = "b"',
        "by",
        "= 1",
        "[pass]",
        "packet = True",
        'by   ="a"',
        'by = "\u2028"',
        "date = \u0662\u0660\u0662\u0666-03-02",
    ],
)
def test_a_line_of_another_form_is_read_alike_or_not_at_all(line: str) -> None:
    for data in (f'entry = "pass"\n{line}\n'.encode(), f"{line}\n".encode(), line.encode()):
        found = read_plain_layout(data)
        assert found is None or found == parsed(data), data


@pytest.mark.parametrize(
    "tail",
    [
        '[files]\n"a" = "1"\n"a" = "2"\n',
        '[files]\n"a" = "1""b" = "2"\n',
        "[files]\n",
        "[files]",
        '[files]\n\n"a" = "1"\n',
        '[made_from]\n"1" = { a = "1" }\n',
        '[files]\n[made_from]\n"1" = { a = "1", }\n',
        '[files]\n[made_from]\n"1" = { a = "1" }\n"1" = { b = "1" }\n',
        "[files]\n[made_from]\n",
        '[files]\n"a" = "1"\n[more]\n',
        '[files]\n"a" = "1"\n\n[files]\n"b" = "1"\n',
        '[files]\n"a" = "1" \n',
        '[files]\n"a\\\\b" = "1"\n',
        "[ files ]\n",
    ],
)
def test_blocks_of_another_form_are_read_alike_or_not_at_all(tail: str) -> None:
    data = f'entry = "pass"\n{tail}'.encode()
    found = read_plain_layout(data)
    assert found is None or found == parsed(data), data


def test_what_is_no_utf8_is_left_to_others() -> None:
    assert read_plain_layout(b'by = "\xff"\n') is None


@settings(max_examples=300)
@given(
    st.integers(0, len(PLAIN) - 1),
    st.integers(0, 12),
    st.sampled_from(
        [b"", b'"', b", ", b" ", b"\n", b"{ ", b" }", b"[", b"]", b"=", b"a", b"0", b"\\", b"#", b"\r", b"\0", b"."]
    ),
)
def test_an_entry_spoilt_anywhere_is_read_alike_or_not_at_all(at: int, gone: int, put: bytes) -> None:
    data = PLAIN[:at] + put + PLAIN[at + gone :]
    found = read_plain_layout(data)
    assert found is None or found == parsed(data)
