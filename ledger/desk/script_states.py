"""The states of the script in order: its rounds, what slips admitted, your files now."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ledger.desk.history.rounds import in_order
from ledger.desk.numbers import rounds_of
from ledger.desk.opening import OpenBook
from ledger.desk.reference import WORKING, entry_contents
from ledger.model.book import Pass
from ledger.model.change import DraftChange
from ledger.model.entry import Alteration, Entry, Reopen, Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.life import State, Unread
from ledger.model.script import Draft
from ledger.read.patterns import matches


@dataclass(frozen=True)
class ScriptStates:
    """The states that could be read, oldest first, and those that could not."""

    script: Pass
    states: tuple[State, ...]
    unread: tuple[Unread, ...] = ()

    def changes(self) -> list[DraftChange | None]:
        """What happened from each state to the next; None where nothing did."""
        return [_change(old.draft, new.draft) for old, new in pairwise(self.states)]

    def at(self, name: str) -> int | None:
        """The place of the state of this name."""
        return next((n for n, state in enumerate(self.states) if state.name == name), None)


def script_states(book: OpenBook) -> ScriptStates:
    """Every state of the book's script. Raises Refusal for a book that has no text pass.

    The draft of a round is read by the object ids of its entry and by the `book.toml` of its own commit.
    """
    script = book.working.book.main_script()
    if script is None:
        raise Refusal(
            "this book has no script to look through", path="book.toml",
            remedy='declare a [[pass]] of kind = "text" in book.toml',
        )  # fmt: skip
    states: list[State] = []
    unread: list[Unread] = []
    opened: list[Reopen] = []
    for entry in _in_order(book, script):
        if isinstance(entry, Reopen):
            opened.append(entry)
            continue
        read = _draft_or_why(book, entry, script)
        if isinstance(read, str):
            unread.append(Unread(entry.name, read))
        else:
            states.append(State(entry.name, entry, read, tuple(opened)))
            opened = []
    states.append(State(WORKING, None, book.working.draft(script.name), tuple(opened)))
    return ScriptStates(script, tuple(states), tuple(unread))


def _in_order(book: OpenBook, script: Pass) -> list[Entry]:
    """The script's rounds by number, slips and reopenings where history has them."""
    entries = book.working.entries
    rounds: list[Entry] = [*rounds_of(entries, script.name)]
    between = [e for e in entries if isinstance(e, Reopen) or (isinstance(e, Alteration) and _names(e, script))]
    if not between:
        return rounds
    kept: list[Entry] = list(rounds)
    ordered = in_order(book, [*rounds, *between])
    for slip in (entry for entry in ordered if not isinstance(entry, Round)):
        before = [entry for entry in ordered[: ordered.index(slip)] if entry in kept]
        kept.insert(max((kept.index(entry) for entry in before), default=-1) + 1, slip)
    return kept


def _names(slip: Alteration, script: Pass) -> bool:
    """Whether a slip admits content of the script."""
    return any(matches(path, script) for path in slip.files)


def _draft_or_why(book: OpenBook, entry: Entry, script: Pass) -> Draft | str:
    """The draft that an entry holds, or why it can't be read."""
    try:
        texts = entry_contents(book, entry, entry.name).texts
        return texts[script.name]() if script.name in texts else Draft()
    except ContentMissing as missing:
        return missing.why
    except Refusal as refused:
        return refused.message


def _change(old: Draft, new: Draft) -> DraftChange | None:
    if old.scenes == new.scenes and old.pages == new.pages:
        return None
    from ledger.compare import compare_drafts

    return compare_drafts(old, new)
