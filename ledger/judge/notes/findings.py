"""Findings of notes files: what can't be read in them, and rounds that nobody can place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ledger.judge.notes.history import NoteHistory
from ledger.model.finding import Finding
from ledger.model.note import NotesRound

#: Endings under which people save notes that are then no notes rounds.
_ALMOST = (".txt", ".markdown", ".mdown", ".text")


def judge_notes(rounds: Sequence[NotesRound], history: NoteHistory, others: Iterable[str] = ()) -> tuple[Finding, ...]:
    """Everything to say about these rounds; `others` are paths in the notes folder that are no rounds."""
    return (
        *(finding for each in rounds for finding in each.findings),
        *(finding for each in rounds for finding in _on_nothing(each, history)),
        *_not_rounds(others),
    )


def _on_nothing(notes: NotesRound, history: NoteHistory) -> Iterator[Finding]:
    if notes.on and history.about(notes) is None:
        yield Finding(
            "note-unread", "query", f"these notes are on {notes.on}, which is no round that was entered", notes.path,
            notes.on_line, remedy="name the round that was read, as in 'on: script-3'",
        )  # fmt: skip


def _not_rounds(paths: Iterable[str]) -> Iterator[Finding]:
    for path in paths:
        if (
            path.lower().endswith((*_ALMOST, ".md"))
            and path.count("/") == 1
            and not path.lower().endswith("/readme.md")
        ):
            yield Finding(
                "note-unread", "query", "this file was not read: a notes round is a plain file that ends in .md", path,
                remedy="give it a name that ends in .md",
            )  # fmt: skip
