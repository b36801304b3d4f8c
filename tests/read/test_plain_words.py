"""The words of a line without its signs, as the CommonMark parser shows them."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from ledger.read.plain_words import plain_words

PIECES = ["a", "b", " ", "*", "**", "_", "__", "***", ".", "(", '"', "\\", "`", "``", "&amp;", "&#42;", "&nope;", "é",
          "“", "$", "€"]  # fmt: skip
#: Links and unknown tags stay as they are typed, so the parser is asked without them.
PARSER = MarkdownIt("commonmark").disable(["link", "image", "autolink", "html_inline"])


def shown(text: str) -> str:
    parts = PARSER.parseInline(text)[0].children or []
    return " ".join("".join(" " if "break" in part.type else part.content for part in parts).split())


@settings(max_examples=500, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=14).map("".join))
@example("a` a `")
@example("**foo*bar*baz**")
@example("*foo**bar**baz*")
@example("foo******bar*********baz")
@example("_(bar)_.")
def test_emphasis_escapes_entities_and_code_go_as_the_parser_has_it(text: str) -> None:
    assert plain_words(text) == shown(text)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("a <b>bolder</b> sigh", "a bolder sigh"),
        ("one<br>two", "one two"),
        ("a <sigh> of <b class='x'>relief", "a <sigh> of <b class='x'>relief"),
        ("see the [chart](chart.png)", "see the [chart](chart.png)"),
        ("R&amp;D &ampfoo; &#0; &#xD800; &hearts;", "R&D &ampfoo; \ufffd \ufffd ♥"),
        ("  two\t blanks\u00a0here ", "two blanks here"),
    ],
)
def test_what_stays_and_what_goes(typed: str, words: str) -> None:
    assert plain_words(typed) == words
