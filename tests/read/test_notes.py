"""Notes rounds as people type them: states, anchors, replies, and what can't be read."""

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.note import Anchor, Note, NotesRound
from ledger.read.anchors import read_anchor, spell
from ledger.read.notes import read_notes, round_name, with_numbers
from ledger.read.notes_edit import number_notes

ROUND = """\
# Marsh on script-3
from: E. Marsh
on: script-3
date: 2026-02-11

- [ ] 1 (p12.3) The door should open inward, or the turn has no surprise.
  - query: inward is against fire rules in that harbour, does it matter?
- [x] 2 (scene "Harbour office") Tomas explains too much.
  - done in script-4: cut to two lines
- [x] 3 (p7.2 "You said the map") Too blunt?
  - stet: it is who she is
- [ ] 4 (p30) Can we lose a page here?
  - carried to inks: see when the flood pages are drawn
- [x] 5 (ch 2) Slow start.
- [ ] 6 The title is right.
  - declined: it stays, but not for that reason
"""


def typed(text: str) -> NotesRound:
    return read_notes("notes/marsh-1.md", textwrap.dedent(text).encode())


def only(text: str) -> Note:
    found = typed(text)
    assert len(found.notes) == 1
    return found.notes[0]


def rules(found: NotesRound) -> list[tuple[str, int | None]]:
    return [(finding.rule, finding.line) for finding in found.findings]


def test_a_round_as_the_convention_shows_it() -> None:
    found = read_notes("notes/marsh-1.md", ROUND.encode())
    assert (found.name, found.title, found.reader, found.on, found.date) == (
        "marsh-1", "Marsh on script-3", "E. Marsh", "script-3", "2026-02-11",
    )  # fmt: skip
    assert [(n.id, n.state, n.line, n.end_line) for n in found.notes] == [
        ("marsh-1/1", "query", 6, 7), ("marsh-1/2", "done", 8, 9), ("marsh-1/3", "stet", 10, 11),
        ("marsh-1/4", "carried", 12, 13), ("marsh-1/5", "done", 14, 14), ("marsh-1/6", "declined", 15, 16),
    ]  # fmt: skip
    assert found.notes[0].text == "The door should open inward, or the turn has no surprise."
    assert found.notes[2].anchor == Anchor('p7.2 "You said the map"', page="7", panel=2, quote="You said the map")
    assert found.notes[3].replies[0].where == "inks"
    assert not found.findings


@pytest.mark.parametrize(
    ("words", "on"),
    [
        ("script-3", "script-3"),
        ("Script 3", "Script-3"),
        ("`script-3` (print)", "script-3"),
        ("script", "script"),
        ("", None),
    ],
)
def test_what_a_round_is_on(words: str, on: str | None) -> None:
    assert typed(f"on: {words}\n\n- [ ] 1 a\n").on == on


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("bom", ["", "\ufeff"])
def test_line_ends_and_bom_make_no_difference(end: str, bom: str) -> None:
    found = read_notes("notes/marsh-1.md", (bom + ROUND.replace("\n", end)).encode())
    assert found == read_notes("notes/marsh-1.md", ROUND.encode())


