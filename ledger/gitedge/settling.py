"""Carrying a plan out, and settling one that was interrupted: forward if the branch has moved, else back."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ledger.gitedge.indexes import copy_index, put_entries, refresh
from ledger.gitedge.journal import Journal, Move, Plan, opened, under_way
from ledger.gitedge.repository import path_bytes
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository


def carry_out(journal: Journal, plan: Plan, written: Iterable[str] = ()) -> None:
    """Carries a plan out, all or nothing. Raises Refusal where git does not move the refs; then nothing has changed.

    `written` are files that the plan puts in place and the index holds: it is let know that they are what it says.
    """
    journal.note_plan(plan)
    if plan.branch:
        _move_refs(journal, plan)
    try:
        settle(journal, written)
    except OSError as fault:
        journal.stuck = True
        done = "recorded" if plan.branch else "begun"
        raise Refusal(
            f"it is {done}, but not every file could be put in place: {fault.strerror}",
            remedy="see that there is room and that the folder is yours; the next inkledger command finishes it",
        ) from None


def _move_refs(journal: Journal, plan: Plan) -> None:
    repo = journal.repo
    lines = [_line(repo, plan.branch, plan.new, plan.old), *(_line(repo, *ref) for ref in plan.refs)]
    reflog = plan.reflog.replace("\0", " ").encode("utf-8", "replace")
    said = "".join(["start\n", *lines, "prepare\n", "commit\n"]).encode("utf-8", "surrogateescape")
    repo.ask("update-ref", "-m", reflog, "--stdin", input=said, check=True, holding=journal.file)


def _line(repo: Repository, ref: str, new: str, old: str) -> str:
    if new == repo.zero:
        return f"delete {ref} {old}\n"
    return f"create {ref} {new}\n" if old == repo.zero else f"update {ref} {new} {old}\n"


def settle_quietly(repo: Repository) -> None:
    """Settles what a killed command left, if anything; a book that can't be written now stays as it is."""
    if not under_way(repo):
        return
    try:
        journal = opened(repo)
    except OSError:
        return
    if journal is not None:
        try:
            settle(journal)
        except (OSError, Refusal):
            return
        finally:
            os.close(journal.file)


def settle(journal: Journal, written: Iterable[str] = ()) -> None:
    """Finishes what the journal tells if the branch has moved, takes it back if not.

    Raises OSError; Refusal where another git holds the index, whose lock somebody took from us.
    """
    plan = journal.plan
    if plan is not None:
        if _moved(journal.repo, plan):
            _forward(journal, plan)
            _let_know(journal, written)
        else:
            _back(journal, plan)
    if plan is not None or journal.strays or under_way(journal.repo):
        journal.let_go()


def _value(repo: Repository, ref: str) -> str:
    said, code = repo.ask("rev-parse", "--verify", "-q", ref)
    return said.decode().strip() if code == 0 else repo.zero


def _moved(repo: Repository, plan: Plan) -> bool:
    if not plan.branch:
        return True
    now = _value(repo, plan.branch)
    if now in (plan.old, plan.new):
        return now == plan.new
    return plan.new != repo.zero and repo.ask("merge-base", "--is-ancestor", plan.new, now)[1] == 0


def _forward(journal: Journal, plan: Plan) -> None:
    repo = journal.repo
    late = [ref for ref in plan.refs if _value(repo, ref[0]) != ref[1]]
    if late:
        _unlock(repo, plan)
        _set_refs(journal, late)
    if os.path.exists(journal.in_work("index")):
        _index_in_place(journal, plan)
    for move in plan.moves:
        _move(repo, move)
    if plan.note is not None:
        remember(repo, plan.note)


def _index_in_place(journal: Journal, plan: Plan) -> None:
    """Puts the index that waits in the place of the user's; if that was changed meanwhile, into a copy of it.

    No git writes the index itself, so that none that is killed can leave its lock there.
    """
    repo, fresh = journal.repo, journal.in_work("index")
    journal.keep_lock()
    if index_facts(repo.index_path) != plan.index_was:
        copy_index(repo.index_path, fresh)
        put_entries(repo, fresh, path_bytes(plan.info))
    os.replace(fresh, repo.index_path)


def _let_know(journal: Journal, written: Iterable[str]) -> None:
    """Lets the index know that files now lie on disk as it says; for the sake of speed, so that it may fail."""
    index, seen = journal.repo.index_path, journal.in_work("seen")
    listed = list(written)
    with contextlib.suppress(OSError):
        if listed and os.path.exists(index):
            copy_index(index, seen)
            refresh(journal.repo, seen, listed)
            os.replace(seen, index)


