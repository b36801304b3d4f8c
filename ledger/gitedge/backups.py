"""A second copy of the book in a bare repository, through git itself: every ref, every tag, every large file."""

from __future__ import annotations

import fcntl
import hashlib
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass

from ledger.gitedge.complaints import GitFailed, of_the_machine
from ledger.gitedge.large_files import LargeFiles
from ledger.gitedge.remotes import refs_here
from ledger.gitedge.repository import Repository
from ledger.gitedge.running import PLACE, run_git
from ledger.model.errors import Refusal

#: Where a copy keeps what the book has let go since: a branch deleted there, history written anew.
KEPT = "refs/before-backup/"
_FRESH = ".inkledger-new"
#: A file in a copy that is there as long as a command writes in it; what was killed leaves it behind.
_AT_WORK = "inkledger-at-work"
_PIECE = 1 << 20


@dataclass(frozen=True, slots=True)
class Copied:
    """What went into a copy: whether it is a new one, refs, large files that are new in it, refs that it keeps."""

    new: bool
    refs: int
    large: int
    kept: tuple[str, ...]


def copy_book(repo: Repository, place: str) -> Copied:
    """Makes the copy, or brings it up to date, and checks it.

    A new one is made beside its place and put there whole. Raises Refusal where there is something else, where it
    can't be written, and where what was written does not hold.
    """
    new = not os.path.lexists(place)
    work = place + _FRESH if new else place
    try:
        if not new and not _is_copy(work):
            raise Refusal("there is something else here already", path=place, remedy=f"name a folder of its own: "
                          f"inkledger backup {os.path.join(place, 'book.git')}")  # fmt: skip
        os.makedirs(work, exist_ok=True)
        with _held(work) as hold:
            try:
                if new:
                    _emptied(work)
                    _git(work, "init", "--quiet", "--bare", f"--object-format={repo.object_format}", ".")
                copied = _filled(repo, work, new, hold)
                if new:
                    os.rename(work, place)
            finally:
                if new:
                    _clear(work)
        return copied
    except OSError as fault:
        raise of_the_machine(fault) from None