@pytest.mark.parametrize(
    ("words", "anchor"),
    [
        ("p12", Anchor("p12", page="12")),
        ("P012.3", Anchor("P012.3", page="12", panel=3)),
        ("p. 12", Anchor("p. 12", page="12")),
        ("page 12", Anchor("page 12", page="12")),
        ("p24-25", Anchor("p24-25", page="24-25")),
        ("pp. 24-25", Anchor("pp. 24-25", page="24-25")),
        ("p24-25.2", Anchor("p24-25.2", page="24-25", panel=2)),
        ("f1", Anchor("f1", page="f1")),
        ("cover", Anchor("cover", page="cover")),
        ("ch 2", Anchor("ch 2", chapter=2)),
        ("Chapter 2", Anchor("Chapter 2", chapter=2)),
        ('scene "The tide gauge"', Anchor('scene "The tide gauge"', scene="The tide gauge")),
        ("scene “The tide gauge”", Anchor("scene “The tide gauge”", scene="The tide gauge")),
        ('p3 scene "The mole"', Anchor('p3 scene "The mole"', page="3", scene="The mole")),
        ('"water. Then no"', Anchor('"water. Then no"', quote="water. Then no")),
        ('p3 "no, (later)"', Anchor('p3 "no, (later)"', page="3", quote="no, (later)")),
        ("p12 @0.42,0.31", Anchor("p12 @0.42,0.31", page="12", spot=(0.42, 0.31))),
        ("p12 @.5, 1", Anchor("p12 @.5, 1", page="12", spot=(0.5, 1.0))),
    ],
)
def test_anchors(words: str, anchor: Anchor) -> None:
    assert only(f"- [ ] 1 ({words}) Hm.").anchor == anchor


@pytest.mark.parametrize(
    "words", ["", "see above", "p", "p12.", "p25-24", "p12 @2,0.5", "@0.1,0.1", "ch two", 'scene ""']
)
def test_what_is_no_place_is_told_and_the_note_is_kept(words: str) -> None:
    found = typed(f"- [ ] 1 ({words}) Hm.\n- [ ] 2 (p3) Ah.")
    assert rules(found) == [("note-unread", 1)]
    assert [n.text for n in found.notes] == ["Hm.", "Ah."]
    assert found.notes[0].anchor == Anchor(words.strip())


def test_a_later_bracket_is_words() -> None:
    note = only("- [ ] 7 (p3) (really) The lamp (the green one) is lit.")
    assert (note.anchor.page, note.text) == ("3", "(really) The lamp (the green one) is lit.")
    assert only("- [ ] 7 The lamp (p3) is lit.").anchor == Anchor()


@pytest.mark.parametrize(
    ("line", "number", "text"),
    [
        ("- [ ] The lamp", None, "The lamp"),
        ("- [ ] 3rd panel is dark", None, "3rd panel is dark"),
        ("- [ ] 3. The lamp", 3, "The lamp"),
        ("* [ ] 03 The lamp", 3, "The lamp"),
        ("+ [] 3 The lamp", 3, "The lamp"),
        ("-  [ ]  3  The lamp  ", 3, "The lamp"),
        ("- [ ] 12", 12, ""),
        ("- [ ]", None, ""),
    ],
)
def test_numbers_and_boxes(line: str, number: int | None, text: str) -> None:
    note = only(line)
    assert (note.number, note.text) == (number, text)


def test_a_number_used_twice_hides_no_note() -> None:
    found = typed("- [ ] 1 a\n- [ ] 2 b\n- [x] 1 c\n")
    assert rules(found) == [("note-number", 3)]
    assert [(n.number, n.state) for n in found.notes] == [(1, "open"), (2, "open"), (1, "done")]


def test_further_lines_empty_lines_and_backslashes() -> None:
    note = only(r"""
        - [ ] 1 \(sic) is what she writes.
          It goes on,
        even at the margin.

          \- [ ] 2 is a line of the note
            deeper
          \from: here
          \# not a heading
          \\ two
          \o/ stays
        """)
    assert note.text == (
        "(sic) is what she writes.\nIt goes on,\neven at the margin.\n\n- [ ] 2 is a line of the note\n"
        "  deeper\nfrom: here\n# not a heading\n\\ two\n\\o/ stays"
    )
    assert note.anchor == Anchor()
    assert not note.replies


def test_markdown_and_html_in_a_note_are_words() -> None:
    note = only("- [ ] 1 *Not* <!-- cut? --> `here`\n  <b>\n  ```\n  - stet: no\n")
    assert note.text == "*Not* <!-- cut? --> `here`\n<b>\n```"
    assert note.state == "stet"


