"""Notes with the place they point to in the state of the script that they were made on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledger.desk.notes.gathered import BookShelf
from ledger.desk.opening import OpenBook
from ledger.desk.script_states import ScriptStates
from ledger.judge.notes.history import Moment
from ledger.judge.notes.places import Place, find_place
from ledger.model.life import NoteOn
from ledger.model.note import STATES, Note, NotesRound
from ledger.read.notes_rounds import notes_rounds


@dataclass(frozen=True)
class PlacedNote:
    """A note; `at` is the state it was made on, `place` where it points to there, both None where that is not known.

    `moment` is the round it was made on, of any pass; `led_to` the state that its reply names, `there` the place in it
    that the reply says to look at.
    """

    said: NoteOn
    moment: Moment | None
    at: int | None = None
    place: Place | None = None
    led_to: int | None = None
    there: Place | None = None

    @property
    def narrow(self) -> bool:
        """Whether it points to a phrase or a panel, not to a page or more."""
        return self.place is not None and self.place.kind in ("phrase", "panel")


def placed_notes(book: OpenBook, script: ScriptStates) -> tuple[PlacedNote, ...]:
    """Every note of your files now."""
    rounds = notes_rounds(book.working)
    shelf = BookShelf(book, book.working) if rounds else None
    return tuple(note for each in rounds if shelf for note in _placed(each, shelf.about(each), script))


def _placed(notes: NotesRound, moment: Moment | None, script: ScriptStates) -> Iterator[PlacedNote]:
    name = f"{moment.pass_name}-{moment.number}" if moment else None
    at = script.at(name) if name else None
    for note in notes.notes:
        place = find_place(note.anchor, script.states[at].draft) if at is not None and note.anchor.typed else None
        yield PlacedNote(NoteOn(note, notes.reader, name or notes.on), moment, at, place, *_led_to(note, script))


def _led_to(note: Note, script: ScriptStates) -> tuple[int | None, Place | None]:
    """The state that the deciding reply of a note that was followed names, and the place in it to look at."""
    reply = next((reply for reply in reversed(note.replies) if reply.state in STATES), None)
    at = script.at(reply.where) if reply and reply.where and reply.state == "done" else None
    there = find_place(reply.at, script.states[at].draft) if at is not None and reply and reply.at else None
    return at, there