def _back(journal: Journal, plan: Plan) -> None:
    """Takes back what a git killed half-way had done to the other refs already."""
    repo = journal.repo
    _unlock(repo, plan)
    done = [(ref, old, new) for ref, new, old in plan.refs if new != old and _value(repo, ref) == new]
    if done:
        _set_refs(journal, done)


def _set_refs(journal: Journal, refs: list[tuple[str, str, str]]) -> None:
    """Sets refs (name, new, old); git keeps the journal's lock until it ends, whatever becomes of us."""
    repo = journal.repo
    lines = "".join(_line(repo, *ref) for ref in refs).encode("utf-8", "surrogateescape")
    repo.ask("update-ref", "--stdin", input=lines, holding=journal.file)


def _unlock(repo: Repository, plan: Plan) -> None:
    """Takes away the locks that a git killed half-way left: those on our refs that hold what we gave them."""
    for ref, new in ((plan.branch, plan.new), *((ref, new) for ref, new, _ in plan.refs)):
        place = repo.in_common_dir(ref) + ".lock"
        try:
            with open(place, encoding="ascii", errors="replace") as file:
                ours = file.read().strip() == new
            if ours:
                os.unlink(place)
        except OSError:
            continue
    _unlock_empty(repo, repo.in_git_dir("HEAD.lock"))
    if any(new == repo.zero for _, new, _ in plan.refs) and _unlock_empty(repo, repo.in_common_dir("packed-refs.lock")):
        with contextlib.suppress(OSError):
            os.unlink(repo.in_common_dir("packed-refs.new"))


def _unlock_empty(repo: Repository, place: str) -> bool:
    """Takes a lock away in which git writes nothing, if it was made in our time; whether it was there."""
    ours = os.path.exists(place) and os.path.getsize(place) == 0 and _as_old_as_the_journal(repo, place)
    if ours:
        os.unlink(place)
    return ours


def _as_old_as_the_journal(repo: Repository, place: str) -> bool:
    """Whether a file was made in the minute after the plan was noted, and that is over."""
    noted = os.path.getmtime(repo.in_git_dir("inkledger/journal"))
    return noted - 1 <= os.path.getmtime(place) <= noted + 60


def _move(repo: Repository, move: Move) -> None:
    """Puts one file in place, unless somebody has changed it since."""
    place = repo.in_top(move.path)
    unchanged = digest_on_disk(place) == move.before
    if move.fresh is None:
        if unchanged and move.before is not None:
            os.unlink(place)
            _leave_no_empty_folder(repo, move.path)
        return
    fresh = os.path.join(os.path.dirname(place), move.fresh.encode())
    if os.path.exists(fresh):
        if unchanged:
            os.replace(fresh, place)
        else:
            os.unlink(fresh)


def _leave_no_empty_folder(repo: Repository, path: str) -> None:
    folder = os.path.dirname(path)
    while folder:
        try:
            os.rmdir(repo.in_top(folder))
        except OSError:
            return
        folder = os.path.dirname(folder)


def digest_on_disk(place: bytes) -> str | None:
    """The SHA-256 of a plain file in hex; None where none lies there, "" for what is no plain file."""
    if not os.path.lexists(place):
        return None
    if os.path.islink(place) or not os.path.isfile(place):
        return ""
    with open(place, "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def index_facts(path: str) -> tuple[int, int, int] | None:
    """What an index is known by: its number on the disk, size and time; None where there is none."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def remember(repo: Repository, note: dict[str, object]) -> None:
    """Adds to the list of what this tool recorded here, once."""
    os.makedirs(repo.in_common_dir("inkledger"), exist_ok=True)
    if note not in remembered(repo):
        with open(repo.in_common_dir("inkledger/recorded"), "ab") as file:
            file.write(json.dumps(note).encode() + b"\n")


def remembered(repo: Repository) -> list[dict[str, object]]:
    """What this tool recorded here, oldest first: each with `commit`, `written` paths and `tags`."""
    try:
        with open(repo.in_common_dir("inkledger/recorded"), "rb") as file:
            lines = file.read().splitlines()
    except OSError:
        return []
    found = []
    for line in lines:
        try:
            found.append(json.loads(line))
        except ValueError:
            continue
    return [note for note in found if isinstance(note, dict) and "commit" in note]
