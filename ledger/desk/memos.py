"""`memo`: what changed between two states of the book, told to a reader."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from ledger.desk.comparing import compare_contents, sides
from ledger.desk.contents import Contents, of_state
from ledger.desk.notes import followed_notes, notes_rounds
from ledger.desk.opening import OpenBook
from ledger.desk.reference import entry_contents, open_desk
from ledger.desk.standing import stale_of
from ledger.model.change import Comparison
from ledger.model.entry import Alteration, Entry, Reopen, Round
from ledger.model.memo import MemoFacts, StalePass
from ledger.model.note import Followed, NotesRound
from ledger.read.state import BookState
from ledger.render.memo import memo_markdown

_SETTLED = ("done", "stet", "declined", "carried")


def memo(here: Path, references: Sequence[str], reader: str | None = None) -> tuple[str, Comparison]:
    """The memo as Markdown, and the comparison it tells. Raises Refusal as `compare` does."""
    old, new = sides(here, references)
    found = compare_contents(old, new)
    book = open_desk(here).book
    return memo_markdown(found, _facts(book, old, new, reader=reader)), found


def round_memo(book: OpenBook, previous: Round, entry: Round, change: BookState) -> str:
    """The memo of a round that is about to be recorded; `change` is the book as it will stand."""
    old = entry_contents(book, previous, previous.name)
    new = of_state(change, entry.name, [entry.pass_name])
    new = Contents(entry.name, new.book, new.texts, new.art, entry.pass_name, entry.date, state=change)
    facts = _facts(book, old, new, message=entry.message)
    return memo_markdown(compare_contents(old, new), facts)


def _facts(
    book: OpenBook | None, old: Contents, new: Contents, *, reader: str | None = None, message: str = ""
) -> MemoFacts:
    entry = _entry_named(new)
    stale, reworded = _became_stale(old, new)
    return MemoFacts(
        new.book.title or "A draft",
        old.name,
        new.name,
        old.when,
        new.when,
        reader,
        message or (entry.message if entry else ""),
        tuple(_notes(book, old, new)) if book and new.state else (),
        stale,
        reworded,
        _slips(old, new),
    )


def _entry_named(contents: Contents) -> Entry | None:
    entries = contents.state.entries if contents.state else ()
    return next((entry for entry in entries if entry.name == contents.name), None)


def _became_stale(old: Contents, new: Contents) -> tuple[tuple[StalePass, ...], tuple[str, ...]]:
    """Pages that rest on older content on the new side and did not on the old one; where only words changed."""
    if new.state is None:
        return (), ()
    known, said = stale_of(old.state) if old.state else ({}, ())
    pages, words = stale_of(new.state)
    fresh = {name: tuple(p for p in labels if p not in known.get(name, ())) for name, labels in pages.items()}
    told = tuple(StalePass(name, labels) for name, labels in fresh.items() if labels)
    return told, tuple(each for each in words if each not in said)


def _slips(old: Contents, new: Contents) -> tuple[Alteration, ...]:
    """The alteration slips that the new side has and the old one had not."""
    if old.state is None or new.state is None:
        return ()
    known = {entry.name for entry in old.state.entries}
    found = [e for e in new.state.entries if isinstance(e, Alteration) and not isinstance(e, Reopen)]
    return tuple(sorted((e for e in found if e.name not in known), key=lambda e: e.number))


def _notes(book: OpenBook, old: Contents, new: Contents) -> Iterable[Followed]:
    """The notes this change may answer, each with what became of its place on the new side."""
    assert new.state is not None
    rounds = {each.path: each for each in notes_rounds(book.working)}
    entry = _entry_named(new)
    for followed in followed_notes(book, new.state, entry if isinstance(entry, Round) else None):
        notes = rounds[followed.note.path]
        if _made_before(notes, new) and (
            followed.note.state not in _SETTLED or _settled_here(followed, notes, old, new)
        ):
            yield followed


def _made_before(notes: NotesRound, new: Contents) -> bool:
    """Whether a notes round was made on an earlier round of the pass that is told."""
    number = _number(notes.on, new.named)
    mine = _number(new.name, new.named)
    if notes.on is None or new.named is None:
        return True
    return number is not None and (mine is None or number < mine)


def _settled_here(followed: Followed, notes: NotesRound, old: Contents, new: Contents) -> bool:
    """Whether a note was answered between the two sides, as far as its replies say."""
    last = next((r for r in reversed(followed.note.replies) if r.state in _SETTLED), None)
    if last is None or last.where is None or last.state == "carried":
        return notes.on is None or notes.on == old.name or old.named is None
    return last.where == new.name or _number(new.name, new.named) is None


def _number(name: str | None, pass_name: str | None) -> int | None:
    """The round's number in a name such as `script-4`; None where it is no round of the pass."""
    stem, _, number = (name or "").rpartition("-")
    return int(number) if stem == pass_name and number.isdigit() else None
