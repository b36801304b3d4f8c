"""Sign-offs that a change runs into, and what a slip has to name so that it goes through."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.desk.judging import charges
from ledger.desk.opening import OpenBook
from ledger.judge.agreed.closed import closings
from ledger.judge.agreed.late import late_change
from ledger.judge.agreed.telling import Charge
from ledger.model.entry import Lock
from ledger.model.pages import ALL_PAGES, pages_text
from ledger.model.script import Draft
from ledger.model.snapshot import FileAt
from ledger.plan.numbering import Numbering
from ledger.plan.weight import InTheWay
from ledger.read.state import BookState


def locks_in_the_way(
    book: OpenBook, state: BookState, numbering: Numbering, supposed: Draft | None, *, now: bool
) -> tuple[InTheWay, ...]:
    """By pass and number. `supposed` is the draft of a "what if", laid over the state; `now` whether the state is what
    lies in the book's folder, so that it can be judged as a commit of it would be.
    """
    if not any(isinstance(entry, Lock) for entry in state.entries):
        return ()
    found: dict[str, InTheWay] = {}
    told = [*(_judged(book, _laid_over(state, supposed)) if now else ()), *_by_number(state, numbering, now)]
    for each in told:
        other = found.get(each.entry)
        if other is None:
            found[each.entry] = each
        else:
            scopes = tuple(dict.fromkeys((*other.scopes, *each.scopes)))
            found[each.entry] = other._replace(scopes=scopes, why=(*other.why, *each.why))
    return tuple(sorted(found.values(), key=lambda each: (each.entry.rpartition("-")[0], _number(each.entry))))


def _number(entry: str) -> int:
    number = entry.rpartition("-")[2]
    return int(number) if number.isdecimal() else 0


def _laid_over(state: BookState, supposed: Draft | None) -> BookState:
    """The state with another script, in files that git has not seen, so that what was agreed is set against it."""
    script = state.book.main_script()
    if supposed is None or script is None:
        return state
    files = {**state.snapshot.files, **{path: FileAt(path, None) for path in state.paths(script)}}
    there = state.snapshot._replace(files=files)
    return BookState(there, state.book, state.entries, state.findings, supposed={script.name: supposed})


def _judged(book: OpenBook, state: BookState) -> Iterator[InTheWay]:
    """What the doors would say of it, sign-off by sign-off."""
    stopped = [each for each in charges(book, state) if each.level == "block" and each.lock and each.difference]
    by_lock: dict[str, list[Charge]] = {}
    for each in stopped:
        if each.lock is not None and each.difference is not None and each.difference.scope != "drawing":
            by_lock.setdefault(each.lock.name, []).append(each)
    for name, mine in by_lock.items():
        late = late_change(mine, ALL_PAGES)
        if late is not None:
            rules = tuple(dict.fromkeys(each.difference.rule for each in mine if each.difference))
            yield InTheWay(name, late.scopes, late.pages.text(), rules)


def _by_number(state: BookState, numbering: Numbering, now: bool) -> Iterator[InTheWay]:
    """Sign-offs of pictures that would go by another number or be set aside; of structure where nothing was judged."""
    moved = [page for page, at in numbering.to.items() if at != page]
    for closing in closings(state.entries, state.entries):
        for scope, why in (("drawing", "their exports would be renamed"), ("structure", "their numbers change")):
            if scope == "structure" and now:
                continue
            closed = [str(page) for page in moved if closing.closes(scope, str(page))]
            closed = [page for page in closed if not closing.opened_by(page)]
            if closed:
                yield InTheWay(closing.lock.name, (scope,), pages_text(closed), (why,))
