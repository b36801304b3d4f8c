"""Edits of a notes file: one line in, one byte changed, every other byte as it was."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.errors import Refusal
from ledger.model.note import Reply
from ledger.read.anchors import read_anchor
from ledger.read.note_lines import escaped, split_lines, unescaped
from ledger.read.notes import read_notes
from ledger.read.notes_edit import add_note, add_reply, new_round, number_notes

ROUND = b"# Marsh\nfrom: E. Marsh\n\n- [ ] 1 (p12.3) The door.\n  - query: why?\n\n- [x] 2 Fine.\n"
DONE = Reply("done", "cut to two lines", 0, "script-4")


def inserted(before: bytes, after: bytes) -> bytes:
    """The one run of bytes put in; fails where anything else changed."""
    at = next((n for n, pair in enumerate(zip(before, after, strict=False)) if pair[0] != pair[1]), len(before))
    put = after[at : at + len(after) - len(before)]
    assert before[:at] + put + before[at:] == after
    return put


def only_longer(before: bytes, after: bytes) -> bool:
    """Whether every byte is still there in its order, so that bytes were put in and none changed."""
    left = iter(after)
    return all(byte in left for byte in before)


def test_a_reply_is_put_in_under_its_note() -> None:
    after = add_reply(ROUND, 1, Reply("answer", "because", 0))
    assert after == ROUND.replace(b"why?\n", b"why?\n  - answer: because\n")


def test_the_tick_mirrors_the_state() -> None:
    after = add_reply(ROUND, 1, DONE)
    assert after == ROUND.replace(b"[ ] 1", b"[x] 1").replace(
        b"why?\n", b"why?\n  - done in script-4: cut to two lines\n"
    )
    assert b"[ ] 2" in add_reply(ROUND, 2, Reply("query", "why?", 0))
    assert b"[x] 2" in add_reply(ROUND, 2, Reply("seen", "fine", 0, "script-5"))
    assert b"- [x] 1 a\n  - stet: no" in add_reply(b"- [] 1 a\n", 1, Reply("stet", "no", 0))


def test_where_to_look_and_where_it_went() -> None:
    at = read_anchor("p30.2")
    assert b"  - done in script-4 at p30.2: cut to two lines\n" in add_reply(ROUND, 2, DONE._replace(at=at))
    assert b"  - carried to inks: later\n" in add_reply(ROUND, 2, Reply("carried", "later", 0, "inks"))


def test_a_reply_stands_as_deep_as_the_others() -> None:
    after = add_reply(b"- [ ] 1 a\n\t- query: why?\n", 1, Reply("answer", "because\nof that", 0))
    assert after == b"- [ ] 1 a\n\t- query: why?\n\t- answer: because\n\t  of that\n"
    assert read_notes("notes/m.md", after).notes[0].replies[1].text == "because\nof that"


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_a_line_put_in_ends_as_the_files_own(end: bytes) -> None:
    before = ROUND.replace(b"\n", end)
    assert inserted(before, add_reply(before, 2, DONE)) == b"  - done in script-4: cut to two lines" + end
    assert inserted(before, add_note(before, "More.")[0]) == b"- [ ] 3 More." + end


def test_a_last_line_without_end() -> None:
    assert add_reply(b"- [ ] 1 a\r\n- [x] 2 b", 2, DONE) == (
        b"- [ ] 1 a\r\n- [x] 2 b\r\n  - done in script-4: cut to two lines"
    )
    assert add_note(b"# Marsh", "a") == (b"# Marsh\n\n- [ ] 1 a", 1)
    assert add_note(b"", "a") == (b"- [ ] 1 a\n", 1)


def test_notes_typed_without_a_number_get_the_next_ones() -> None:
    before = b"\xef\xbb\xbf- [ ] (p3) a\n- [ ] 7 b\n*  [X]   c\n- [ ]\n"
    assert number_notes(before) == b"\xef\xbb\xbf- [ ] 8 (p3) a\n- [ ] 7 b\n*  [X]   9 c\n- [ ] 10\n"


def test_numbers_stay_short_enough_to_be_read() -> None:
    assert number_notes(b"- [ ] 999999999 a\n- [ ] b\n- [ ] c\n") == b"- [ ] 999999999 a\n- [ ] 1 b\n- [ ] 2 c\n"


def test_a_note_goes_after_the_last_one_and_before_what_follows() -> None:
    before = b"- [ ] 1 a\n  more\n\n## Later\n<!-- kept -->\n"
    assert add_note(before, "b\n\n- c", anchor="p3") == (
        b"- [ ] 1 a\n  more\n- [ ] 2 (p3) b\n\n  \\- c\n\n## Later\n<!-- kept -->\n", 2,
    )  # fmt: skip


def test_two_notes_with_one_number_are_told_apart_by_line() -> None:
    assert add_reply(b"- [ ] 1 a\n- [ ] 1 b\n", 1, DONE, line=2).startswith(b"- [ ] 1 a\n- [x] 1 b\n  - done")


def test_refused() -> None:
    with pytest.raises(Refusal, match="no note with number 9"):
        add_reply(ROUND, 9, DONE)
    with pytest.raises(Refusal, match="can't take another line"):
        add_note(b"# Marsh\n<!-- later\n", "a")
    with pytest.raises(Refusal, match="UTF-16"):
        add_note("- [ ] 1 a\n".encode("utf-16"), "b")


def test_a_new_round() -> None:
    made, number = add_note(new_round("Marsh on script-3", reader="E. Marsh", on="script-3", date="2026-02-11"), "Hm.")
    assert number == 1
    assert made == b"# Marsh on script-3\nfrom: E. Marsh\non: script-3\ndate: 2026-02-11\n\n- [ ] 1 Hm.\n"
    assert not read_notes("notes/marsh-1.md", made).findings


ROWS = st.sampled_from(
    ["# Marsh", "from: M", "- [ ] a", "- [x] 4 b", "- [ ] 4 c", "* [ ] (p3) d", "  more", "  - query: why", "\t- done",
     "", "    - deep", "prose", "<!-- - [ ] 9 -->", "```", "1. x", "- no box", " - [ ] e", "\\- f"]
)  # fmt: skip
FILES = st.lists(ROWS, max_size=10).flatmap(
    lambda rows: st.sampled_from(["\n", "\r\n", "\r"]).map(lambda end: (end.join(rows)).encode())
)
TEXTS = st.text(
    st.sampled_from("ab-*#[]()<>`\\: \t\n\r\x00\x0b\x85\u2028é1.") | st.characters(exclude_categories=["Cs"]),
    min_size=1,
).filter(lambda text: text.strip(" \t\r\n") != "")


def plain(text: str) -> str:
    """A text as it reads back: no blanks at line ends, none before the first word."""
    rows = [row.rstrip(" \t") for row in text.replace("\r\n", "\n").replace("\r", "\n").split("\n")]
    return "\n".join(rows).strip("\n").lstrip(" \t")


@given(FILES)
def test_numbering_only_puts_in_and_keeps_ids(before: bytes) -> None:
    after = number_notes(before)
    assert only_longer(before, after)
    old, new = (read_notes("notes/m.md", data).notes for data in (before, after))
    assert [n.text for n in old] == [n.text for n in new]
    assert all(a.number in (None, b.number) and b.number is not None for a, b in zip(old, new, strict=True))
    assert number_notes(after) == after


@given(FILES, TEXTS, st.sampled_from(["", "p3", 'p12.3 "You said"']))
def test_a_note_added_reads_back_and_leaves_every_other_byte(before: bytes, text: str, anchor: str) -> None:
    try:
        after, number = add_note(before, text, anchor=anchor)
    except Refusal:
        assert b"```" in before
        return
    inserted(number_notes(before), after)
    old, new = (read_notes("notes/m.md", data).notes for data in (before, after))
    assert [n.text for n in new] == [*(n.text for n in old), plain(text)]
    assert (new[-1].number, new[-1].anchor.typed, new[-1].replies) == (number, anchor, ())


@given(FILES, TEXTS, st.sampled_from(["done", "query", "stet", "declined", "open", "answer", "seen"]))
def test_a_reply_leaves_every_other_byte_but_the_tick(before: bytes, text: str, state: str) -> None:
    notes = read_notes("notes/m.md", number_notes(before)).notes
    if not notes:
        return
    target = notes[len(notes) // 2]
    after = add_reply(before, target.number or 0, Reply(state, text, 0, "script-4"), line=target.line)
    numbered = split_lines(number_notes(before))
    numbered[target.line - 1] = split_lines(after)[target.line - 1]
    inserted(b"".join(numbered), after)
    new = read_notes("notes/m.md", after).notes
    assert [(n.number, n.text) for n in new] == [(n.number, n.text) for n in notes]
    reply = new[len(notes) // 2].replies[-1]
    assert (reply.state, reply.where, reply.text) == (state, "script-4", plain(text))


@given(st.text(st.sampled_from("\\-# a:(1.") | st.characters()))
def test_the_backslash_goes_as_it_came(line: str) -> None:
    assert unescaped(escaped(line)) == line
