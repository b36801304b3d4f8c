"""History, oldest first: one `git log` gives every commit with what it changed, states are followed along."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from typing import TYPE_CHECKING

from ledger.gitedge.repository import path_bytes, path_text
from ledger.gitedge.snapshots import GitStore, at_commit, resolve_commit
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt, Snapshot

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

#: One commit's head: id, parents, seconds and offset, author, message. No name holds a line end, no message a NUL.
_FORM = "--format=tformat:%x01%H%n%P%n%cd%n%an <%ae>%n%B"
_HOW = (
    "-z", "--raw", "--no-abbrev", "--no-renames", "--no-relative", "--no-notes", "--ignore-submodules=none",
    "--diff-merges=first-parent", "--full-history", "--reverse", "--topo-order", "--date=raw", _FORM,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PathChange:
    """One path that a commit changed against its first parent; None is a side where the file is not there."""

    path: str
    old: FileAt | None
    new: FileAt | None


@dataclass(frozen=True, slots=True)
class Commit:
    """A commit. `when` is the committer's time, `author` is `name <address>`.

    `cut` is whether a shallow clone ends here: its parents are not in this repository, it is taken as given.
    """

    oid: str
    parents: tuple[str, ...]
    when: datetime
    author: str
    message: str
    changes: tuple[PathChange, ...]
    cut: bool = False

    @property
    def subject(self) -> str:
        """The first line of its message."""
        return self.message.partition("\n")[0]


@dataclass(frozen=True, slots=True)
class Step:
    """A commit on the way, with the book after it and before it: `befores` has one snapshot a parent."""

    commit: Commit
    after: Snapshot
    befores: tuple[Snapshot, ...]


def range_of(repo: Repository, text: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What a range such as `script-draft..main` takes in and leaves out, as commit ids; a single state is all up to it.

    Raises Refusal where a side names no commit.
    """
    older, dots, newer = text.partition("..")
    ends = [(older or "HEAD", newer.removeprefix(".") or "HEAD")] if dots else [(None, text)]
    out, into = ends[0]
    found = [resolve_commit(repo, end) if end is not None else None for end in (out, into)]
    for end, oid in zip((out, into), found, strict=True):
        if end is not None and oid is None:
            raise Refusal(f"{end!r} is no state of this book", remedy="see what there is: git log --oneline")
    return tuple(oid for oid in found[1:] if oid), tuple(oid for oid in found[:1] if oid)


def commits(
    repo: Repository, include: Sequence[str], exclude: Iterable[str] = (), *, paths: Iterable[str] = ()
) -> Iterator[Commit]:
    """The commits reachable from these and not from those, parents before children.

    With `paths` only the commits that changed one of them, and only those changes. Raises Refusal.
    """
    ends = "".join([*(f"{end}\n" for end in include), *(f"^{end}\n" for end in exclude)]).encode()
    said = repo.run("-c", "log.showRoot=true", "log", *_HOW, "--stdin", "--", *map(path_bytes, paths), input=ends)
    yield from _read(said, shallow(repo))


def shallow(repo: Repository) -> frozenset[str]:
    """The commits at which a shallow clone ends; none in a whole one."""
    try:
        with open(repo.in_common_dir("shallow"), encoding="ascii", errors="replace") as file:
            return frozenset(file.read().split())
    except OSError:
        return frozenset()


def _read(said: bytes, cut: frozenset[str]) -> Iterator[Commit]:
    head: bytes | None = None
    changes: list[PathChange] = []
    parts = iter(said.split(b"\0"))
    for part in parts:
        facts = part.lstrip(b"\n")
        if facts.startswith(b":"):
            changes.append(_change(facts, path_text(next(parts))))
        elif part:
            if head is not None:
                yield _commit(head, changes, cut)
            head, changes = part, []
    if head is not None:
        yield _commit(head, changes, cut)


def _change(facts: bytes, path: str) -> PathChange:
    old_mode, mode, old, new, _ = facts.decode()[1:].split(" ")
    sides = [FileAt(path, oid, m) if m != "000000" else None for oid, m in ((old, old_mode), (new, mode))]
    return PathChange(path, *sides)


def _commit(head: bytes, changes: list[PathChange], cut: frozenset[str]) -> Commit:
    oid, parents, date, author, message = head.removeprefix(b"\x01").decode("utf-8", "replace").split("\n", 4)
    return Commit(
        oid, tuple(parents.split()), _when(date), author, message.rstrip("\n"), tuple(changes), oid in cut
    )  # fmt: skip


def _when(raw: str) -> datetime:
    """Reads `seconds +hhmm`."""
    seconds, _, zone = raw.partition(" ")
    minutes = int(zone[1:3]) * 60 + int(zone[3:5])
    offset = timedelta(minutes=-minutes if zone.startswith("-") else minutes)
    try:
        return datetime.fromtimestamp(int(seconds), timezone(offset))
    except (ValueError, OverflowError, OSError):
        return datetime.fromtimestamp(0, UTC)


def walk(repo: Repository, include: Sequence[str], exclude: Iterable[str] = ()) -> Iterator[Step]:
    """The commits as `commits` gives them, each with the book after it and before it.

    A state costs what changed, not what is there; those that no later commit stands on are let go.
    """
    found = list(commits(repo, include, exclude))
    waiting = Counter(parent for commit in found for parent in commit.parents)
    states: dict[str, dict[str, FileAt]] = {}
    store = GitStore(repo.reader)
    for commit in found:
        befores = [_state(repo, parent, states) for parent in commit.parents]
        after = _applied(befores[0] if befores else {}, commit.changes)
        for parent in commit.parents:
            waiting[parent] -= 1
            if not waiting[parent]:
                states.pop(parent, None)
        if waiting[commit.oid]:
            states[commit.oid] = after
        names = zip(commit.parents, befores, strict=True)
        yield Step(
            commit,
            Snapshot(commit.oid, after, store),
            tuple(Snapshot(name, files, store) for name, files in names),
        )


def _state(repo: Repository, oid: str, states: dict[str, dict[str, FileAt]]) -> dict[str, FileAt]:
    if oid not in states:
        states[oid] = dict(at_commit(repo, oid).files)
    return states[oid]


def _applied(files: dict[str, FileAt], changes: Iterable[PathChange]) -> dict[str, FileAt]:
    after = dict(files)
    for change in changes:
        if change.new is None:
            after.pop(change.path, None)
        else:
            after[change.path] = change.new
    return after


def first_with(repo: Repository, wanted: Mapping[str, str], rev: str = "HEAD") -> dict[str, str]:
    """Path -> the oldest commit reachable from `rev` that gives the path this object id.

    What was there already where a shallow clone ends is left out: nobody can tell here where it came from.
    """
    found: dict[str, str] = {}
    if not wanted or resolve_commit(repo, rev) is None:
        return found
    for commit in commits(repo, [rev], paths=wanted):
        for change in commit.changes:
            if change.new and change.new.oid == wanted.get(change.path):
                found.setdefault(change.path, "" if commit.cut else commit.oid)
    return {path: oid for path, oid in found.items() if oid}
