"""Commits judged one after another, parents before children, with every entry carried along."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from ledger.desk.carried import LostBefore
from ledger.gitedge.history import Commit, Step
from ledger.judge.doors import CastOf, Judgement, judge
from ledger.judge.ledger_rules import Kept, book_gone, entry_files
from ledger.judge.settling import Verdicts, told_history
from ledger.judge.telling import Charge
from ledger.model.book import Pass
from ledger.model.entry import Alteration, Lock
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.overlay import overlaid
from ledger.model.snapshot import Snapshot
from ledger.read.entries import entry_name
from ledger.read.patterns import matches
from ledger.read.state import BookState, read_state


@dataclass(frozen=True, slots=True)
class _Watch:
    """What a commit must touch to be worth judging: paths that entries name, files of the passes."""

    locked: bool
    paths: frozenset[str] = frozenset()
    passes: tuple[Pass, ...] = ()

    def asks(self, path: str) -> bool:
        return self.locked and (path in self.paths or any(matches(path, pass_) for pass_ in self.passes))


@dataclass
class Walked:
    """A history on the way: `cast_then` gives the cast of the commit that recorded an entry.

    `lost_before` gives the entries that the history before it took out or changed.
    """

    cast_then: CastOf
    must_be_here: bool = False
    lost_before: LostBefore | None = None
    judged: list[Verdicts] = field(default_factory=list)
    cut: list[Finding] = field(default_factory=list)
    _lost: dict[str, dict[str, Kept]] = field(default_factory=dict)
    _watches: dict[str, _Watch] = field(default_factory=dict)
    _known: set[str] = field(default_factory=set)
    _children: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    _stands: dict[str, frozenset[tuple[str, ...]]] = field(default_factory=dict)
    _stand_ins: dict[str, Snapshot] = field(default_factory=dict)

    def take(self, step: Step) -> None:
        """Takes the next commit and judges it, if it can hold anything to judge."""
        commit = step.commit
        for parent in commit.parents:
            self._children[parent].append(commit.oid)
            if parent not in self._known and self.lost_before and not commit.cut:
                self._lost[parent] = self.lost_before(parent)
                self._known.add(parent)
        self._known.add(commit.oid)
        if commit.cut:
            self.cut.append(_history_cut(commit.oid))
            return
        kept = {path: each for parent in commit.parents for path, each in self._lost.get(parent, {}).items()}
        if self._worth_judging(step, bool(kept)):
            kept = self._judge(step, kept)
        elif commit.parents:
            self._stands[commit.oid] = self._stands.get(commit.parents[0], frozenset())
        if kept:
            self._lost[commit.oid] = kept
        if not _touches_ledger(commit) and commit.parents and commit.parents[0] in self._watches:
            self._watches[commit.oid] = self._watches[commit.parents[0]]

    def told(self) -> list[Finding]:
        """Everything to say of the history taken, each finding with its commit."""
        tips = [oid for oid in self._stands if not self._children.get(oid)]
        stands = frozenset().union(*(self._stands[oid] for oid in tips)) if tips else frozenset()
        return [*self.cut, *told_history(self.judged, stands, self._later)]

    def _worth_judging(self, step: Step, lost: bool) -> bool:
        commit = step.commit
        if lost or _touches_ledger(commit):
            return True
        watches = [self._watch_of(oid, before) for oid, before in zip(commit.parents, step.befores, strict=True)]
        if len(watches) > 1:
            return any(watch.locked for watch in watches)
        return any(watch.asks(change.path) for watch in watches for change in commit.changes)

    def _watch_of(self, oid: str, state: Snapshot) -> _Watch:
        if oid not in self._watches:
            self._watches[oid] = _watch(state)
        return self._watches[oid]

    def _judge(self, step: Step, kept: dict[str, Kept]) -> dict[str, Kept]:
        """Judges one commit; gives the entries that it no longer holds as they were recorded."""
        bases, change = self._states(step)
        if change is None:
            return kept
        found = judge(
            bases, change, step.after.store, kept=kept, cast_then=self.cast_then, must_be_here=self.must_be_here
        )
        gone = [Charge(f, ("ledger", "book.toml")) for f in book_gone(bases) if "book.toml" not in step.after.files]
        found = found._replace(standing=(*found.standing, *gone), new=(*found.new, *_newly(gone, step)))
        self._stands[step.commit.oid] = frozenset(charge.identity for charge in found.standing)
        self.judged.append(_verdicts(step.commit, found, bases, change))
        paths = [charge.identity[1] for charge in found.standing if charge.identity[0] == "ledger"]
        held = [entry_files(base) for base in bases]
        recorded = {path: each[path] for path in paths for each in held if path in each}
        return {path: kept.get(path) or recorded[path] for path in paths if path in kept or path in recorded}

    def _states(self, step: Step) -> tuple[list[BookState], BookState | None]:
        """The parents that hold a book, and the commit; a `book.toml` that can't be read is read as it last could."""
        parents = zip(step.commit.parents, step.befores, strict=True)
        bases = [state for oid, before in parents if (state := self._read_as(oid, before)) is not None]
        if bases and _read(step.after) is None:
            self._stand_ins[step.commit.oid] = bases[0].snapshot
        return bases, self._read_as(step.commit.oid, step.after)

    def _read_as(self, oid: str, snapshot: Snapshot) -> BookState | None:
        sound = self._stand_ins.get(oid)
        if sound is None:
            return _read(snapshot)
        file = sound.files["book.toml"]
        return _read(overlaid(snapshot, taken={"book.toml": file}, source=sound.store, name=snapshot.name))

    def _later(self, commit: str) -> set[str]:
        """Every commit that stands on this one."""
        found: set[str] = set()
        waiting = [commit]
        while waiting:
            fresh = [child for child in self._children.get(waiting.pop(), ()) if child not in found]
            found.update(fresh)
            waiting += fresh
        return found


def _newly(gone: list[Charge], step: Step) -> list[Charge]:
    """That `book.toml` is gone is charged to the commit that took it away."""
    return gone if any("book.toml" in before.files for before in step.befores) else []


def _touches_ledger(commit: Commit) -> bool:
    return any(change.path == "book.toml" or entry_name(change.path) for change in commit.changes)


def _watch(snapshot: Snapshot) -> _Watch:
    state = _read(snapshot)
    if state is None:
        return _Watch(locked=False)
    named = [entry for entry in state.entries if isinstance(entry, Lock | Alteration)]
    locked = any(isinstance(entry, Lock) for entry in named)
    return _Watch(locked, frozenset(path for entry in named for path in entry.files), state.book.passes)


def _read(snapshot: Snapshot) -> BookState | None:
    try:
        return read_state(snapshot)
    except Refusal:
        return None


def _verdicts(commit: Commit, found: Judgement, bases: Iterable[BookState], change: BookState) -> Verdicts:
    before = {entry.path for base in bases for entry in base.entries}
    added = tuple(e.name for e in change.entries if e.path not in before and isinstance(e, Lock | Alteration))
    standing = frozenset(charge.identity for charge in found.standing)
    return Verdicts(commit.oid, commit.subject, found.charged, standing, added)


def _history_cut(commit: str) -> Finding:
    return Finding(
        "history-cut", "query", "the history on this machine begins here (a shallow clone), so this commit is taken"
        " as given", commit=commit, remedy="fetch the whole history: git fetch --unshallow",
    )  # fmt: skip
