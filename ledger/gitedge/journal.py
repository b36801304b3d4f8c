"""The journal of a recording under way, and the hold on the book that goes with it.

Every line is written before what it tells is done. A journal left behind by a killed command is settled by the next one
(see `settling`). The hold is a lock on the open journal, which the system lets go when the command ends in any way, and
git's own `index.lock`, made as a second name of a file of ours, or with the same words in it where a disk knows no
second names, so that a lock left behind is known as our own.
"""

from __future__ import annotations

import errno
import fcntl
import json
import os
import re
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from ledger.gitedge.complaints import locked, of_the_machine
from ledger.gitedge.repository import path_bytes
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

_FOLDER = "inkledger"
#: So many bytes at most are the words of a lock.
_WORDS = 100
#: The name under which new bytes wait beside their place.
_FRESH = re.compile(rb"\.inkledger-\d+\Z")


@dataclass(frozen=True)
class Move:
    """One file of the working tree to be put in place, or taken away where `fresh` is None.

    `path` is relative to the book; `fresh` is the name, in the same folder, under which the new bytes wait; `before` is
    the SHA-256 of what lay there when the plan was made, None for nothing.
    """

    path: str
    fresh: str | None
    before: str | None


@dataclass(frozen=True)
class Plan:
    """All that is to happen, or not at all.

    `branch` goes from `old` to `new` (zeros: not there) and the other `refs` (name, new, old) with it; where it is ""
    no ref moves, and the plan goes forward from the moment it is noted. Then the index that waits in the work folder
    takes the place of the user's; then the files are moved. `info` is what that index differs by (for `update-index
    --index-info`), should the user's no longer be the one it `index_was` made from.
    `note` goes into the list of what was recorded here.
    """

    branch: str
    old: str
    new: str
    refs: tuple[tuple[str, str, str], ...]
    reflog: str
    info: str
    index_was: tuple[int, int, int] | None
    moves: tuple[Move, ...] = ()
    note: dict[str, Any] | None = None


@dataclass
class Journal:
    """An open journal that we hold."""

    repo: Repository
    file: int
    strays: list[bytes] = field(default_factory=list)
    plan: Plan | None = None
    locked: bool = False
    stuck: bool = False

    @property
    def work(self) -> str:
        """The folder of what is being made ready."""
        return self.repo.in_git_dir(f"{_FOLDER}/work")

    def in_work(self, name: str) -> str:
        """A path in that folder."""
        return os.path.join(self.work, name)

    def note_stray(self, path: bytes) -> None:
        """Tells of a file or folder about to be made that must not outlive an interruption."""
        self.strays.append(path)
        self._add({"stray": path.decode("utf-8", "surrogateescape")})

    def note_plan(self, plan: Plan) -> None:
        """Tells what is about to happen; from here on an interruption goes forward if the branch has moved."""
        self.plan = plan
        self._add({"plan": asdict(plan)}, lasting=True)

    def _add(self, line: dict[str, Any], *, lasting: bool = False) -> None:
        os.write(self.file, json.dumps(line).encode() + b"\n")
        if lasting:
            os.fsync(self.file)

    def begin(self) -> None:
        """Begins with an empty folder of what is being made ready."""
        self._add({"begun": os.getpid()})
        shutil.rmtree(self.work, ignore_errors=True)
        os.makedirs(self.work)

    def take_lock(self) -> None:
        """Takes git's lock on the index. Raises Refusal where another git holds it."""
        lock, own = self._lock, self.in_work("lock")
        words = f"inkledger {os.getpid()} {time.time_ns()}\n".encode()
        try:
            _make(own, words)
            try:
                os.link(own, lock)
            except FileExistsError:
                raise
            except OSError:
                # A disk without second names: the lock is known as our own by its words.
                _make(lock, words)
        except FileExistsError:
            raise locked(os.path.relpath(lock, self.repo.top_text)) from None
        self.locked = True

    def keep_lock(self) -> None:
        """Takes git's lock on the index, if it is not ours any more. Raises Refusal where another git holds it."""
        own = self.in_work("lock")
        if (self.locked and os.path.exists(self._lock)) or _same(own, self._lock):
            return
        _gone(os.fsencode(own))
        self.take_lock()

    @property
    def _lock(self) -> str:
        return self.repo.index_path + ".lock"

    def let_go(self) -> None:
        """Clears what was being made ready, and git's lock if it is our own; the journal ends empty.

        Raises OSError where the lock can't be taken away; then the journal still tells of it.
        """
        own = self.in_work("lock")
        if (self.locked and not os.path.exists(own)) or _same(own, self._lock):
            with suppress(FileNotFoundError):
                os.unlink(self._lock)
        for stray in reversed(self.strays):
            if inside(self.repo, stray) and (os.path.isdir(stray) or _FRESH.match(os.path.basename(stray))):
                _gone(stray)
        shutil.rmtree(self.work, ignore_errors=True)
        os.ftruncate(self.file, 0)
        self.strays, self.plan, self.locked = [], None, False


