"""`weigh`: what a change costs, between two references or as a "what if" that touches nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from ledger.desk.arithmetic.unmarked import guessed
from ledger.desk.arithmetic.wish_words import wish_of
from ledger.desk.comparing import compare_contents, sides, told_text
from ledger.desk.contents import Contents
from ledger.desk.opening import OpenBook
from ledger.desk.pictures.redrawn import redrawn
from ledger.desk.recording.locks_in_the_way import locks_in_the_way
from ledger.desk.reference import WORKING, contents_of, open_desk
from ledger.judge.resting.fingerprint import Fingerprints
from ledger.model.change import DraftChange
from ledger.model.errors import Refusal
from ledger.model.script import Draft
from ledger.plan.block import block_of
from ledger.plan.concerned import panels_concerned, scenes_changed
from ledger.plan.numbering import Numbering, between
from ledger.plan.redo import Touched, redo, script_touched
from ledger.plan.supposed import Supposed, supposed
from ledger.plan.weight import (
    InTheWay,
    Redo,
    Weight,
    flipped,
    mended,
    placed_reveals,
    placed_spreads,
    reveals_of,
)


class Asked(NamedTuple):
    """A "what if" as it was typed."""

    adds: tuple[str, ...] = ()
    cuts: tuple[str, ...] = ()
    moves: tuple[str, ...] = ()

    @property
    def words(self) -> tuple[str, ...]:
        """The same as options of a command line."""
        told = (("--add", self.adds), ("--cut", self.cuts), ("--move", self.moves))
        return tuple(f"{option} {each}" for option, typed in told for each in typed)


def weigh(
    here: Path, references: Sequence[str], asked: Asked, today: date | None = None, *, words_per_page: str | None = None
) -> Weight:
    """What a change costs. Raises Refusal for names that are nothing, and for a "what if" that can't be done.

    With a "what if" one reference at most: what it starts from, your files now unless named.
    """
    day = today or date.today()
    if asked.words:
        return _what_if(here, references, asked, day)
    desk = open_desk(here)
    old, new = sides(desk, references)
    return _between(desk.book, old, new, day, words_per_page)


def _what_if(here: Path, references: Sequence[str], asked: Asked, day: date) -> Weight:
    if len(references) > 1:
        raise Refusal("a what-if starts from one state of the book", remedy="leave the second reference away")
    base = contents_of(open_desk(here), references[0] if references else WORKING)
    draft = _draft(base, _told_name(base, base))
    then = supposed(draft, base.book, wish_of(asked.adds, asked.cuts, asked.moves))
    return _weighed(open_desk(here).book, base, base, _Change(draft, then.draft, then.numbering, then), day, asked)


class _Change(NamedTuple):
    """Two drafts, the numbering between them, and what was supposed or compared."""

    old: Draft
    new: Draft
    numbering: Numbering
    supposed: Supposed | None = None
    told: DraftChange = DraftChange()


def _between(book: OpenBook | None, old: Contents, new: Contents, day: date, words: str | None) -> Weight:
    names = told_text(old, new)
    before, after = _draft(old, names[0] if names else None), _draft(new, names[1] if names else None)
    told = DraftChange()
    if names is None and not old.art:
        compare_contents(old, new)  # raises with the reason
    elif names is not None and old.texts[names[0]] is not new.texts[names[1]]:
        from ledger.compare import compare_drafts

        told = compare_drafts(before, after)
    pages = block_of(before, old.book).story, block_of(after, new.book).story
    change = _Change(before, after, between(before, after, told.pages, pages), None, told)
    state = new.state or (book.working if book else None)
    guesses = guessed(before, state, words), guessed(after, state, words)
    return _weighed(book, old, new, change, day, Asked())._replace(guesses=guesses)


def _weighed(book: OpenBook | None, old: Contents, new: Contents, change: _Change, day: date, asked: Asked) -> Weight:
    before, after = block_of(change.old, old.book), block_of(change.new, new.book)
    numbering, then = change.numbering, change.supposed
    if then and not change.old.pages:
        # Without page marks the pages are those of book.toml, which a "what if" does not touch.
        after = after._replace(story=numbering.new)
    reveals = then.reveals if then else reveals_of(change.new)
    spreads = placed_spreads(change.old, numbering, before, after)
    turns = placed_reveals(change.old, reveals, numbering, before, after)
    panels = panels_concerned(change.told.pages, change.old, numbering)
    return Weight(
        old.name, new.name, before, after, numbering, flipped(numbering, before, after), spreads, turns,
        then.scenes if then else scenes_changed(change.told.scenes), panels,
        _redo(book, old, new, change, day), _locks(book, new, change), mended((*spreads, *turns), after),
        asked.words, new.state.findings if new.state else (),
    )  # fmt: skip


def _redo(book: OpenBook | None, old: Contents, new: Contents, change: _Change, day: date) -> tuple[Redo, ...]:
    """What is to be made again; nothing where no book knows of any round."""
    state = new.state or (book.working if book else None)
    if state is None or new.loose:
        return ()
    prints = Fingerprints(change.old)
    then = change.supposed
    now = then.prints(prints) if then else _prints(change.new)
    script = state.book.main_script()
    pictures: Mapping[str, frozenset[int]] = {} if then or book is None else redrawn(book, old, new, change.numbering)
    touched = Touched(
        change.numbering, script.name if script else None, script_touched(prints, now, change.numbering), now, pictures
    )
    return redo(state, touched, day)


def _prints(draft: Draft) -> Callable[[int], str | None]:
    known = Fingerprints(draft)
    return lambda page: known.of(str(page))


def _locks(book: OpenBook | None, new: Contents, change: _Change) -> tuple[InTheWay, ...]:
    if book is None or new.loose or new.state is None:
        return ()
    then = change.new if change.supposed else None
    return locks_in_the_way(book, new.state, change.numbering, then, now=new.name in (WORKING, ""))


def _told_name(old: Contents, new: Contents) -> str | None:
    names = told_text(old, new)
    return names[0] if names else None


def _draft(contents: Contents, name: str | None) -> Draft:
    """The draft that is weighed; empty where a side holds none."""
    return contents.texts[name]() if name is not None and name in contents.texts else Draft()
