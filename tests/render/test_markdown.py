"""Words of the book in a Markdown letter: nothing in them acts, and nothing is escaped that would not act."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from ledger.render.markdown import words


def shown(markdown: str) -> str:
    """What a conforming reader shows of one paragraph (markdown-it-py, CommonMark preset)."""
    tokens = MarkdownIt("commonmark").parse(markdown)
    assert [token.type for token in tokens] == ["paragraph_open", "inline", "paragraph_close"], markdown
    assert all(child.type == "text" for child in tokens[1].children or ()), markdown
    return "".join(child.content for child in tokens[1].children or ())


@given(st.text(st.sampled_from("a1. #>*_`[]<&;-+=~|\\!()"), min_size=1).map(str.strip).filter(bool))
def test_words_are_shown_as_typed(text: str) -> None:
    assert shown(words(text)) == text
    assert shown("x " + words(text, leading=False)) == "x " + text


@pytest.mark.parametrize("text", ["01.md:9", "- no", "# 4", "> more", "1) one"])
def test_what_acts_at_the_start_of_a_line_only_is_left_alone_elsewhere(text: str) -> None:
    assert words(text, leading=False) == text
    assert words(text) != text
