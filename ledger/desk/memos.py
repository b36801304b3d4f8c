"""`memo`: what changed between two states of the book, told to a reader."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from ledger.desk.comparing import compare_contents, sides
from ledger.desk.contents import Contents, of_state
from ledger.desk.notes.gathered import followed_notes
from ledger.desk.numbers import newest_round
from ledger.desk.opening import OpenBook
from ledger.desk.pictures.picture_memory import remember, remembered
from ledger.desk.reference import WORKING, entry_contents, open_desk
from ledger.model.entry import Alteration, Entry, Reopen, Round
from ledger.model.memo import MemoFacts
from ledger.model.note import Followed
from ledger.model.stale import Stale
from ledger.read.notes_rounds import notes_rounds
from ledger.read.state import BookState
from ledger.render.changes.document import in_page_order
from ledger.render.memo.change_memo import memo_markdown

_SETTLED = ("done", "stet", "declined", "carried")


def memo(here: Path, references: Sequence[str], reader: str | None = None, *, page: bool = False) -> str:
    """The memo as Markdown, or as an HTML page. Raises Refusal as `compare` does."""
    desk = open_desk(here)
    old, new = sides(desk, references)
    found = compare_contents(old, new, desk.repo)
    facts = _facts(desk.book, old, new, reader=reader)
    if page:
        from ledger.desk.pictures.plates import plates
        from ledger.render.memo.page import memo_html

        return memo_html(found, replace(facts, plates=plates(old, new, in_page_order(found.pictures))))
    return memo_markdown(found, facts)


def round_memo(book: OpenBook, previous: Round, entry: Round, change: BookState) -> str:
    """The memo of a round that is about to be recorded; `change` is the book as it will stand."""
    old = entry_contents(book, previous, previous.name)
    new = of_state(change, entry.name, [entry.pass_name])
    new = Contents(entry.name, new.book, new.texts, new.art, entry.pass_name, entry.date, state=change)
    facts = _facts(book, old, new, message=entry.message)
    return memo_markdown(compare_contents(old, new, book.repo), facts)


def _facts(
    book: OpenBook | None, old: Contents, new: Contents, *, reader: str | None = None, message: str = ""
) -> MemoFacts:
    entry = _entry_named(new)
    return MemoFacts(
        new.book.title or "A draft",
        old.name,
        new.name,
        old.when,
        new.when,
        reader,
        message or (entry.message if entry else ""),
        tuple(_notes(book, old, new)) if book and new.state else (),
        _became_stale(book, old, new),
        _slips(old, new),
    )


def _entry_named(contents: Contents) -> Entry | None:
    entries = contents.state.entries if contents.state else ()
    return next((entry for entry in entries if entry.name == contents.name), None)


def _became_stale(book: OpenBook | None, old: Contents, new: Contents) -> Stale:
    """Pages that rest on older content on the new side and did not on the old one; where only words changed."""
    from ledger.judge.resting.findings import stale

    if new.state is None:
        return Stale()
    kinds = remembered(book.repo) if book else {}
    seen = len(kinds)
    known = stale(old.state, kinds) if old.state else Stale()
    found = stale(new.state, kinds)
    if book and len(kinds) > seen:
        remember(book.repo, kinds)
    before = {(each.pass_name, each.page) for each in known.pages}
    return Stale(
        tuple(each for each in found.pages if (each.pass_name, each.page) not in before),
        tuple(each for each in found.reworded if each not in known.reworded),
    )


def _slips(old: Contents, new: Contents) -> tuple[Alteration, ...]:
    """The alteration slips that the new side has and the old one had not, then the reopenings, which count as well."""
    if old.state is None or new.state is None:
        return ()
    known = {entry.name for entry in old.state.entries}
    found = [e for e in new.state.entries if isinstance(e, Alteration) and e.name not in known]
    return tuple(sorted(found, key=lambda e: (isinstance(e, Reopen), e.number)))


def _notes(book: OpenBook, old: Contents, new: Contents) -> Iterable[Followed]:
    """The notes this change may answer, each with what became of its place on the new side."""
    assert new.state is not None
    rounds = {each.path: each for each in notes_rounds(book.working)}
    entry = _entry_named(new)
    for followed in followed_notes(book, new.state, entry if isinstance(entry, Round) else None):
        about = _round_named(rounds[followed.note.path].on)
        if about is None or _carried_here(followed, new) or _concerns(about, followed, old, new):
            yield followed


def _carried_here(followed: Followed, new: Contents) -> bool:
    """Whether a note was put off to the pass that the memo is of, or to the very round."""
    to = followed.note.carried_to
    if to is None or new.named is None:
        return False
    pass_name, number = _round_named(to) or (to, None)
    return new.named == pass_name and number in (None, _number(new, pass_name))


def _concerns(about: tuple[str, int], followed: Followed, old: Contents, new: Contents) -> bool:
    """Whether a note made on this round was there to be answered, and was not answered before the old side."""
    pass_name, number = about
    if new.named not in (None, pass_name):
        return False
    before, after = _number(old, pass_name), _number(new, pass_name)
    if after is not None and number >= after:
        return False
    if followed.note.state not in _SETTLED or before is None:
        return True
    last = next((reply for reply in reversed(followed.note.replies) if reply.state in _SETTLED), None)
    answered = _round_named(last.where) if last and last.state != "carried" else None
    if answered is None or answered[0] != pass_name:
        return number >= before
    return before < answered[1] <= (after or answered[1])


def _number(contents: Contents, pass_name: str) -> int | None:
    """The round of a pass that a side stands for; None for your files now, and where no round is known."""
    if contents.name == WORKING:
        return None
    named = _round_named(contents.name)
    if named is not None and named[0] == pass_name:
        return named[1]
    newest = newest_round(contents.state.entries, pass_name) if contents.state else None
    return newest.number if newest else None


def _round_named(name: str | None) -> tuple[str, int] | None:
    """The pass and the number in a name such as `script-4`."""
    stem, _, number = (name or "").rpartition("-")
    return (stem, int(number)) if stem and number.isdecimal() else None
