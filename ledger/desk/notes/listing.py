"""`notes list`: every note with its evidence and standing, in the content now or at a reference."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from ledger.desk.notes.gathered import BookShelf, findings_of_notes, followed_notes
from ledger.desk.numbers import the_pass
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.reference import state_of_reference
from ledger.desk.wishes import pages_of
from ledger.judge.levels import apply_rules
from ledger.model.entry import Round
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.note import STATES, Followed
from ledger.model.pages import PageSet
from ledger.read.anchors import read_anchor
from ledger.read.notes_rounds import notes_rounds


@dataclass(frozen=True)
class NotesWish:
    """What `notes list` was asked: the content to look at, and whose notes, in which states, on which pass and pages.

    What is None or empty leaves every note. A note is on a page by where its place is now, a cut one by where it was;
    on a pass by what it was made on or was carried to.
    """

    at: str | None = None
    reader: str | None = None
    states: tuple[str, ...] = ()
    pass_name: str | None = None
    pages: str | None = None

    @property
    def everything(self) -> bool:
        """Whether no note is left out."""
        return not (self.reader or self.states or self.pass_name or self.pages)


@dataclass(frozen=True)
class NotesList:
    """The notes, what is to be said about their files, how many notes there are in all, and what notes that are
    carried wait for: pass, round or notes round -> whether it is there by now.
    """

    notes: tuple[Followed, ...]
    findings: tuple[Finding, ...]
    all: int = 0
    there: dict[str, bool] = field(default_factory=dict)

    @property
    def blocked(self) -> bool:
        """Whether a finding blocks, which only `[rules]` can make one do."""
        return any(finding.blocks for finding in self.findings)


def list_notes(here: Path, wish: NotesWish = NotesWish()) -> NotesList:
    """The notes of your files now, against the content now or at `at`. Raises Refusal for a name that is nothing."""
    book = open_book(here)
    state = state_of_reference(book, wish.at) if wish.at else book.working
    shelf = BookShelf(book, state)
    until = _round_named(shelf, wish.at) if wish.at else None
    read = notes_rounds(book.working)
    found = followed_notes(book, state, until, read)
    kept = found if wish.everything else tuple(_wanted(book, found, wish))
    findings = apply_rules(findings_of_notes(book, read), book.working.book.rules)
    return NotesList(kept, findings, len(found), arrived(shelf, found))


def arrived(shelf: BookShelf, found: Iterable[Followed]) -> dict[str, bool]:
    """What notes are carried to: pass, round or notes round -> whether it is there by now."""
    every = list(found)
    rounds = {each.note.round for each in every}
    targets = {each.note.carried_to: 0 for each in every if each.note.carried_to}
    return {to: bool(to in rounds or shelf.moment(to)) for to in targets}


def _round_named(shelf: BookShelf, name: str) -> Round | None:
    return next((entry for entry in shelf.rounds.values() if entry.name == name.removeprefix("entry:")), None)


# -- what was asked for


def _wanted(book: OpenBook, found: Iterable[Followed], wish: NotesWish) -> list[Followed]:
    kept = list(found)
    for state in wish.states:
        if state not in STATES:
            raise Refusal(f"{state!r} is no state of a note", remedy=_nearest(state, STATES))
    if wish.reader:
        kept = _of_reader(kept, wish.reader)
    if wish.states:
        kept = [each for each in kept if each.note.state in wish.states]
    if wish.pass_name:
        name = the_pass(book.working.book, wish.pass_name).name
        kept = [each for each in kept if _of_pass(each.on, name) or _of_pass(each.note.carried_to, name)]
    if wish.pages:
        pages = pages_of(wish.pages, "--page")
        kept = [each for each in kept if _on_pages(each, pages)]
    return kept


def _of_reader(found: list[Followed], asked: str) -> list[Followed]:
    """Notes of the reader of this name, of part of it (`Marsh`), or of the round of this name. Raises Refusal."""
    kept = [each for each in found if each.is_from(asked)]
    if found and not kept:
        known = sorted({each.reader or each.note.round for each in found})
        raise Refusal(f"no notes are from {asked!r}", remedy=_nearest(asked, known))
    return kept


def _nearest(asked: str, known: Iterable[str]) -> str:
    names = list(known)
    near = difflib.get_close_matches(asked, names, 1)
    return f"did you mean {near[0]}?" if near else f"one of: {', '.join(names[:8])}{', ...' if len(names) > 8 else ''}"


def _of_pass(entry: str | None, name: str) -> bool:
    return entry is not None and name in (entry.lower(), entry.lower().rpartition("-")[0])


def _on_pages(followed: Followed, pages: PageSet) -> bool:
    told = followed.place_now or followed.place_then
    anchor = read_anchor(told) if told else followed.note.anchor
    return anchor is not None and anchor.page is not None and anchor.page in pages
