"""Commits judged one after another, parents before children, with every entry carried along.

Most commits of a long history touch nothing that is closed and no entry that binds: they are told by the paths they
change, and no state is put together for them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from itertools import chain
from operator import attrgetter

from ledger.desk.history.carried import LostBefore
from ledger.desk.history.concerning import BOOK, concerns
from ledger.desk.history.held import Held, Reading
from ledger.gitedge.history import Commit, PathChange, Step
from ledger.judge.agreed.doors import CastOf, judge
from ledger.judge.agreed.ledger_rules import Kept, book_gone, entry_files
from ledger.judge.agreed.remembered import Remembered
from ledger.judge.agreed.scripts import Cast
from ledger.judge.agreed.settling import Verdicts, told_history
from ledger.judge.agreed.telling import Charge
from ledger.model.entry import Alteration, Entry, Lock
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.state import BookState

#: So many states are kept whole.
_WHOLE_KEPT = 6
_PATH = attrgetter("path")
_NOTHING: frozenset[tuple[str, ...]] = frozenset()


class Walked:
    """A history on the way: `cast_then` gives the cast of the commit that recorded an entry before it.

    `lost_before` gives the entries that the history before it took out or changed. `judged` are the commits that were
    judged, `cut` is what is to be said of those taken as given. `recorded` comes to hold the commit that first recorded
    each entry that binds.
    """

    def __init__(self, cast_then: CastOf, must_be_here: bool = False, lost_before: LostBefore | None = None) -> None:
        self.cast_then, self.must_be_here, self.lost_before = cast_then, must_be_here, lost_before
        self.judged: list[Verdicts] = []
        self.cut: list[Finding] = []
        self.recorded: dict[str, str] = {}
        self._lost: dict[str, dict[str, Kept]] = {}
        self._held: dict[str, Held] = {}
        self._known: set[str] = set()
        self._parents: dict[str, tuple[str, ...]] = {}
        self._stands: dict[str, frozenset[tuple[str, ...]]] = {}
        self._casts: dict[str, Cast] = {}
        self._whole: dict[str, BookState | None] = {}
        self._remembered = Remembered()
        self._reading = Reading(whole=False)

    def take(self, step: Step) -> None:
        """Takes the next commit and judges it, if it can hold anything to judge."""
        commit = step.commit
        if self._passes(commit):
            return
        self._parents[commit.oid] = commit.parents
        for parent in commit.parents:
            if parent not in self._known and self.lost_before and not commit.cut:
                self._lost[parent] = self.lost_before(parent)
                self._known.add(parent)
        self._known.add(commit.oid)
        if commit.cut:
            self.cut.append(_history_cut(commit.oid))
            return
        if len(commit.parents) > 1 and not self._reading.whole:
            self._reading.whole = True
            self._whole.clear()
        befores = [self._held_by(parent, step, n) for n, parent in enumerate(commit.parents)]
        held = self._held[commit.oid] = self._after(step, befores)
        kept = {path: each for parent in commit.parents for path, each in self._lost.get(parent, {}).items()}
        like = None if kept else self._nothing_new(step, befores, held)
        if like is None:
            kept = self._judge(step, befores, held, kept)
        else:
            self._stands[commit.oid] = self._stands.get(like, _NOTHING)
        if kept:
            self._lost[commit.oid] = kept

    def _passes(self, commit: Commit) -> bool:
        """Whether a commit stands on one that is known and touches neither entries nor anything closed, as most do."""
        parent = commit.parents[0] if len(commit.parents) == 1 else ""
        held = self._held.get(parent)
        if held is None or self._lost or commit.cut:
            return False
        oid = commit.oid
        if any(map(held.guard.touched.__getitem__, commit.paths)):
            return False
        self._parents[oid] = commit.parents
        self._known.add(oid)
        self._held[oid] = held
        self._stands[oid] = self._stands.get(parent, _NOTHING)
        return True

    def told(self) -> list[Finding]:
        """Everything to say of the history taken, each finding with its commit."""
        stood_on = {parent for parents in self._parents.values() for parent in parents}
        tips = self._stands.keys() - stood_on
        stands = frozenset().union(*(self._stands[oid] for oid in tips)) if tips else frozenset()
        return [*self.cut, *told_history(self.judged, stands, self._later)]

    @property
    def entries(self) -> dict[FileAt, Entry | Refusal]:
        """The entries that were read on the way."""
        return self._reading.entries

    def forget(self) -> None:
        """Lets go of what was read on the way; what was judged stays."""
        self._remembered.clear()
        self._whole.clear()

    def _held_by(self, parent: str, step: Step, n: int) -> Held:
        if parent not in self._held:
            self._held[parent] = Held.of(step.befores[n], self._reading)
        return self._held[parent]

    def _after(self, step: Step, befores: Sequence[Held]) -> Held:
        below = befores[0] if befores else Held(step.store, self._reading)
        held = below.after(_concerning(step.commit))
        if held is not below and not held.plain and held.state is not None:
            for path in (change.path for change in step.commit.changes if change.adds):
                self._casts.setdefault(path, held.state.book.cast)
                self.recorded.setdefault(path, step.commit.oid)
        return held

    def _nothing_new(self, step: Step, befores: Sequence[Held], held: Held) -> str | None:
        """The parent that a commit differs from in nothing that is closed and in no entry that binds; None for none."""
        commit = step.commit
        if len(befores) > 1:
            return self._as_a_parent(step, befores, held)
        if not befores or not (held is befores[0] or held.plain):
            return None
        guard = befores[0].guard
        touched = guard.locked and any(map(guard.asks, commit.paths))
        return None if touched else commit.parents[0]

    def _as_a_parent(self, step: Step, befores: Sequence[Held], held: Held) -> str | None:
        """The parent whose ledger, `book.toml` and closed files a merge has, where no other holds an entry beside."""
        if not all(each.files.items() <= held.files.items() for each in befores):
            return None
        for n, (parent, before) in enumerate(zip(step.commit.parents, befores, strict=True)):
            if before.files != held.files:
                continue
            guard = before.guard
            differing = step.commit.paths if n == 0 else _differing(step, n)
            if not any(path == BOOK or (guard.locked and guard.asks(path)) for path in differing):
                return parent
        return None

    def _judge(self, step: Step, befores: Sequence[Held], held: Held, kept: dict[str, Kept]) -> dict[str, Kept]:
        """Judges one commit; gives the entries that it no longer holds as they were recorded."""
        parents = zip(step.commit.parents, befores, step.befores, strict=True)
        bases = [state for oid, there, before in parents if (state := self._state(oid, there, before)) is not None]
        change = self._state(step.commit.oid, held, step.after)
        if change is None:
            return kept
        found = judge(
            bases, change, step.store, kept=kept, cast_then=self._cast_then, must_be_here=self.must_be_here,
            remembered=self._remembered,
        )  # fmt: skip
        gone = [Charge(f, ("ledger", BOOK)) for f in book_gone(bases) if BOOK not in step.after.files]
        found = found._replace(standing=(*found.standing, *gone), new=(*found.new, *_newly(gone, step)))
        standing = self._stands[step.commit.oid] = frozenset(charge.identity for charge in found.standing)
        added = _added(bases, change)
        self.judged.append(Verdicts(step.commit.oid, step.commit.subject, found.charged, standing, added))
        paths = [charge.identity[1] for charge in found.standing if charge.identity[0] == "ledger"]
        entries = [entry_files(base) for base in bases] if paths else []
        recorded = {path: each[path] for path in paths for each in entries if path in each}
        return {path: kept.get(path) or recorded[path] for path in paths if path in kept or path in recorded}

    def _state(self, oid: str, held: Held, snapshot: Snapshot) -> BookState | None:
        """A commit's state; those looked at lately are kept, since the next commit is judged against one of them."""
        if oid not in self._whole:
            self._whole[oid] = held.whole(snapshot)
            while len(self._whole) > _WHOLE_KEPT:
                del self._whole[next(iter(self._whole))]
        return self._whole[oid]

    def _cast_then(self, entry: Entry) -> Cast | None:
        return self._casts[entry.path] if entry.path in self._casts else self.cast_then(entry)

    def _later(self, commit: str) -> set[str]:
        """Every commit that stands on this one."""
        found: set[str] = set()
        waiting = [commit]
        while waiting:
            fresh = [child for child in self._children.get(waiting.pop(), ()) if child not in found]
            found.update(fresh)
            waiting += fresh
        return found

    @cached_property
    def _children(self) -> Mapping[str, Sequence[str]]:
        """Commit -> those that stand on it, once all are taken."""
        found: dict[str, list[str]] = defaultdict(list)
        for oid, parents in self._parents.items():
            for parent in parents:
                found[parent].append(oid)
        return found


