"""The notes as a terminal shows them."""

from __future__ import annotations

from ledger.model.finding import Finding
from ledger.model.note import Followed
from ledger.read.notes import read_notes
from ledger.render.notes.text import notes_text
from ledger.render.plain import columns

NOTES = read_notes(
    "notes/marsh-1.md",
    b"""\
- [ ] 1 (p12.3) The door should open inward, or the turn has no surprise at all, and then why turn the page here?
- [x] 2 (p7.2 "You said the map") Too blunt?
  - stet in script-2: it is who she is
- [ ] 3 (hm) Where?
- [ ] 4 Lovely.
  - carried to inks: see then
- [ ] 5 (p3) \x1b[31mRed\x07
""",
).notes


def shown(*followed: Followed, findings: tuple[Finding, ...] = ()) -> str:
    return notes_text(followed, findings)


def test_what_asks_for_a_person_comes_first() -> None:
    text = shown(
        Followed(NOTES[1], 'p7.2 "You said the map"', 'p9.2 "You said the chart"', "reworded", ("stet-but-changed",)),
        Followed(NOTES[0], "p12.3", "p14.3", "untouched", ("two-on-one-spot",), ("ida-1/4",)),
        Followed(NOTES[2], None, None, "unplaced"),
        Followed(NOTES[3]),
    )
    assert (
        text
        == """\
4 notes: 2 open, 1 stet, 1 carried.

2 notes to look at
  marsh-1/2, stet, p7.2 "You said the map" → p9.2 "You said the chart": changed
    look: stet, but the place changed
    Too blunt?
    - stet in script-2: it is who she is
  marsh-1/1, open, p12.3 → p14.3: the same under another number
    look: two rounds of notes on one spot (also ida-1/4)
    The door should open inward, or the turn has no surprise at all, and then
    why turn the page here?

Open
  marsh-1/3, open, (hm): not found in the round these notes are on
    Where?

Carried to inks
  marsh-1/4, carried to inks, the whole book
    Lovely.
    - carried to inks: see then"""
    )


def test_eighty_columns_and_no_control_characters() -> None:
    finding = Finding(
        "note-unread", "query", "these words belong to no note", "notes/marsh-1.md", 9, remedy="indent them"
    )
    text = shown(Followed(NOTES[4], "p3", None, "cut", ("open-but-changed",)), Followed(NOTES[0], "p12.3", "p12.3"),
                 findings=(finding,))  # fmt: skip
    assert all(columns(row) <= 80 for row in text.split("\n"))
    assert "\x1b" not in text and "\\x1b[31mRed\\x07" in text
    assert "marsh-1/5, open, p3: cut" in text
    assert "look: note-unread  notes/marsh-1.md:9" in text or "look: note-unread notes/marsh-1.md:9" in text


def test_a_book_without_notes_shows_how_to_begin() -> None:
    assert "inkledger notes add" in shown()
