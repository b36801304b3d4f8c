"""The generated parts of the documents are what the code says."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

DOCS = Path(__file__).parent.parent / "docs"
MADE = runpy.run_path(str(DOCS / "make_reference.py"))


@pytest.mark.parametrize("name", ["commands", "configuration"])
def test_the_reference_is_up_to_date(name: str) -> None:
    assert (DOCS / f"{name}.md").read_text("utf-8") == MADE[name](), "run: make reference"


def test_no_words_of_the_reference_are_set_as_code() -> None:
    """CommonMark takes a paragraph that is indented by four blanks for code."""
    blocks = MarkdownIt("commonmark").parse(MADE["commands"]())
    assert [block.content for block in blocks if block.type == "code_block"] == []