def _concerning(commit: Commit) -> list[PathChange]:
    """What a commit changes of entries and `book.toml`."""
    return [change for change in commit.changes if concerns(change.path)] if any(map(concerns, commit.paths)) else []


def _differing(step: Step, n: int) -> Sequence[str]:
    """The paths that a commit has otherwise than one of its parents; against the first, git has told them."""
    after, there = step.after.files, step.befores[n].files
    return [path for path in {**after, **there} if after.get(path) != there.get(path)]


def _newly(gone: list[Charge], step: Step) -> list[Charge]:
    """That `book.toml` is gone is charged to the commit that took it away."""
    return gone if any(BOOK in before.files for before in step.befores) else []


def _added(bases: Iterable[BookState], change: BookState) -> tuple[str, ...]:
    """The names of the sign-offs, slips and reopenings that no base has."""
    before = set(chain.from_iterable(map(_PATH, base.entries) for base in bases))
    fresh = (entry for entry in change.entries if isinstance(entry, (Lock, Alteration)) and entry.path not in before)
    return tuple(entry.name for entry in fresh)


def _history_cut(commit: str) -> Finding:
    return Finding(
        "history-cut", "query", "the history on this machine begins here (a shallow clone), so this commit is taken"
        " as given", commit=commit, remedy="fetch the whole history: git fetch --unshallow",
    )  # fmt: skip
