"""What a commit holds of the ledger and of `book.toml`, followed along a history; and what a sign-off in it guards."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ledger.desk.history.concerning import BOOK, Known, concerns
from ledger.gitedge.history import PathChange
from ledger.judge.agreed.baseline import script_pass
from ledger.judge.agreed.closed import Closing
from ledger.model.book import Pass
from ledger.model.entry import Alteration, Entry, Lock
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.snapshot import FileAt, Snapshot, Store
from ledger.read.config import read_book
from ledger.read.entries import entry_name
from ledger.read.patterns import matches
from ledger.read.state import BookState, entry_at, followed, read_state

#: Entries that close, admit or open nothing: adding one changes nothing of what stands.
_PLAIN = ("pass", "handoff", "delivery")


class Guard:
    """Which paths a commit must touch to change anything that is closed."""

    __slots__ = ("_passes", "_paths", "locked", "touched")

    def __init__(self, state: BookState | None, before: Guard | None = None) -> None:
        entries = state.entries if state else ()
        locks = [entry for entry in entries if isinstance(entry, Lock)]
        self.locked = bool(locks)
        named = (entry for entry in entries if isinstance(entry, Lock | Alteration))
        self._paths = frozenset[str]().union(*(entry.files for entry in named))
        self._passes = tuple(dict.fromkeys(each for lock in locks if state for each in _closed(state, lock)))
        #: Path -> whether it is the ledger's, or asked for where anything is signed off. What a guard before this one
        #: knew of paths still holds where only more of them came to be named.
        self.touched = Known(lambda path: concerns(path) or (self.locked and self.asks(path)))
        if before is not None and self._only_more_than(before):
            self.touched.update(before.touched)
            self.touched.update(dict.fromkeys(self._paths - before._paths, True))

    def _only_more_than(self, before: Guard) -> bool:
        return self.locked and before.locked and before._passes == self._passes and before._paths <= self._paths

    def asks(self, path: str) -> bool:
        """Whether a path is named by a sign-off or a slip, or belongs to a pass that is closed."""
        return path in self._paths or any(matches(path, each) for each in self._passes)


def _closed(state: BookState, lock: Lock) -> Iterable[Pass]:
    """The passes whose content a sign-off closes."""
    script = script_pass(state.book, Closing(lock, lock.page_set))
    if script is not None and {"structure", "wording"} & set(lock.scopes):
        yield script
    drawn = state.book.pass_named(lock.pass_name)
    if drawn is not None and "drawing" in lock.scopes:
        yield drawn


class Reading:
    """What all states of a history that is followed have in common: the entries read, and how much is read of them.

    Entries that bind nobody and stood there before the first commit are not read, since whatever is to be said of them
    is to be said of that commit's base too; `whole` is whether they are. Where branches meet they have to be, since
    what is old on one is new to the other.
    """

    __slots__ = ("entries", "whole")

    def __init__(self, *, whole: bool = True) -> None:
        self.entries: dict[FileAt, Entry | Refusal] = {}
        self.whole = whole


class Held:
    """Entries and `book.toml` of a commit; where `book.toml` is gone or can't be read, it is as it last could be."""

    __slots__ = ("_below", "_changes", "_files", "_guard", "_read_whole", "_reading", "_state", "_store", "plain")

    def __init__(
        self, store: Store, reading: Reading, below: Held | None = None, changes: Sequence[PathChange] = ()
    ) -> None:
        self._store, self._reading, self._below, self._changes = store, reading, below, changes
        self._files: dict[str, FileAt] | None = None if below else {}
        self._guard: Guard | None = None
        self._state: BookState | None = None
        self._read_whole: bool | None = None
        #: Whether nothing was done but to add entries that can be read and bind nobody.
        self.plain = below is not None and all(self._only_adds(change) for change in changes)

    @classmethod
    def of(cls, snapshot: Snapshot, reading: Reading) -> Held:
        """What a state holds."""
        held = cls(snapshot.store, reading)
        held._files = {path: file for path, file in snapshot.files.items() if concerns(path)}
        return held

    def after(self, changes: Sequence[PathChange]) -> Held:
        """What a commit on this one holds; `changes` are those that concern it."""
        return Held(self._store, self._reading, self, changes) if changes else self

    def _only_adds(self, change: PathChange) -> bool:
        if not change.adds or change.new is None or not _is_plain(change.path):
            return False
        try:
            return not isinstance(entry_at(change.new, self._store, self._reading.entries), Refusal)
        except ContentMissing:
            return False

    @property
    def files(self) -> Mapping[str, FileAt]:
        """The files of the entries, and `book.toml`, by path."""
        if self._files is None:
            chain = [self]
            while chain[-1]._files is None and (below := chain[-1]._below) is not None:
                chain.append(below)
            files = dict(chain[-1]._files or {})
            for held in reversed(chain[:-1]):
                self._apply(files, held._changes)
            self._files = files
        return self._files

    def _apply(self, files: dict[str, FileAt], changes: Iterable[PathChange]) -> None:
        for change in changes:
            if change.path == BOOK:
                if change.new is not None and self._sound(change.new):
                    files[BOOK] = change.new
            elif change.new is None:
                files.pop(change.path, None)
            else:
                files[change.path] = change.new

    def _sound(self, book: FileAt) -> bool:
        try:
            read_book(self._store.read(book))
        except Refusal:
            return False
        return True

    @property
    def state(self) -> BookState | None:
        """The ledger and the book, read; None where no `book.toml` was ever there that could be read."""
        if not self._is_read:
            self._state, self._read_whole = self._read_state(), self._reading.whole
        return self._state

    @property
    def _is_read(self) -> bool:
        return self._read_whole == self._reading.whole

    def _read_state(self) -> BookState | None:
        entries = self._reading.entries
        snapshot = Snapshot("", self.files, self._store)
        changes: list[PathChange] = []
        held: Held | None = self
        while held is not None and not held._is_read:
            changes, held = [*held._changes, *changes], held._below
        known = held._state if held is not None else None
        if known is not None and not any(change.path == BOOK for change in changes):
            return followed(known, snapshot, ((change.path, change.new) for change in changes), entries)
        there = {} if self._reading.whole else self._at_first()
        try:
            return read_state(snapshot, entries, lambda file: there.get(file.path) == file and _is_plain(file.path))
        except Refusal:
            return None

    def _at_first(self) -> Mapping[str, FileAt]:
        """The files of the state from which on the history is followed."""
        held = self
        while held._below is not None:
            held = held._below
        return held._files or {}

    def _binding(self) -> BookState | None:
        """As `state`, of the entries alone that close, admit or open something."""
        files = {path: file for path, file in self.files.items() if path == BOOK or not _is_plain(path)}
        try:
            return read_state(Snapshot("", files, self._store), self._reading.entries)
        except Refusal:
            return None

    def whole(self, snapshot: Snapshot) -> BookState | None:
        """A commit's state: what it holds, with all its files."""
        state = self.state
        return None if state is None else state.with_files(snapshot)

    @property
    def _guard_below(self) -> Guard | None:
        """The last guard that is known of what this stands on."""
        held = self._below
        while held is not None and held._guard is None:
            held = held._below
        return held._guard if held is not None else None

    @property
    def guard(self) -> Guard:
        """What is guarded here; shared along a history in which nothing that binds was recorded."""
        if self._guard is None:
            held = self
            while held._guard is None and held.plain and held._below is not None:
                held = held._below
            if held._guard is None:
                held._guard = Guard(held._state if held._is_read else held._binding(), held._guard_below)
            self._guard = held._guard
        return self._guard


def _is_plain(path: str) -> bool:
    named = entry_name(path)
    return named is not None and named[0] in _PLAIN
