"""`backup`: a complete second copy of the book on another disk, and the book made again from it."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path

from ledger.desk.made_to_be_read import left_out, made_to_be_read
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.working_files import masters_aside, masters_words
from ledger.gitedge import backups, set_up
from ledger.gitedge.history import shallow
from ledger.gitedge.noted import note_copy
from ledger.gitedge.objects import missing_objects
from ledger.gitedge.repository import Repository
from ledger.gitedge.snapshots import of_index
from ledger.gitedge.worktree import differing, untracked
from ledger.judge.exports.large_files import large_file_rules
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.outcome import Outcome
from ledger.read.state import read_state
from ledger.render.plain import plural


def back_up(here: Path, place: Path) -> Outcome:
    """Makes the copy in `place` or brings it up to date. Raises Refusal where it could not hold the whole book."""
    book = open_book(here)
    target = str(place.resolve())
    _refuse_unfit(book, target)
    copied = backups.copy_book(book.repo, target)
    note_copy(book.repo, target)
    made = "made" if copied.new else "brought up to date"
    said = [f"The copy in {target} is {made} and checked: {plural(copied.refs, 'branch and tag', 'branches and tags')}"
            f"{_large_words(copied.large)}."]  # fmt: skip
    if copied.kept:
        said.append(f"It keeps what the book has let go: {', '.join(copied.kept)}.")
    if _same_disk(book.repo, target):
        said.append("It lies on the same disk as the book: what breaks one breaks both. Make one on another disk too.")
    aside, masters = made_to_be_read(book.repo), _masters(book)
    if unrecorded := _unrecorded(book, len(aside) + len(masters)):
        said.append(f"Not in it, because not recorded yet: {plural(unrecorded, 'file')}. Record them: inkledger save")
    if aside:
        said.append(left_out(aside))
    if masters:
        said.append(masters_words(masters))
    said.append(f"To have the book again from it: inkledger init NEW-FOLDER --from {target}")
    return Outcome(True, tuple(said), paths=(target,), findings=_not_here(book))


def _large_words(count: int) -> str:
    return f", {plural(count, 'large file')} new" if count else ""


def _refuse_unfit(book: OpenBook, target: str) -> None:
    repo = book.repo
    if book.head_commit is None:
        raise Refusal("nothing of this book is recorded yet", remedy="enter a round first: inkledger enter script")
    if shallow(repo) or repo.partial:
        raise Refusal(
            "only a part of the book's history is on this machine, so a copy of it would be a part too",
            remedy="fetch the rest first: git fetch --unshallow, or git fetch --refetch",
        )
    inside = (repo.top_text, repo.git_dir_text, repo.in_common_dir(""))
    real = os.path.realpath(target)
    if any(os.path.commonpath([real, os.path.realpath(each)]) == os.path.realpath(each) for each in inside):
        raise Refusal("this lies inside the book itself", path=target, remedy="name a folder on another disk")


def _same_disk(repo: Repository, target: str) -> bool:
    return Path(target).stat().st_dev == repo.git_dir.stat().st_dev


def _masters(book: OpenBook) -> tuple[str, ...]:
    """Working files that are not in git; a `book.toml` that can't be read now names none and stops no copy."""
    with suppress(Refusal):
        return masters_aside(book.repo, book.book_now)
    return ()


def _unrecorded(book: OpenBook, aside: int) -> int:
    """Files that differ from the newest commit: no copy of history can hold them. `aside` of them count for nothing."""
    known, staged = book.head_snapshot.files, of_index(book.repo).files
    index = {path for path, file in staged.items() if known.get(path) != file}
    changed = {path for path, _ in differing(book.repo, staged)}
    return len(changed | index | (known.keys() - staged.keys()) | {file.path for file in untracked(book.repo)}) - aside


def _not_here(book: OpenBook) -> tuple[Finding, ...]:
    """Content that an entry names and that is not on this machine: the copy lacks it too."""
    entries = book.head.entries if book.head else ()
    gone = missing_objects(book.repo, {oid for entry in entries for oid in entry.files.values() if oid})
    paths = sorted({path for entry in entries for path, oid in entry.files.items() if oid in gone})
    if not paths:
        return ()
    more = f" and {plural(len(paths) - 1, 'other file')}" if len(paths) > 1 else ""
    return (
        Finding("export-unreadable", "block", f"{paths[0]}{more}: not on this machine, so not in the copy either",
                paths[0], remedy="fetch it, then run this again: git lfs fetch --all"),
    )  # fmt: skip


def make_again(place: Path, source: Path) -> list[str]:
    """The book made again in a new folder from a copy, its files laid out; the folder is there whole or not at all.

    Gives what there is to say. Raises Refusal where the folder holds anything, and where the copy is none or damaged.
    """
    if place.exists() and (not place.is_dir() or any(place.iterdir())):
        raise Refusal("there is something in this folder already", path=str(place), remedy="name a new, empty folder")
    copy = str(source.resolve())
    form = backups.form_of(copy)
    work = place.with_name(f"{place.name}.inkledger-new")
    try:
        shutil.rmtree(work, ignore_errors=True)
        work.mkdir(parents=True)
        repo = set_up.make_repository(work, form)
        said = _filled(OpenBook(repo), backups.bring_back(copy, repo))
        set_up.lays_out(repo, ())
        if place.exists():
            place.rmdir()
        work.rename(place)
    except OSError as fault:
        raise Refusal(f"the book could not be laid out: {fault.strerror}", path=str(place)) from None
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return [f"The book is here again in {place}, from the copy in {copy}.", *said]


def _filled(book: OpenBook, branch: str | None) -> list[str]:
    if branch is None or book.head_commit is None:
        return ["The copy names no branch to work on: see what there is: git branch --all"]
    said = _with_large_files(book)
    set_up.lay_out_files(book.repo)
    return said


def _with_large_files(book: OpenBook) -> list[str]:
    if "book.toml" not in book.head_snapshot.files or not large_file_rules(read_state(book.head_snapshot)):
        return []
    if set_up.lfs_is_here():
        set_up.use_lfs(book.repo)
        return []
    return ["git-lfs is not installed here, so the large files are laid out as pointers. Install it, then: "
            "git lfs install --local && git lfs checkout"]  # fmt: skip
