"""The states of a script in order: rounds by number, slips and reopenings where history has them."""

from __future__ import annotations

import pytest

from ledger.desk.notes.finding import placed_notes
from ledger.desk.opening import open_book
from ledger.desk.script_states import ScriptStates, script_states
from ledger.model.entry import Alteration, Reopen
from tests.books import Book
from tests.desk.salt_lantern import SECOND, WHEN, entered, recorded, salt_lantern

BY = {"date": WHEN, "by": "Ada Quill <ada@quill.example>", "reason": "the lamp must be lit"}


@pytest.fixture
def lantern(tmp_path) -> Book:
    return salt_lantern(tmp_path / "book")


def states(book: Book) -> ScriptStates:
    return script_states(open_book(book.top))


def slipped(book: Book, number: int, text: str) -> None:
    """A slip that admits this script, in one commit with it."""
    book.write({"script/01.md": text})
    book.git("add", "script")
    files = {path: oid for path, oid in book.staged().items() if path.startswith("script/")}
    recorded(book, Alteration(path=f"ledger/alteration-{number}.toml", number=number, pages="4", files=files,
                              scopes=("structure",), passes=("script",), **BY))  # fmt: skip


def test_slips_and_reopenings_stand_between_the_rounds(lantern: Book) -> None:
    third = SECOND.replace("Up. Now.", "Down. Now.")
    slipped(lantern, 1, third)
    recorded(lantern, Reopen(path="ledger/reopen-1.toml", number=1, pages="4", scopes=("wording",), passes=("inks",),
                             **BY))  # fmt: skip
    lantern.write({"script/01.md": third.replace("Now.", "Now!")})
    lantern.commit("louder")
    entered(lantern, "script", 3)
    found = states(lantern)
    assert [state.name for state in found.states] == ["script-1", "script-2", "alteration-1", "script-3", "."]
    assert [[entry.name for entry in state.opened] for state in found.states] == [[], [], [], ["reopen-1"], []]
    said = [next(line.text for line in state.draft.lines if "second landing" in line.text) for state in found.states]
    assert [words[:10] for words in said] == ["Up. Now. B", "Up. Now. B", "Down. Now.", "Down. Now!", "Down. Now!"]


def test_a_slip_of_pictures_is_no_state_of_the_script(lantern: Book) -> None:
    ids = {path: oid for path, oid in lantern.staged().items() if path.startswith("art/")}
    recorded(lantern, Alteration(path="ledger/alteration-1.toml", number=1, pages="2", files=ids, scopes=("drawing",),
                                 passes=("inks",), **BY))  # fmt: skip
    assert [state.name for state in states(lantern).states] == ["script-1", "script-2", "."]


def test_rounds_go_by_number(lantern: Book) -> None:
    for number in range(3, 12):
        entered(lantern, "script", number)
    assert [state.name for state in states(lantern).states][:-1] == [f"script-{n}" for n in range(1, 12)]


def test_a_round_is_read_under_the_names_of_its_own_day(lantern: Book) -> None:
    lantern.write({"book.toml": lantern.read("book.toml").replace(b"Tomas Arde", b"Abel Arde")})
    lantern.commit("another name")
    found = states(lantern)
    speakers = [{line.speaker for line in state.draft.lines} for state in found.states]
    assert "Tomas Arde" in speakers[1]
    assert "Abel Arde" in speakers[2]
    assert dict(found.changes()[1].cast.renamed) == {"Tomas Arde": "Abel Arde"}


def test_nothing_is_compared_where_nothing_changed(lantern: Book) -> None:
    first, second = states(lantern).changes()
    assert first is not None
    assert second is None


def test_notes_with_the_place_they_point_to_and_the_one_they_led_to(lantern: Book) -> None:
    lantern.write({
        "notes/marsh.md": "# Marsh\nfrom: E. Marsh\non: script-1\n\n- [x] 1 (p3) Too late?\n"
        '  - done in script-2 at p3: the boat comes first\n- [ ] 2 ("nowhere said") Hm.\n- [ ] 3 A good start.\n',
        "notes/osk.md": "# Osk\non: inks-1\n\n- [ ] 1 (p3) Too dark.\n",
    })  # fmt: skip
    found = {each.said.note.id: each for each in placed_notes(open_book(lantern.top), states(lantern))}
    first = found["marsh/1"]
    assert (first.at, first.led_to, first.place and first.place.page) == (0, 1, "3")
    assert [line.text[:8] for line in first.there.lines] == ["The boat", "Who moor"]
    assert (found["marsh/2"].at, found["marsh/2"].place) == (0, None)
    assert found["marsh/3"].place is None
    assert (found["osk/1"].at, found["osk/1"].said.on) == (None, "inks-1")
