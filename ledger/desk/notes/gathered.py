"""The notes of a book: its rounds, what they are about, and what became of every note."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from ledger.desk.numbers import rounds_of
from ledger.desk.opening import OpenBook
from ledger.desk.pictures.picture_memory import prints_remembered, remember_prints
from ledger.gitedge.history import commits
from ledger.gitedge.snapshots import at_commit, resolve_commit
from ledger.judge.notes.evidence import follow_notes
from ledger.judge.notes.findings import judge_notes
from ledger.judge.notes.history import Moment, NoteHistory
from ledger.judge.notes.pictures import Pictures
from ledger.judge.resting.made_from import blob_id
from ledger.model.book import Book
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.note import Followed, NotesRound
from ledger.model.script import Draft
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.entries import entry_name
from ledger.read.notes_rounds import FOLDER, notes_rounds
from ledger.read.state import BookState


def followed_notes(
    book: OpenBook, now: BookState, until: Round | None = None, rounds: Sequence[NotesRound] | None = None
) -> tuple[Followed, ...]:
    """Every note of your files now, with what became of its place in the content of `now`.

    With `until` rounds of its pass after it play no part. `rounds` are the notes files where they are read already.
    """
    shelf = BookShelf(book, now, until)
    history = NoteHistory(shelf, shelf.memory, shelf.known_by)
    found = tuple(follow_notes(notes_rounds(book.working) if rounds is None else rounds, history))
    shelf.keep()
    return found


def findings_of_notes(book: OpenBook, rounds: Sequence[NotesRound] | None = None) -> tuple[Finding, ...]:
    """What is to be said about the notes files; `rounds` are those where they are read already."""
    state = book.working
    rounds = notes_rounds(state) if rounds is None else rounds
    read = {each.path for each in rounds}
    others = [path for path in state.snapshot.under(FOLDER) if path not in read]
    passes = {each.name for each in state.book.passes}
    return judge_notes(rounds, NoteHistory(BookShelf(book, state)), others, passes)


#: Raised when following a note finds out something else, so that nothing older is believed.
METHOD = "notes-10"


@dataclass(frozen=True)
class BookShelf:
    """The content of a book's rounds, and of `now`. Drafts of every round are read with the cast of `now`."""

    book: OpenBook
    now: BookState
    until: Round | None = None
    _states: dict[Moment, BookState] = field(default_factory=dict, repr=False)
    _keys: dict[Moment, str] = field(default_factory=dict, repr=False)
    _texts: dict[str, dict[str, str] | None] = field(default_factory=dict, repr=False)

    @cached_property
    def rounds(self) -> dict[Moment, Round]:
        """Every round that is here, recorded or not."""
        states = [self.book.head, self.book.working, self.now]
        entries = {e.name: e for state in states if state for e in state.entries if isinstance(e, Round)}
        ordered = [e for name in {e.pass_name: 0 for e in entries.values()} for e in rounds_of(entries.values(), name)]
        return {Moment(e.pass_name, e.number): e for e in ordered}

    def moment(self, name: str) -> Moment | None:
        """The round of this name; a pass alone is its newest round."""
        wanted = name.lower()
        found = [moment for moment, entry in self.rounds.items() if wanted in (entry.name, moment.pass_name)]
        return found[-1] if found else None

    def numbers(self, pass_name: str) -> Sequence[int]:
        """The rounds of a pass, oldest first, none after `until`, none that a commit asked about doesn't have yet."""
        last = self.until.number if self.until and self.until.pass_name == pass_name else None
        every = [m.number for m in self.rounds if m.pass_name == pass_name and m.number is not None]
        if self._there is not None:
            every = [number for number in every if f"{pass_name}-{number}" in self._there]
        return [number for number in every if last is None or number <= last]

    @cached_property
    def _there(self) -> set[str] | None:
        """Names of the entries that the content asked about has; None where that is your files now, or a round."""
        if self.until is not None or self.now is self.book.working:
            return None
        return {entry.name for entry in self.now.entries}

    def drawn(self, pass_name: str) -> bool:
        """Whether it is an art pass."""
        found = self.now.book.pass_named(pass_name)
        return found is not None and found.kind == "art"

    def about(self, notes: NotesRound) -> Moment | None:
        """What `on:` names; without it the newest script round before the commit that added the file.

        Where it names a pass and no round, the newest round of that pass before that commit.
        """
        passes = {each.name for each in self.now.book.passes}
        named = (notes.on or "").lower()
        if named and named not in passes:
            return self.moment(named)
        script = self.now.book.main_script()
        wanted = named or (script.name if script else "")
        known = self._entered_before(notes.path)
        there = [m for m, e in self.rounds.items() if m.pass_name == wanted and (known is None or e.name in known)]
        return there[-1] if there else None

    def _entered_before(self, path: str) -> set[str] | None:
        """Names of the entries that were there before a file was added; None where it is not recorded yet."""
        if path not in self.book.head_snapshot.files or resolve_commit(self.book.repo, "HEAD") is None:
            return None
        added = [
            commit
            for commit in commits(self.book.repo, ["HEAD"], paths=[path])
            if any(change.path == path and change.old is None for change in commit.changes)
        ]
        if not added or not added[-1].parents or added[-1].cut:
            return set() if added and not added[-1].cut else None
        before = at_commit(self.book.repo, added[-1].parents[0])
        return {p.removeprefix("ledger/").removesuffix(".toml") for p in before.files if entry_name(p)}

    def draft(self, moment: Moment) -> Draft | None:
        """The draft of a text pass at a moment; None where its content is not here."""
        try:
            return self._state(moment).draft(moment.pass_name)
        except ContentMissing:
            return None

    def pictures(self, moment: Moment) -> Pictures | None:
        """The exports of an art pass at a moment; of several for one page the first counts."""
        state = self._state(moment)
        pass_ = state.book.pass_named(moment.pass_name)
        if pass_ is None:
            return None
        files = {label: several[0] for label, several in state.exports(pass_).items()}
        return Pictures(files, state.snapshot.store.read, self.now.book.reading == "rtl", self.memory)

    def known_by(self, moment: Moment) -> str | None:
        """The content of a round by its object ids, with what its reading depends on; of the content now that of a
        script alone, for the pictures of now need not be here.
        """
        entry = self.rounds.get(moment)
        ids = entry.files if entry else self._ids_now(moment.pass_name)
        if ids is None:
            return None
        if moment not in self._keys:
            files = (f"{path}\0{oid}" for path, oid in ids.items())
            self._keys[moment] = "\n".join([METHOD, self._read_with, moment.pass_name, *files])
        return self._keys[moment]

    def _ids_now(self, pass_name: str) -> dict[str, str] | None:
        """Path -> object id of the files of a script now; None for what is no script, or not here."""
        pass_ = self.now.book.pass_named(pass_name)
        if pass_ is None or pass_.kind != "text":
            return None
        if pass_name not in self._texts:
            snapshot = self.now.snapshot
            files = [snapshot.files[path] for path in self.now.paths(pass_)]
            try:
                self._texts[pass_name] = {
                    file.path: file.oid or blob_id(snapshot.store.read(file)) for file in files if file.regular
                }
            except ContentMissing:
                self._texts[pass_name] = None
        return self._texts[pass_name]

    @cached_property
    def _read_with(self) -> str:
        """The passes and the cast of `now`, with which every draft is read."""
        return repr((self.now.book.passes, self.now.book.cast, self.now.book.reading))

    @property
    def memory(self) -> dict[str, str]:
        """What was found out before."""
        return self._prints[0]

    @cached_property
    def _prints(self) -> tuple[dict[str, str], int]:
        """What was found out about pictures before, and how much that was."""
        known = prints_remembered(self.book.repo)
        return known, len(known)

    def keep(self) -> None:
        """Keeps what was found out about pictures, so that no page is unpacked for the same question twice."""
        if "_prints" in self.__dict__ and len(self._prints[0]) > self._prints[1]:
            remember_prints(self.book.repo, self._prints[0])

    def script_under(self, moment: Moment) -> Moment | None:
        """The script round that a round of an art pass was made from."""
        entry, script = self.rounds.get(moment), self.now.book.script_of(moment.pass_name)
        named = entry.basis.get(script.name) if entry and script else None
        return self.moment(named) if named else None

    def _state(self, moment: Moment) -> BookState:
        """The book with the files of a round in it, under the names they had then."""
        entry = self.rounds.get(moment)
        if entry is None:
            return self.now
        if moment not in self._states:
            files = {path: FileAt(path, oid) for path, oid in entry.files.items() if oid}
            self._states[moment] = BookState(
                Snapshot(entry.name, files, self.book.head_snapshot.store), self._book_for(entry)
            )
        return self._states[moment]

    def _book_for(self, entry: Round) -> Book:
        """The book of now; where its patterns no longer fit a text round's files, with their own names instead."""
        book = self.now.book
        passes = [
            each._replace(files=tuple(path for path, oid in entry.files.items() if oid))
            if each.name == entry.pass_name and each.kind == "text"
            else each
            for each in book.passes
        ]
        return book._replace(passes=tuple(passes))
