"""Notes files against CommonMark 0.31.2 as markdown-it-py reads it: where its blocks hold task items, and where not.

Task list items themselves are no part of CommonMark but of GitHub Flavored Markdown 0.29, section 5.3.
"""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from ledger.read.notes import read_notes

ROWS = st.sampled_from(
    ["- [ ] a", "- [x] b", "<!--", "-->", "<!-- - [ ] c -->", "```", "~~~", "", "words", "# Heading", "  more",
     "    - [ ] d", "  - done: so", "---"]
)  # fmt: skip


def task_items(text: str) -> set[int]:
    """Lines (from 1) on which CommonMark begins a list item, not nested in another, that starts with a box."""
    lines = text.split("\n")
    items = (t for t in MarkdownIt("commonmark").parse(text) if t.type == "list_item_open" and t.level == 1 and t.map)
    return {t.map[0] + 1 for t in items if t.map and lines[t.map[0]].lstrip().startswith(("- [ ]", "- [x]"))}


@settings(max_examples=200, deadline=None)
@given(st.lists(ROWS, max_size=10).map("\n".join))
@example("words\n    - [ ] d")
@example("- [ ] a\n\n    - [ ] d\n<!--\n- [ ] a\n-->\n- [x] b")
def test_a_note_is_where_commonmark_has_a_task_item(text: str) -> None:
    """Sections 4.4 (indented code), 4.5 (fences), 4.6 (HTML blocks), 5.2 (list items)."""
    assert {note.line for note in read_notes("notes/m.md", text.encode()).notes} == task_items(text)
