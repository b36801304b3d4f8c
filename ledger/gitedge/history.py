"""History, oldest first: one `git log` gives every commit with what it changed, states are followed along."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta, timezone
from typing import TYPE_CHECKING, NamedTuple

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

#: So many commits are read before the first of them is given.
_AHEAD = 256


class PathChange(NamedTuple):
    """One path that a commit changed against its first parent, with what git says of its two sides."""

    path: str
    facts: bytes

    @property
    def adds(self) -> bool:
        """Whether the file was not there before."""
        return self.facts.startswith(b":000000 ")

    @property
    def old(self) -> FileAt | None:
        """The file before; None where it is not there."""
        mode, _, oid, _, _ = self.facts.decode().split(" ")
        return None if mode == ":000000" else FileAt(self.path, oid, mode[1:])

    @property
    def new(self) -> FileAt | None:
        """The file after; None where it is not there."""
        _, mode, _, oid, _ = self.facts.decode().split(" ")
        return None if mode == "000000" else FileAt(self.path, oid, mode)


class Commit(NamedTuple):
    """A commit. `dated` is the committer's time as git writes it (`seconds +hhmm`), `author` is `name <address>`.

    `cut` is whether a shallow clone ends here: its parents are not in this repository, it is taken as given.
    """

    oid: str
    parents: tuple[str, ...]
    dated: str
    author: str
    message: str
    changes: tuple[PathChange, ...]
    cut: bool = False

    @property
    def when(self) -> datetime:
        """The committer's time; a claim, since anybody can set it."""
        return _when(self.dated)

    @property
    def subject(self) -> str:
        """The first line of its message."""
        return self.message.partition("\n")[0]


class Step:
    """A commit on the way, with the book after it and before it; both are put together when first asked for."""

    __slots__ = ("_states", "commit")

    def __init__(self, commit: Commit, states: _States) -> None:
        self.commit, self._states = commit, states

    @property
    def after(self) -> Snapshot:
        """The book after it."""
        return self._states.snapshot(self.commit.oid)

    @property
    def befores(self) -> tuple[Snapshot, ...]:
        """The book before it, one snapshot a parent."""
        return tuple(self._states.snapshot(parent) for parent in self.commit.parents)

    @property
    def store(self) -> GitStore:
        """Where the bytes of all these are."""
        return self._states.store


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
    said = repo.flow("-c", "log.showRoot=true", "log", *_HOW, "--stdin", "--", *map(path_bytes, paths), input=ends)
    yield from _read(said, shallow(repo))


def shallow(repo: Repository) -> frozenset[str]:
    """The commits at which a shallow clone ends; none in a whole one."""
    try:
        with open(repo.in_common_dir("shallow"), encoding="ascii", errors="replace") as file:
            return frozenset(file.read().split())
    except OSError:
        return frozenset()


def _read(said: Iterable[bytes], cut: frozenset[str]) -> Iterator[Commit]:
    """Commits, from what git says piece by piece: heads and changes, each ended with NUL."""
    head: bytes | None = None
    facts: bytes | None = None
    changes: list[PathChange] = []
    rest = b""
    for piece in _ended(said):
        parts = (rest + piece).split(b"\0")
        rest = parts.pop()
        for part in parts:
            if facts is not None:
                changes.append(PathChange(path_text(part), facts))
                facts = None
            elif part.startswith((b":", b"\n:")):
                facts = part.lstrip(b"\n")
            elif part:
                if head is not None:
                    yield _commit(head, changes, cut)
                head, changes = part, []
    if head is not None:
        yield _commit(head, changes, cut)


def _ended(said: Iterable[bytes]) -> Iterator[bytes]:
    yield from said
    yield b"\0"


def _commit(head: bytes, changes: list[PathChange], cut: frozenset[str]) -> Commit:
    oid, parents, dated, author, message = head[1:].decode("utf-8", "replace").split("\n", 4)
    return Commit(oid, tuple(parents.split()), dated, author, message.rstrip("\n"), tuple(changes), oid in cut)


