"""A state of a script, read as a whole or page by page, whichever is asked for; and two of them set side by side."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.judge.agreed.remembered import Remembered
from ledger.judge.pairing.changed_pages import on_changed_pages
from ledger.judge.pairing.collation import Collation, laid_together
from ledger.judge.pairing.people import name_in
from ledger.judge.pairing.script_pages import ScriptInPages, in_pages
from ledger.judge.pairing.sheets import sheets_of
from ledger.model.book import Pass, Person
from ledger.model.script import Draft
from ledger.read.state import OUTLINE, BookState

Cast = Sequence[Person]


class Script:
    """A script pass of a state: its files (path, bytes) in reading order and the cast by which they are read."""

    __slots__ = ("_in_pages", "_pass_name", "_state", "cast", "files")

    def __init__(self, state: BookState, pass_name: str) -> None:
        self._state, self._pass_name = state, pass_name
        self.files, self.cast = state.texts(pass_name), tuple(state.book.cast)
        self._in_pages: list[ScriptInPages | None] = []

    @property
    def supposed(self) -> bool:
        """Whether another draft stands in the place of its files, as a "what if" has it."""
        return self._pass_name in self._state.supposed

    @property
    def draft(self) -> Draft:
        """All of it, read."""
        return self._state.draft(self._pass_name)

    @property
    def in_pages(self) -> ScriptInPages | None:
        """Page by page; None where that is not certain, see `ledger.judge.pairing.script_pages`."""
        if not self._in_pages:
            read = self._pass_name != OUTLINE and not self.supposed
            self._in_pages.append(in_pages(self.files, self.cast) if read else None)
        return self._in_pages[0]


def script_of(state: BookState, script: Pass, remembered: Remembered) -> Script:
    """The script of a state; two states with the same one have one object. Raises ContentMissing."""
    made = Script(state, script.name)
    if made.supposed:
        return made
    key = (made.files, made.cast, script.name == OUTLINE)
    return remembered.value("script", key, (), lambda: made)


def side_by_side(old: Script, new: Script, cast: Cast, remembered: Remembered) -> Collation:
    """The collation of two states of a script, of the pages that changed alone where that says the same."""
    names = tuple(cast)

    def laid() -> Collation:
        return _on_changed_pages(old, new, names) or _as_a_whole(old, new, names, remembered)

    return remembered.value("collation", (id(old), id(new), names), (old, new), laid)


def _on_changed_pages(old: Script, new: Script, cast: tuple[Person, ...]) -> Collation | None:
    if old.cast != new.cast or [path for path, _ in old.files] != [path for path, _ in new.files]:
        return None
    before = old.in_pages
    after = new.in_pages if before is not None else None
    return on_changed_pages(before, after, cast) if before is not None and after is not None else None


def _as_a_whole(old: Script, new: Script, cast: tuple[Person, ...], remembered: Remembered) -> Collation:
    then = remembered.value("sheets", (id(old), cast), (old,), lambda: sheets_of(old.draft, name_in(cast)))
    now = remembered.value("sheets", (id(new), ()), (new,), lambda: sheets_of(new.draft))
    return laid_together(old.draft, new.draft, then, now)