@pytest.mark.parametrize(
    ("replies", "tick", "state"),
    [
        ("", " ", "open"),
        ("", "x", "done"),
        ("- I will think about it", "x", "done"),
        ("- done", " ", "done"),
        ("- done.", " ", "done"),
        ("- Done in script-4: cut", " ", "done"),
        ("- query: why?\n  - answer: because", " ", "open"),
        ("- query: why?\n  - answer: because", "x", "open"),
        ("- done: cut\n  - open: not yet", "x", "open"),
        ("- stet in script-2: it is who she is", "x", "stet"),
        ("- done: cut\n  - seen in script-5: fine", "x", "done"),
        ("- seen in script-5", " ", "open"),
        ("- mark: 2026-02-12, Ida Kestrel, m1", " ", "open"),
        ("- carried to inks: later", " ", "carried"),
        ("- declined: no", "x", "declined"),
    ],
)
def test_the_last_reply_decides(replies: str, tick: str, state: str) -> None:
    found = typed(f"- [{tick}] 1 (p3) Hm.\n" + (f"  {replies}\n" if replies else ""))
    assert found.notes[0].state == state
    assert not found.findings


def test_where_a_reply_points() -> None:
    note = only('- [x] 1 (p3) Hm.\n  - done in script-4 at p30.2 "so: no": cut: both\n    and more\n')
    (reply,) = note.replies
    assert (reply.state, reply.where, reply.text, reply.line) == ("done", "script-4", "cut: both\nand more", 2)
    assert reply.at == Anchor('p30.2 "so: no"', page="30", panel=2, quote="so: no")


@pytest.mark.parametrize("indent", ["  ", "   ", "    ", "\t"])
def test_replies_may_be_indented_as_editors_do(indent: str) -> None:
    note = only(f"- [ ] 1 (p3) Hm.\n{indent}- query: why?\n{indent}- answer: because\n{indent}- stet: so be it\n")
    assert [reply.state for reply in note.replies] == ["query", "answer", "stet"]


@pytest.mark.parametrize(
    "line", ["- done cut to two lines", "- stet, it is who she is", "- done in script-4 at the end: cut"]
)
def test_a_reply_half_said_is_told(line: str) -> None:
    assert ("note-unread", 2) in rules(typed(f"- [ ] 1 Hm.\n  {line}\n"))


def test_comments_and_code_hold_no_notes() -> None:
    found = typed("""\
        # Round

            - [ ] 8 indented code

        - [ ] 1 a
        <!--
        - [ ] 9 hidden
        -->
        - [ ] 2 b
        ```
        - [ ] 9 hidden
        ```
        ~~~~ text
        - [ ] 9 hidden
        ~~~
        ~~~~
        <!-- - [ ] 9 hidden -->
        - [ ] 3 c
        """)
    assert [n.number for n in found.notes] == [1, 2, 3]
    assert not found.findings


def test_a_comment_never_closed_is_told() -> None:
    found = typed("- [ ] 1 a\n<!-- later\n- [ ] 2 b\n")
    assert [n.number for n in found.notes] == [1]
    assert rules(found) == [("note-unread", 2)]


@pytest.mark.parametrize(
    "line",
    ["-[ ] 2 b", "- [-] 2 b", "• [ ] 2 b", "– [ ] 2 b", "[ ] 2 b", "1. [ ] b", "- 2 (p3) b", "- [ ]2 b", "  - [ ] 2 b"],
)
def test_a_note_meant_but_not_written_as_one_is_told(line: str) -> None:
    found = typed(f"- [ ] 1 a\n{line}\n- [ ] 3 c\n")
    assert [n.number for n in found.notes] == [1, 3]
    assert rules(found) == [("note-unread", 2)]
    assert found.notes[0].text == "a"


