"""History, oldest first: one `git log` gives every commit with what it changed, states are followed along."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta, timezone
from functools import partial
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple

from ledger.gitedge.repository import path_bytes
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

#: What stands between two commits: the end of one, and the sign with which the next begins.
_NEXT = b"\0\1"
#: So many commits are read before the first of them is given.
_AHEAD = 256
#: A file made without a detour: a long history makes thousands.
_FILE = partial(tuple.__new__, FileAt)


class PathChange(NamedTuple):
    """One path that a commit changed against its first parent, with what git says of its two sides."""

    path: str
    facts: str

    @property
    def adds(self) -> bool:
        """Whether the file was not there before."""
        return self.facts.startswith(":000000 ")

    @property
    def old(self) -> FileAt | None:
        """The file before; None where it is not there."""
        mode, _, oid, _, _ = self.facts.split(" ")
        return None if mode == ":000000" else FileAt(self.path, oid, mode[1:])

    @property
    def new(self) -> FileAt | None:
        """The file after; None where it is not there."""
        _, mode, _, oid, _ = self.facts.split(" ")
        return None if mode == "000000" else FileAt(self.path, oid, mode)


class Commit:
    """A commit as git tells it. Of most no more is asked than which they are and which paths they change, so the rest
    is read when first asked for.

    `paths` are those it changes against its first parent, `facts` what git says of the two sides of each. `cut` is
    whether a shallow clone ends here: its parents are not in this repository, it is taken as given.
    """

    __slots__ = ("_said", "cut", "facts", "oid", "parents", "paths")

    def __init__(self, said: str, paths: Sequence[str], facts: Sequence[str], cut: frozenset[str]) -> None:
        self.oid, parents, self._said = said.split("\n", 2)
        self.parents = tuple(parents.split())
        self.paths, self.facts = paths, facts
        self.cut = self.oid in cut

    @property
    def changes(self) -> tuple[PathChange, ...]:
        """What it changes against its first parent."""
        return tuple(map(PathChange, self.paths, self.facts))

    @property
    def author(self) -> str:
        """`name <address>`."""
        return self._said.split("\n", 2)[1]

    @property
    def message(self) -> str:
        """What its author says of it."""
        return self._said.split("\n", 2)[2].rstrip("\n")

    @property
    def when(self) -> datetime:
        """The committer's time; a claim, since anybody can set it."""
        return _when(self._said.partition("\n")[0])

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
    """The commits reachable from these and not from those, parents before children; git begins at once.

    With `paths` only the commits that changed one of them, and only those changes. Raises Refusal.
    """
    ends = "".join([*(f"{end}\n" for end in include), *(f"^{end}\n" for end in exclude)]).encode()
    said = repo.flow("-c", "log.showRoot=true", "log", *_HOW, "--stdin", "--", *map(path_bytes, paths), input=ends)
    return _read(said, shallow(repo))


def shallow(repo: Repository) -> frozenset[str]:
    """The commits at which a shallow clone ends; none in a whole one."""
    try:
        with open(repo.in_common_dir("shallow"), encoding="ascii", errors="replace") as file:
            return frozenset(file.read().split())
    except OSError:
        return frozenset()


def _read(said: Iterable[bytes], cut: frozenset[str]) -> Iterator[Commit]:
    """Commits, from what git says piece by piece: a head, then facts and path in turn, each part ended with NUL."""
    begun = rest = b""
    for piece in _ended(said):
        *whole, rest = (rest + piece).split(_NEXT)
        for each in whole:
            head, _, changes = (begun + each).partition(b"\0")
            # Git ends the changes of a commit once, or once more; no path is empty.
            told = changes.lstrip(b"\n").removesuffix(b"\0").decode("utf-8", "surrogateescape")
            parts = told.split("\0") if told else []
            if len(parts) % 2:
                # It ends amid a change: what looked like the next commit is a path that begins so.
                begun += each + _NEXT
                continue
            begun = b""
            yield Commit(head.lstrip(b"\1").decode("utf-8", "replace"), parts[1::2], parts[::2], cut)


def _ended(said: Iterable[bytes]) -> Iterator[bytes]:
    """What git says, its last commit ended as all others are: by the beginning of the next one."""
    yield from said
    yield b"\1"


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
    """The commits as `commits` gives them, each with the book after it and before it; git begins at once.

    `ahead` tells of a path whether its contents are read ahead, many at once.
    """
    return _walked(commits(repo, include, exclude), _States(repo), ahead)


def _walked(found: Iterator[Commit], states: _States, ahead: Callable[[str], bool] | None) -> Iterator[Step]:
    while waiting := list(islice(found, _AHEAD)):
        states.commits.update((commit.oid, commit) for commit in waiting)
        if ahead is not None:
            telling = [commit for commit in waiting if any(map(ahead, commit.paths))]
            asked = (change.new for commit in telling for change in commit.changes if ahead(change.path))
            states.store.warm([file for file in asked if file is not None])
        for commit in waiting:
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
            _apply(files, commit)
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


def _apply(files: dict[str, FileAt], commit: Commit) -> None:
    for path, facts in zip(commit.paths, commit.facts, strict=True):
        _, mode, _, oid, _ = facts.split(" ")
        if mode == "000000":
            files.pop(path, None)
        else:
            files[path] = _FILE((path, oid, mode))


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
