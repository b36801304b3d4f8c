"""Blocks of a typed file: the scan of lines and the CommonMark parser read the same."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from hypothesis import example, given, settings
from hypothesis import strategies as st

from ledger.read.blocks import Block, blocks_of
from ledger.read.blocks_parsed import blocks_by_parser
from ledger.read.typed_text import Row, rows_of

TOP = Path(__file__).parents[2]
PIECES = ["#", "## ", "-", "- ", "* ", "+ ", "> ", "1. ", "2) ", "14. ", "   ", "    ", "\t", " ", "---", "***", "_",
          "=", "K: words", "Wren waits.", "[page 2]", "```", "<div>", "word", "\\", ".", "10", ")"]  # fmt: skip
LINES = st.lists(st.lists(st.sampled_from(PIECES), max_size=4).map("".join), max_size=9)


def rows(lines: list[str]) -> list[Row]:
    return rows_of("s.md", "\n".join(lines).encode())[0]


def told(blocks: list[Block]) -> list[tuple[int, tuple[Row, ...]]]:
    """Blocks without the empty ones, which hold nothing to read."""
    return [(block.level, block.rows) for block in blocks]


@settings(max_examples=600, deadline=None)
@given(LINES)
@example(["1. a", "2. b", "c", "", "- d", "  e", "", "f"])
@example(["a", "2. b", "1. c", "14. d"])
@example(["> a", "b", "- c", "# d", "***"])
@example(["-", "a"])
@example(["1.", "", "a"])
@example(["a", "    # b", "    - c"])
@example(["- a", "", "", "# b", "    c"])
@example(["# #", "## a ##", "### b #c", "#\td"])
@example(["* a", "** b", "*** c", "* * *"])
def test_the_scan_and_the_parser_read_the_same(lines: list[str]) -> None:
    typed = rows(lines)
    assert told(blocks_of(typed)) == told(blocks_by_parser(typed))


@settings(max_examples=300, deadline=None)
@given(LINES)
def test_no_word_is_left_out(lines: list[str]) -> None:
    typed = rows(lines)
    for blocks in (blocks_of(typed), blocks_by_parser(typed)):
        read = {number for block in blocks for number, _ in block.rows}
        assert [number for number, text in typed if any(c.isalnum() for c in text) and number not in read] == []


def test_quotes_nested_deep_lose_nothing() -> None:
    typed = rows(["> " * 200 + "K: deep", "", "- " * 200 + "deeper", "", "after"])
    words = " ".join(text for block in blocks_of(typed) for _, text in block.rows)
    assert [word for word in ("K: deep", "deeper", "after") if word not in words] == []


def test_an_ordinary_draft_needs_no_parser() -> None:
    draft = "# One\n\n## Quay\n\n[page 1]\n\nWren waits.\n\nW: You *said* so.\n1. TOM: Yes.\n\n---\n\n- beat\n- beat\n"
    code = (
        "import sys\nimport ledger.read.state\nfrom ledger.read.script import read_script\n"
        f"draft = read_script([('s.md', {draft.encode()!r})], [])\n"
        "assert len(draft.lines) == 5, draft.lines\n"
        "print(sorted({'markdown_it', 'pathlib', 'click', 'difflib'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-S", "-c", code], cwd=TOP, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
