"""Findings of notes files: what can't be read in them, and rounds that nobody can place."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from ledger.judge.notes.history import NoteHistory
from ledger.model.finding import Finding
from ledger.model.note import Note, NotesRound

#: Endings under which people save notes that are then no notes rounds.
_ALMOST = (".txt", ".markdown", ".mdown", ".text")


def judge_notes(
    rounds: Sequence[NotesRound],
    history: NoteHistory,
    others: Iterable[str] = (),
    passes: Collection[str] = (),
) -> tuple[Finding, ...]:
    """Everything to say about these rounds; `others` are paths in the notes folder that are no rounds, `passes` the
    passes of the book."""
    named = {*passes, *(each.name.lower() for each in rounds)}
    return (
        *(finding for each in rounds for finding in each.findings),
        *(finding for each in rounds for finding in _on_nothing(each, history)),
        *(finding for each in rounds for note in each.notes for finding in _said_of_nothing(note, history, named)),
        *_not_rounds(others),
    )


def _on_nothing(notes: NotesRound, history: NoteHistory) -> Iterator[Finding]:
    if notes.on and history.about(notes) is None:
        yield Finding(
            "note-unread", "query", f"these notes are on {notes.on}, which is no round that was entered", notes.path,
            notes.on_line, remedy="name the round that was read, as in 'on: script-3'",
        )  # fmt: skip


def _said_of_nothing(note: Note, history: NoteHistory, named: Collection[str]) -> Iterator[Finding]:
    """Replies that name what is neither a pass nor a round, entered or next to be; a notes round may be named too."""
    for reply in note.replies:
        where = (reply.where or "").lower()
        if not where or where in named or history.shelf.moment(where) or _comes_next(where, history, named):
            continue
        said = f"a reply to {note.id} names {reply.where}, which is no pass and no round"
        yield Finding(
            "note-unread", "query", said, note.path, reply.line,
            remedy="name a round that was entered, as in 'done in script-4: ...', or carry it to a pass",
        )  # fmt: skip


def _comes_next(where: str, history: NoteHistory, named: Collection[str]) -> bool:
    """Whether it is the name of the round of a pass that is not entered yet, but will be the next."""
    pass_name, _, number = where.rpartition("-")
    newest = history.newest(pass_name)
    return pass_name in named and number == str((newest.number or 0) + 1 if newest else 1)


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