def under_way(repo: Repository) -> bool:
    """Whether a journal is there that is not settled."""
    try:
        return not _led_elsewhere(repo) and os.path.getsize(repo.in_git_dir(f"{_FOLDER}/journal")) > 0
    except OSError:
        return False


def _led_elsewhere(repo: Repository) -> bool:
    """Whether a link stands in the place of what we keep: what lies behind it is not ours."""
    return any(os.path.islink(repo.in_git_dir(f"{_FOLDER}{below}")) for below in ("", "/journal", "/work"))


def opened(repo: Repository) -> Journal | None:
    """The journal with what it tells, held by us; None where another command holds it. Raises OSError."""
    if _led_elsewhere(repo):
        raise OSError(errno.ELOOP, "it is a link, not a folder", repo.in_git_dir(_FOLDER))
    os.makedirs(repo.in_git_dir(_FOLDER), exist_ok=True)
    file = os.open(repo.in_git_dir(f"{_FOLDER}/journal"), os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o666)
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(file)
        return None
    except BaseException:
        os.close(file)
        raise
    journal = Journal(repo, file)
    for line in os.read(file, 1 << 30).split(b"\n"):
        _take_in(journal, line)
    return journal


def _take_in(journal: Journal, line: bytes) -> None:
    """One line of a journal left behind; the last may be torn."""
    try:
        said = json.loads(line)
        if "stray" in said:
            journal.strays.append(path_bytes(said["stray"]))
        if "plan" in said:
            told = said["plan"]
            told["moves"] = tuple(Move(**move) for move in told["moves"])
            told["refs"] = tuple(tuple(ref) for ref in told["refs"])
            told["index_was"] = tuple(told["index_was"]) if told["index_was"] else None
            plan = Plan(**told)
            journal.plan = plan if _of_this_book(journal.repo, plan) else None
    except (ValueError, TypeError, KeyError, AttributeError):
        return


def _of_this_book(repo: Repository, plan: Plan) -> bool:
    """Whether a plan is about nothing but this book: a stranger's repository may bring a journal of its own making."""
    refs = [plan.branch, *(name for name, _, _ in plan.refs)]
    return (
        (plan.branch.startswith("refs/heads/") or (not plan.branch and not plan.refs))
        and all(name.startswith("refs/") and ".." not in name for name in refs if name)
        and all(inside(repo, repo.in_top(move.path)) for move in plan.moves)
        and all(move.fresh is None or _FRESH.match(move.fresh.encode()) for move in plan.moves)
    )


def inside(repo: Repository, place: bytes) -> bool:
    """Whether a file lies in the book's folder, links followed, and not in git's own."""
    top = os.path.realpath(os.fsencode(repo.top_text))
    name = os.path.basename(place)
    where = os.path.join(os.path.realpath(os.path.dirname(place)), name)
    parts = where[len(top) :].lower().split(b"/")
    return where.startswith(top + b"/") and b".git" not in parts and name not in (b"", b".", b"..")


@contextmanager
def held(repo: Repository, *, index: bool = True) -> Iterator[Journal]:
    """Holds the book for a recording, and git's index unless told not to; whatever ends it, nothing half-made is left.

    Raises Refusal.
    """
    from ledger.gitedge.settling import settle

    try:
        journal = opened(repo)
        if journal is None:
            raise Refusal("another inkledger is at work here", remedy="wait until it is done and try again")
        try:
            settle(journal)
            try:
                journal.begin()
                if index:
                    journal.take_lock()
                yield journal
            finally:
                if not journal.stuck:
                    settle(journal)
        finally:
            os.close(journal.file)
    except OSError as fault:
        raise of_the_machine(fault) from None


def _make(path: str, words: bytes) -> None:
    """Makes a file that was not there. Raises FileExistsError."""
    file = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666)
    try:
        os.write(file, words)
    finally:
        os.close(file)


def _same(own: str, lock: str) -> bool:
    """Whether a lock is the one we made: by its place on the disk, or by its words."""
    try:
        if os.path.samefile(own, lock):
            return True
        with open(own, "rb") as ours, open(lock, "rb") as there:
            words = ours.read(_WORDS)
            return words.startswith(b"inkledger ") and there.read(_WORDS) == words
    except OSError:
        return False


def _gone(path: bytes) -> None:
    """Takes a file or an empty folder away, if it is there."""
    try:
        if os.path.isdir(path) and not os.path.islink(path):
            os.rmdir(path)
        else:
            os.unlink(path)
    except OSError:
        return
