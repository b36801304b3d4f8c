"""`notes list`: every note with its evidence and standing, in the content now or at a reference."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ledger.desk.notes.gathered import BookShelf, findings_of_notes, followed_notes
from ledger.desk.opening import open_book
from ledger.desk.reference import state_of_reference
from ledger.judge.levels import apply_rules
from ledger.model.entry import Round
from ledger.model.finding import Finding
from ledger.model.note import Followed


@dataclass(frozen=True)
class NotesList:
    """The notes, and what is to be said about their files."""

    notes: tuple[Followed, ...]
    findings: tuple[Finding, ...]

    @property
    def blocked(self) -> bool:
        """Whether a finding blocks, which only `[rules]` can make one do."""
        return any(finding.blocks for finding in self.findings)


def list_notes(here: Path, at: str | None = None) -> NotesList:
    """The notes of your files now, against the content now or at `at`. Raises Refusal for a name that is nothing."""
    book = open_book(here)
    state = state_of_reference(book, at) if at else book.working
    until = _round_named(BookShelf(book, state), at) if at else None
    return NotesList(followed_notes(book, state, until), apply_rules(findings_of_notes(book), book.working.book.rules))


def _round_named(shelf: BookShelf, name: str) -> Round | None:
    return next((entry for entry in shelf.rounds.values() if entry.name == name.removeprefix("entry:")), None)