@pytest.mark.parametrize(
    ("line", "title"),
    [("# Marsh", "Marsh"), ("## Marsh ##", "Marsh"), ("# Marsh #1", "Marsh #1"), ("# C#", "C#"), ("#", "")],
)
def test_titles(line: str, title: str) -> None:
    assert typed(f"{line}\n- [ ] 1 a\n").title == title


@pytest.mark.parametrize(
    "line", ["# a{}b", "- [ ] 1 a\n  - done at x{}y", "- [ ] 1 ({}", "{}- [ ] a", "from{}: b", "- {}x"]
)
def test_long_lines_take_no_long_time(line: str) -> None:
    for sign in (" ", "\t", "#", "(", '"', "-", "*"):
        read_notes("notes/m.md", line.format(sign * 100_000).encode())


def test_words_that_belong_to_no_note() -> None:
    assert not typed("Dear W,\nhere they are.\n\n- [ ] 1 a\n").findings
    assert rules(typed("- [ ] 1 a\n\np3 is dark\nand p4\n\n- [ ] 2 b\n")) == [("note-unread", 3)]
    assert rules(typed("# Round\nfrom: M\n\np3 is dark\n")) == [("note-unread", 4)]


def test_other_encodings_are_named_and_the_rest_is_read() -> None:
    found = read_notes("notes/m.md", "- [ ] 1 café\n- [ ] 2 b\n".encode("latin-1"))
    assert [n.number for n in found.notes] == [1, 2]
    assert rules(found) == [("note-unread", 1)]
    assert rules(read_notes("notes/m.md", ROUND.encode("utf-16"))) == [("note-unread", 1)]


def test_the_documentation_shows_a_round_that_reads() -> None:
    page = (Path(__file__).parents[2] / "docs/notes.md").read_text("utf-8")
    shown = page.split("```markdown\n")[1].split("```")[0]
    assert [note.number for note in typed(shown).notes] == [1, 2, 3, 4, 5]
    replies = [row.split("`")[1] for row in page.splitlines() if row.startswith("| `- ")]
    for reply in replies:
        found = typed(f"- [ ] 1 a\n  {reply}\n")
        assert found.notes[0].replies[0].state == reply.split()[1].rstrip(":")
        assert not found.findings
    assert len(replies) == 7


def test_only_files_right_in_the_folder_are_rounds() -> None:
    assert round_name("notes/marsh-1.md") == "marsh-1"
    assert round_name("notes/old/marsh-1.md") is None
    assert round_name("notes/marsh-1.txt") is None
    assert round_name("notes/.md") is None
    assert round_name("notes/README.md") is None


def test_a_note_without_a_number_goes_by_the_one_it_will_get() -> None:
    text = "- [ ] a\n- [ ] 4 b\n- [ ] c\n"
    shown = with_numbers(typed(text))
    assert [note.id for note in shown.notes] == ["marsh-1/5", "marsh-1/4", "marsh-1/6"]
    assert shown == read_notes("notes/marsh-1.md", number_notes(text.encode()))


LINES = st.sampled_from([*ROUND.splitlines(), "```", "<!--", "-->", "    - [ ] 9", "\t- x", "\\- y", "---", "- [ ", ""])


@given(st.binary(max_size=200) | st.lists(LINES, max_size=12).map(lambda rows: "\n".join(rows).encode()))
def test_reading_never_raises(data: bytes) -> None:
    found = read_notes("notes/any.md", data)
    assert all(1 <= n.line <= n.end_line for n in found.notes)


@given(
    st.integers(1, 999), st.none() | st.integers(1, 99), st.none() | st.text("ab \"'“”(c)", min_size=1, max_size=9)
)  # fmt: skip
def test_a_place_as_spelled_reads_back(page: int, panel: int | None, words: str | None) -> None:
    words = words.strip() if words and words.strip() and not {'"', "”"} <= set(words) else None
    written = spell(str(page), panel, quote=words)
    assert written is not None
    anchor = read_anchor(written)
    assert anchor == Anchor(written, page=str(page), panel=panel, quote=words)
