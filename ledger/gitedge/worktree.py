"""The working tree against the index: what differs, what git does not know, what lies on disk."""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING

from ledger.gitedge.repository import path_text, split_z
from ledger.model.snapshot import FileAt

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from ledger.gitedge.repository import Repository


def differing(
    repo: Repository, index: Mapping[str, FileAt], flagged: Iterable[str] = ()
) -> Iterator[tuple[str, str | None]]:
    """Tracked paths that are not as the index has them, with the mode on disk, None where they are gone.

    `flagged` are those that git is told not to look at; where they lie on disk they are looked at here.
    A file that only looks newer (in a copied book, say) is read and found the same. No filter is run: a large file is
    held against its pointer.
    """
    found = _looks(repo)
    unseen = [path for path in flagged if os.path.lexists(repo.in_top(path))]
    if unseen or any(mode is not None for _, mode in found):
        found = _read_again(repo, unseen)
        same = _large_and_same(
            repo, [path for path, mode in found if path in index and mode == index[path].mode], index
        )
        found = [(path, mode) for path, mode in found if path not in same]
    yield from found


def _looks(repo: Repository, index: str | None = None) -> list[tuple[str, str | None]]:
    """What git takes for changed by size, time and mode."""
    env = {"GIT_INDEX_FILE": index} if index else None
    said = split_z(repo.run(*repo.without_filters(), "diff-files", "--raw", "-z", "--ignore-submodules=all", env=env))
    found: dict[str, str | None] = {}
    for facts, name in zip(said[::2], said[1::2], strict=True):
        _, mode, _, _, kind = facts.lstrip(b":").split(b" ")
        path = path_text(name)
        if kind.startswith(b"U"):
            found[path] = mode_on_disk(repo.in_top(path))
        elif path not in found:
            found[path] = None if kind == b"D" else mode.decode()
    return list(found.items())


def _read_again(repo: Repository, unseen: list[str]) -> list[tuple[str, str | None]]:
    """The same after git has read what looks newer and what it was told not to look at, in an index of our own."""
    import tempfile

    from ledger.gitedge.indexes import copy_index, look_at

    try:
        with tempfile.TemporaryDirectory(prefix="inkledger-") as folder:
            index = os.path.join(folder, "index")
            copy_index(repo.index_path, index)
            if unseen:
                look_at(repo, index)
            refreshed = (*repo.without_filters(), "update-index", "-q", "--refresh", "--ignore-submodules")
            repo.run(*refreshed, env={"GIT_INDEX_FILE": index}, check=False)
            return _looks(repo, index)
    except OSError:
        return _looks(repo)


def _large_and_same(repo: Repository, paths: list[str], index: Mapping[str, FileAt]) -> set[str]:
    """Those of these paths whose content on disk is the large file that the index points at."""
    if not paths or not os.path.isdir(repo.in_common_dir("lfs")):
        return set()
    from ledger.gitedge.objects import large_digests

    ids = {path: index[path].oid or "" for path in paths}
    large = large_digests(repo, ids.values())
    return {path for path, oid in ids.items() if oid in large and _digest(repo, path) == large[oid]}


def _digest(repo: Repository, path: str) -> str | None:
    """The SHA-256 of a file on disk in hex; None where it can't be read."""
    import hashlib

    try:
        return hashlib.sha256(read_file(repo.in_top(path))).hexdigest()
    except OSError:
        return None


def untracked(repo: Repository) -> Iterator[FileAt]:
    """Files git does not know and is not told to ignore; another repository inside is one entry."""
    for name in split_z(repo.run("ls-files", "-o", "--exclude-standard", "-z")):
        path = path_text(name.removesuffix(b"/"))
        mode = mode_on_disk(repo.in_top(path))
        if mode is not None:
            yield FileAt(path, None, mode)


def mode_on_disk(place: bytes) -> str | None:
    """The mode git would give what lies there; None where it would keep nothing."""
    try:
        mode = os.lstat(place).st_mode
    except OSError:
        return None
    if stat.S_ISREG(mode):
        return "100755" if mode & 0o100 else "100644"
    if stat.S_ISLNK(mode):
        return "120000"
    return "160000" if stat.S_ISDIR(mode) else None


def read_file(place: bytes, most: int = -1) -> bytes:
    """The bytes of a plain file, the first `most` of them if that is given.

    Raises OSError, for a pipe or a device too, which are never waited for.
    """
    file = os.open(place, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    with open(file, "rb") as opened:
        if not stat.S_ISREG(os.fstat(file).st_mode):
            raise OSError(0, "it is no plain file")
        return opened.read(most)