@contextmanager
def _held(work: str) -> Iterator[int]:
    """Holds a copy against a second command, and against the next one as long as a git of ours is at work in it.

    Locks that a killed git left in a copy, since the command that began there and never ended, are taken away: nobody
    but `backup` writes in it. Raises Refusal where another command is at work, OSError.
    """
    sign = os.path.join(work, _AT_WORK)
    hold = os.open(sign, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        try:
            fcntl.flock(hold, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise Refusal("another inkledger is writing this copy", path=work.removesuffix(_FRESH),
                          remedy="wait until it is done and try again") from None  # fmt: skip
        except OSError:
            pass  # a disk that knows no such hold
        began = os.fstat(hold).st_mtime
        if os.pread(hold, 1, 0):
            _unlocked(work, began)
        os.pwrite(hold, b"1", 0)
        yield hold
    finally:
        for folder in (work, work.removesuffix(_FRESH)):
            with suppress(OSError):
                if os.path.samestat(os.stat(os.path.join(folder, _AT_WORK)), os.fstat(hold)):
                    os.unlink(os.path.join(folder, _AT_WORK))
        os.close(hold)


def _unlocked(work: str, began: float) -> None:
    """Takes away the locks that were made since a moment (seconds)."""
    for folder, _, names in os.walk(work):
        for name in names:
            place = os.path.join(folder, name)
            if (name.endswith(".lock") or name == "packed-refs.new") and os.lstat(place).st_mtime >= began:
                os.unlink(place)


def _emptied(work: str) -> None:
    """Takes away what an interrupted run left in the folder of a new copy. Raises OSError."""
    for name in os.listdir(work):
        place = os.path.join(work, name)
        if os.path.isdir(place) and not os.path.islink(place):
            shutil.rmtree(place)
        elif name != _AT_WORK:
            os.unlink(place)


def _filled(repo: Repository, work: str, new: bool, hold: int) -> Copied:
    refs = refs_here(repo)
    kept = _keep(repo, work, refs, hold)
    try:
        # No protocol but this one, from this folder to that: nothing is asked of any network.
        _git(work, "fetch", "--quiet", "--atomic", "--no-tags", "--no-write-fetch-head", "--no-auto-gc",
             "--update-head-ok", os.path.abspath(repo.in_common_dir("")), "+refs/*:refs/*",
             hold=hold, GIT_ALLOW_PROTOCOL="file")  # fmt: skip
    except GitFailed:
        check_copy(work, {})
        raise
    head, code = repo.ask("symbolic-ref", "-q", "HEAD")
    if code == 0:
        _git(work, "symbolic-ref", "HEAD", os.fsdecode(head).strip(), hold=hold)
    large = copy_large(LargeFiles.of(repo), LargeFiles.of(Repository.served(work)))
    check_copy(work, refs)
    return Copied(new, len(refs), large, kept)


def _keep(repo: Repository, work: str, refs: dict[str, str], hold: int) -> tuple[str, ...]:
    """Gives what the book has let go, or put elsewhere than on top of what it was, a name of its own in the copy."""
    there = refs_here(Repository.served(work))
    gone = {ref: oid for ref, oid in there.items() if refs.get(ref) != oid and not ref.startswith(KEPT)}
    lost = {ref: oid for ref, oid in gone.items() if ref not in refs or not _grown(repo, oid, refs[ref])}
    stamp = time.strftime("%Y%m%dT%H%M%SZ", time.gmtime())
    lines = [f"create {KEPT}{stamp}/{ref.removeprefix('refs/')} {oid}\n" for ref, oid in lost.items()]
    # A name that is gone may stand in the way of a new one (a branch `ink` of a branch `ink/2`).
    lines += [f"delete {ref} {oid}\n" for ref, oid in lost.items() if ref not in refs]
    if lines:
        said = "".join(lines).encode("utf-8", "surrogateescape")
        _git(work, "update-ref", "--no-deref", "--stdin", given=said, hold=hold)
    return tuple(sorted(lost))


def _grown(repo: Repository, old: str, new: str) -> bool:
    """Whether a branch only went on; what the book does not have any more it did not go on from."""
    return repo.ask("merge-base", "--is-ancestor", old, new)[1] == 0


def check_copy(work: str, refs: dict[str, str]) -> None:
    """Raises Refusal where a copy lacks a ref, has it elsewhere, or holds a broken object."""
    there = refs_here(Repository.served(work))
    wrong = [ref for ref, oid in refs.items() if there.get(ref) != oid]
    if wrong:
        raise Refusal(f"the copy does not hold {wrong[0]} as the book does", path=work, remedy=_AGAIN)
    try:
        _git(work, "fsck", "--full", "--no-dangling", "--no-progress")
    except GitFailed as fault:
        raise Refusal(f"the copy is damaged: {fault.message}", path=work, remedy=_AGAIN) from None


_AGAIN = "put this copy aside and make a new one: inkledger backup DIR"


def copy_large(source: LargeFiles, target: LargeFiles) -> int:
    """Copies the large files that are not there yet, each held against its digest; gives how many. Raises OSError."""
    count = 0
    for place, digest in source.all():
        aim = target.place_of(digest)
        if os.path.isfile(aim) and os.path.getsize(aim) == os.path.getsize(place):
            continue
        os.makedirs(os.path.dirname(aim), exist_ok=True)
        fresh = aim + _FRESH.encode()
        if _copied(place, fresh) != digest or _digest(fresh) != digest:
            os.unlink(fresh)
            raise Refusal(f"the large file {digest[:10]} is damaged", path=os.fsdecode(place),
                          remedy="fetch it again: git lfs fetch --all, or take it from an older copy")  # fmt: skip
        os.replace(fresh, aim)
        count += 1
    return count


def _copied(source: bytes, target: bytes) -> str:
    """Copies a file to the disk itself; gives the digest of what was read."""
    seen = hashlib.sha256()
    with open(source, "rb") as reading, open(target, "wb") as writing:
        while piece := reading.read(_PIECE):
            seen.update(piece)
            writing.write(piece)
        writing.flush()
        os.fsync(writing.fileno())
    return seen.hexdigest()


def _digest(place: bytes) -> str:
    seen = hashlib.sha256()
    with open(place, "rb") as reading:
        while piece := reading.read(_PIECE):
            seen.update(piece)
    return seen.hexdigest()


def _is_copy(place: str) -> bool:
    """Whether a bare repository lies exactly there."""
    if not os.path.isfile(os.path.join(place, "HEAD")) or os.path.exists(os.path.join(place, ".git")):
        return False
    said, code = run_git(("rev-parse", "--is-bare-repository", "--absolute-git-dir"), place, env=dict.fromkeys(PLACE),
                         check=False)  # fmt: skip
    lines = os.fsdecode(said).split("\n")
    return code == 0 and lines[0] == "true" and os.path.realpath(lines[1]) == os.path.realpath(place)


def _git(work: str, *args: str, given: bytes | None = None, hold: int | None = None, **env: str) -> bytes:
    """Runs git in the copy, whatever git gave a hook around us; it keeps the hold on the copy until it ends."""
    said, _ = run_git(args, work, input=given, env={**dict.fromkeys(PLACE), **env}, check=True, holding=hold)
    return said


def _clear(place: str) -> None:
    if os.path.isdir(place):
        shutil.rmtree(place, ignore_errors=True)


def form_of(place: str) -> str:
    """The object format of a copy. Raises Refusal for anything but a copy."""
    if not os.path.isdir(place) or not _is_copy(place):
        raise Refusal("this is no copy that inkledger backup made", path=place, remedy="name the folder of the copy")
    return Repository.served(place).object_format


def bring_back(place: str, repo: Repository) -> str | None:
    """Takes everything out of a copy into a new repository, whose HEAD then names the same branch; gives that branch.

    What the copy keeps of older states comes along. No file is laid out yet. Raises Refusal where the copy is damaged.
    """
    _git(repo.top_text, "fetch", "--quiet", "--no-tags", "--no-write-fetch-head", "--update-head-ok",
         os.path.abspath(place), "+refs/*:refs/*", GIT_ALLOW_PROTOCOL="file")  # fmt: skip
    there = Repository.served(place)
    check_copy(repo.git_dir_text, refs_here(there))
    head, code = there.ask("symbolic-ref", "-q", "HEAD")
    if code == 0:
        _git(repo.top_text, "symbolic-ref", "HEAD", os.fsdecode(head).strip())
    try:
        copy_large(LargeFiles.of(there), LargeFiles.of(repo))
    except OSError as fault:
        raise of_the_machine(fault) from None
    return os.fsdecode(head).strip().removeprefix("refs/heads/") if code == 0 else None
