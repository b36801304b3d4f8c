"""What became of a line, in words."""

from __future__ import annotations

from datetime import date

import pytest

from ledger.model.change import LineChange, SceneChange
from ledger.model.entry import Alteration
from ledger.model.life import NoteOn, State, Turn
from ledger.model.note import Anchor, Note, Reply
from ledger.model.script import Draft, Line
from ledger.render.lives.words import admitted_words, note_text, state_name, turn_wordings, turn_words
from tests.render.drafts import GULLS, OFFICE, STAIRS, said, scene

MAP = said("1.2", "Wren", "You said the map was here.")
STAYED = SceneChange("kept", (OFFICE,), (OFFICE,))
SPLIT = SceneChange("split", (OFFICE,), (OFFICE, scene("Behind the desk", index=1)))
MERGED = SceneChange("merged", (OFFICE, STAIRS), (OFFICE,))
TITLED = SceneChange("kept", (OFFICE,), (scene("The office"),), renamed=True)
NEW, CUT = SceneChange("new", (), (GULLS,)), SceneChange("cut", (OFFICE,), ())


def words(kind: str, old: Line | None, new: Line | None, around: SceneChange | None = STAYED, **more: object) -> str:
    return turn_words(Turn(1, LineChange(kind, old, new), around, **more))


def test_how_a_line_comes_in() -> None:
    assert words("added", None, MAP) == "came in, said by Wren"
    assert words("added", None, MAP._replace(role="action", speaker="")) == "came in, as action"
    assert words("added", None, MAP._replace(role="caption")) == "came in, as a caption (Wren)"
    assert words("added", None, MAP._replace(role="sfx", speaker="")) == "came in, as a sound"
    assert words("added", None, MAP, NEW) == 'came in with the new scene "Gulls", said by Wren'
    assert words("added", None, MAP, back=True) == "came back, said by Wren"


def test_how_it_leaves() -> None:
    assert words("cut", MAP, None) == "cut; it stood on p1.2"
    assert words("cut", MAP._replace(page=None, panel=None), None, CUT) == 'cut, with its scene "Harbour office"'


@pytest.mark.parametrize(
    ("kind", "new", "around", "told"),
    [
        ("same", MAP, STAYED, ""),
        ("same", MAP, None, ""),
        ("reassigned", MAP._replace(speaker="Ada"), STAYED, "given to Ada, Wren had it before"),
        (
            "reassigned", MAP._replace(role="caption", speaker="", page="2"), STAYED,
            "given to a caption, Wren had it before, on p1.2",
        ),
        ("moved", MAP._replace(page="3"), STAYED, "moved here from p1.2"),
        ("same", MAP._replace(page="2"), STAYED, "the same spot under another number, p1.2 before"),
        ("same", MAP._replace(page="7"), STAYED._replace(moved=True), "came here from p1.2 with its scene"),
        ("same", MAP, STAYED._replace(moved=True), "moved with its scene"),
        (
            "same", MAP._replace(scene=1), SPLIT,
            'its scene "Harbour office" was split, and it stands in "Behind the desk"',
        ),
        ("same", MAP, MERGED, 'its scene "Harbour office" became one with "The stairs"'),
        ("same", MAP, TITLED, 'its scene "Harbour office" is called "The office" from here on'),
        ("reworded", MAP._replace(text="You said it was here."), STAYED, "reworded"),
        (
            "moved", MAP._replace(text="You said it was here.", panel=3), STAYED,
            "moved here from p1.2; reworded",
        ),
    ],
)  # fmt: skip
def test_what_becomes_of_it(kind: str, new: Line, around: SceneChange | None, told: str) -> None:
    assert words(kind, MAP, new, around) == told


def test_a_speaker_renamed_throughout() -> None:
    assert words("same", MAP, MAP._replace(speaker="Wanda"), renamed=("Wren", "Wanda")) == (
        "Wren is called Wanda from here on"
    )


def test_the_wordings_that_are_shown() -> None:
    new = MAP._replace(text="You said the chart was here.")
    assert turn_wordings(Turn(0, LineChange("added", None, MAP))) == ["You said the map was here."]
    assert turn_wordings(Turn(1, LineChange("reworded", MAP, new))) == ["You said the <map \u2192 chart> was here."]
    assert turn_wordings(Turn(1, LineChange("moved", MAP, MAP._replace(page="9")))) == []
    assert turn_wordings(Turn(1, LineChange("cut", MAP, None))) == []


def test_states_and_slips() -> None:
    slip = Alteration(
        path="ledger/alteration-3.toml", number=3, date=date(2026, 3, 2), by="Ines", alteration_class="EA",
        reason="the lamp must be lit.", asked_by="E. Marsh",
    )  # fmt: skip
    assert state_name(State("alteration-3", slip, Draft())) == "alteration-3 (2 Mar 2026)"
    assert state_name(State(".", None, Draft())) == "your files now"
    assert admitted_words(slip) == "EA (editor's): the lamp must be lit. Asked for by E. Marsh."
    assert admitted_words(None) == ""


def test_a_note_with_its_last_reply() -> None:
    note = Note("marsh", 2, "open", "Too blunt?", Anchor("p1"), "notes/marsh.md", 5, 5)
    assert note_text(NoteOn(note, "E. Marsh", "script-3")) == "note marsh/2, E. Marsh on script-3: Too blunt? - open"
    replies = (Reply("done", "softer", 6, "script-4"),)
    assert note_text(NoteOn(note._replace(replies=replies, text=""), "", None)) == (
        "note marsh/2: (no words) - done in script-4: softer"
    )


def test_control_signs_of_a_file_are_shown() -> None:
    told = words("reassigned", MAP, MAP._replace(speaker="W\x1b[2J"))
    assert "\x1b" not in told