def _when(raw: str) -> datetime:
    """Reads `seconds +hhmm`; what says no time (a commit made by hand) is the first moment git knows."""
    seconds, _, zone = raw.partition(" ")
    try:
        minutes = int(zone[1:3]) * 60 + int(zone[3:5])
        offset = timedelta(minutes=-minutes if zone.startswith("-") else minutes)
        return datetime.fromtimestamp(int(seconds), timezone(offset))
    except (ValueError, OverflowError, OSError):
        return datetime.fromtimestamp(0, UTC)


def walk(
    repo: Repository, include: Sequence[str], exclude: Iterable[str] = (), *, ahead: Callable[[str], bool] | None = None
) -> Iterator[Step]:
    """The commits as `commits` gives them, each with the book after it and before it.

    `ahead` tells of a path whether its contents are read ahead, many at once.
    """
    states = _States(repo)
    waiting: list[Commit] = []
    for commit in commits(repo, include, exclude):
        states.commits[commit.oid] = commit
        waiting.append(commit)
        if len(waiting) == _AHEAD:
            yield from _steps(waiting, states, ahead)
            waiting.clear()
    yield from _steps(waiting, states, ahead)


def _steps(found: Sequence[Commit], states: _States, ahead: Callable[[str], bool] | None) -> Iterator[Step]:
    if ahead is not None:
        asked = (change.new for commit in found for change in commit.changes if ahead(change.path))
        states.store.warm([file for file in asked if file is not None])
    for commit in found:
        yield Step(commit, states)


class _States:
    """The files of the commits on the way. What was asked for lately is kept; the others follow from it by changes."""

    _KEPT = 12

    def __init__(self, repo: Repository) -> None:
        self.commits: dict[str, Commit] = {}
        self.store = GitStore(repo.reader)
        self._repo = repo
        self._files: dict[str, dict[str, FileAt]] = {}

    def snapshot(self, oid: str) -> Snapshot:
        """The book as a commit has it."""
        return Snapshot(oid, self._at(oid), self.store)

    def _at(self, oid: str) -> dict[str, FileAt]:
        if oid in self._files:
            self._files[oid] = self._files.pop(oid)
            return self._files[oid]
        changed, below = self._back_to_known(oid)
        files = dict(self._files[below]) if below in self._files else {}
        if below is not None and below not in self._files:
            files.update(at_commit(self._repo, below).files)
        for commit in reversed(changed):
            _apply(files, commit.changes)
        self._files[oid] = files
        while len(self._files) > self._KEPT:
            del self._files[next(iter(self._files))]
        return files

    def _back_to_known(self, oid: str) -> tuple[list[Commit], str | None]:
        """The commits back from this one, by first parents, and the state that they stand on; None for no files."""
        changed: list[Commit] = []
        at: str | None = oid
        while at is not None and at not in self._files and at in self.commits:
            commit = self.commits[at]
            changed.append(commit)
            at = commit.parents[0] if commit.parents else None
        return changed, at


def _apply(files: dict[str, FileAt], changes: Iterable[PathChange]) -> None:
    for change in changes:
        new = change.new
        if new is None:
            files.pop(change.path, None)
        else:
            files[change.path] = new


def first_with(repo: Repository, wanted: Mapping[str, str], rev: str = "HEAD") -> dict[str, str]:
    """Path -> the oldest commit reachable from `rev` that gives the path this object id.

    What was there already where a shallow clone ends is left out: nobody can tell here where it came from.
    """
    found: dict[str, str] = {}
    if not wanted or resolve_commit(repo, rev) is None:
        return found
    try:
        for commit in commits(repo, [rev], paths=wanted):
            for change in commit.changes:
                if change.new and change.new.oid == wanted.get(change.path):
                    found.setdefault(change.path, "" if commit.cut else commit.oid)
    except Refusal:
        # A clone that fetched no folders of old states can't tell either; being a part alone stops nothing.
        if not repo.partial:
            raise
        return {}
    return {path: oid for path, oid in found.items() if oid}
