"""The notes rounds of a book at one moment."""

from __future__ import annotations

from ledger.model.note import NotesRound
from ledger.read.notes import read_notes, round_name, with_numbers
from ledger.read.state import BookState

FOLDER = "notes"


def notes_rounds(state: BookState) -> tuple[NotesRound, ...]:
    """The notes rounds of a state in name order; a note without a number goes by the one it will get."""
    files = [state.snapshot.files[path] for path in state.snapshot.under(FOLDER) if round_name(path)]
    plain = [file for file in files if file.regular]
    state.snapshot.store.warm(plain)
    return tuple(with_numbers(read_notes(file.path, state.snapshot.store.read(file))) for file in plain)
