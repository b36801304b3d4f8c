"""Snapshots: the files of the book in a commit, in the index, in the working tree, or in a plain folder."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from ledger.gitedge.repository import path_bytes, path_text, split_z
from ledger.gitedge.worktree import differing, mode_on_disk, read_file, untracked
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.snapshot import FOLDER, FileAt, Snapshot

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from ledger.gitedge.objects import Reader
    from ledger.gitedge.repository import Repository

#: The ids of an empty file, in both forms of repository: an entry that git only means to add looks like one.
_EMPTY = {
    "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391",
    "473a0f4c3be8a93681a267e3b1e9a7dcda1185436fe141f7749120a303721813",
}
_INTENT_TO_ADD = 0x20000000
#: Of a file that is not merged yet, our side stands for it, then theirs, then what was before.
_STAGES = {b"0": 0, b"2": 1, b"3": 2, b"1": 3}


class GitStore:
    """Bytes of files that git has."""

    __slots__ = ("_reader",)

    def __init__(self, reader: Reader) -> None:
        self._reader = reader

    def read(self, file: FileAt) -> bytes:
        """See `Store`."""
        if file.oid is None or file.mode == "160000":
            raise ContentMissing(file.path, "not recorded" if file.oid is None else "another repository, not a file")
        try:
            return self.blob(file.oid)
        except ContentMissing as fault:
            raise ContentMissing(file.path, fault.why) from None

    def blob(self, oid: str) -> bytes:
        """See `Store`."""
        return self._reader.content(oid)

    def raw(self, oid: str) -> bytes:
        """The bytes as git has them, a large-file pointer not followed. Raises ContentMissing."""
        return self._reader.raw(oid)

    def warm(self, files: list[FileAt]) -> None:
        """See `Store`."""
        self._reader.warm(file.oid for file in files if file.oid and file.mode != "160000")


class FolderStore:
    """Bytes of files on disk; what is not on disk but known to git comes from there."""

    __slots__ = ("_reader", "_top")

    def __init__(self, top: bytes, reader: Reader | None) -> None:
        self._top, self._reader = top, reader

    def read(self, file: FileAt) -> bytes:
        """See `Store`."""
        place = self._top + b"/" + path_bytes(file.path)
        try:
            if file.mode == "120000":
                return os.readlink(place)
            data = read_file(place)
        except OSError as fault:
            if file.oid is not None and self._reader is not None:
                return GitStore(self._reader).read(file)
            raise ContentMissing(file.path, fault.strerror or "it can't be opened") from None
        return data if self._reader is None else self._reader.followed(data, file.path)

    def blob(self, oid: str) -> bytes:
        """See `Store`."""
        return self.raw(oid) if self._reader is None else self._reader.content(oid)

    def raw(self, oid: str) -> bytes:
        """The bytes as git has them, a large-file pointer not followed. Raises ContentMissing."""
        if self._reader is None:
            raise ContentMissing(oid, "there is no repository here")
        return self._reader.raw(oid)

    def warm(self, files: list[FileAt]) -> None:
        """Files on disk need no batch."""


def resolve_commit(repo: Repository, text: str) -> str | None:
    """The id of the commit that a revision names, or None where it names none."""
    if not text or "\0" in text:
        return None
    said, code = repo.ask("rev-parse", "--verify", "-q", "--end-of-options", f"{text}^{{commit}}")
    return said.decode().strip() if code == 0 else None


def resolve_commits(repo: Repository, oids: Iterable[str]) -> dict[str, str]:
    """Object id -> the commit that it is, or that a tag of this id stands for; ids of anything else are left out."""
    wanted = list(dict.fromkeys(oids))
    asked = "".join(f"{oid}^{{commit}}\n" for oid in wanted).encode()
    said = repo.run("cat-file", "--batch-check=%(objectname)", input=asked, check=False).decode().split("\n")
    return {oid: found for oid, found in zip(wanted, said, strict=False) if found and " " not in found}


def entries_at(repo: Repository, oid: str) -> dict[str, FileAt]:
    """The files directly in `ledger/` that a commit holds."""
    said = repo.run("ls-tree", "-z", "--full-tree", oid, "ledger/", check=False)
    return {file.path: file for line in split_z(said) for file in [_listed(line)[1]]}


def at_commit(repo: Repository, rev: str) -> Snapshot:
    """The files of a commit. Raises Refusal where `rev` names none."""
    oid = resolve_commit(repo, rev)
    if oid is None:
        raise Refusal(f"{rev!r} is no state of this book", remedy="see what there is: inkledger rounds, or git log")
    return of_commit(repo, oid, rev)


def of_commit(repo: Repository, oid: str, name: str | None = None) -> Snapshot:
    """The files of a commit known by its whole id; nothing is resolved, which saves a process."""
    return Snapshot(oid if name is None else name, dict(_in_tree(repo, oid)), GitStore(repo.reader))


def _in_tree(repo: Repository, oid: str) -> Iterator[tuple[str, FileAt]]:
    yield from map(_listed, split_z(repo.run("ls-tree", "-r", "-z", "--full-tree", oid)))


def _listed(line: bytes) -> tuple[str, FileAt]:
    """One line of `ls-tree -z`."""
    facts, _, name = line.partition(b"\t")
    mode, _, blob = facts.split(b" ")
    path = path_text(name)
    return path, FileAt(path, blob.decode(), mode.decode())


def empty(repo: Repository) -> Snapshot:
    """No files: what stands before the first commit."""
    return Snapshot("", {}, GitStore(repo.reader))


def of_index(repo: Repository) -> Snapshot:
    """What is about to be recorded: the index, the one git gave a hook included.

    Files that git only means to add (`git add -N`) have no content yet and are left out.
    """
    return Snapshot(":index", _in_index(repo)[0], GitStore(repo.reader))


def _in_index(repo: Repository) -> tuple[dict[str, FileAt], list[str]]:
    """The files of the index, and those that git is told not to look at in the working tree."""
    found: dict[str, tuple[int, FileAt]] = {}
    flagged = []
    for line in split_z(repo.run("ls-files", "-s", "-v", "-z")):
        facts, _, name = line.partition(b"\t")
        flag, mode, oid, stage = facts.split(b" ")
        path, rank = path_text(name), _STAGES[stage]
        if flag == b"S" or flag.islower():
            flagged.append(path)
        if path not in found or rank < found[path][0]:
            found[path] = rank, FileAt(path, oid.decode(), mode.decode())
    files = {path: file for path, (_, file) in found.items()}
    for path in _only_meant(repo, [p for p, file in files.items() if file.oid in _EMPTY]):
        del files[path]
    return files, flagged


def _only_meant(repo: Repository, paths: list[str]) -> Iterator[str]:
    """Those of these paths that are in the index without content."""
    said = repo.run("ls-files", "-z", "--debug", "--", *map(path_bytes, paths)) if paths else b""
    while said:
        name, _, facts = said.partition(b"\0")
        flags, _, said = facts.partition(b"flags: ")[2].partition(b"\n")
        if int(flags or b"0", 16) & _INTENT_TO_ADD:
            yield path_text(name)


def of_worktree(repo: Repository) -> Snapshot:
    """Your files now, untracked ones too, ignored ones not.

    A file that is as the index has it carries git's id; any other has none until git takes it in.
    """
    files, flagged = _in_index(repo)
    for path, mode in differing(repo, files, flagged):
        if mode is None and not _is_folder(repo.in_top(path)):
            files.pop(path, None)
        elif mode is None:
            # A folder in the place of a file is seen as what it is, not passed by.
            files[path] = FileAt(path, None, FOLDER)
        else:
            files[path] = FileAt(path, None, mode)
    new = {file.path: file for file in untracked(repo)}
    # Git knows no folders: one in the place of a page that never was is seen by what lies in it.
    for folder in {above for path in new for above in _suffixed_above(path)} - files.keys():
        files[folder] = FileAt(folder, None, FOLDER)
    files.update(new)
    return Snapshot(".", files, FolderStore(os.fsencode(repo.top_text), repo.reader))


def _is_folder(place: bytes) -> bool:
    """Whether a folder lies where a file of this name was, which goes by a suffix."""
    return bool(os.path.splitext(place)[1]) and os.path.isdir(place) and not os.path.islink(place)


def _suffixed_above(path: str) -> Iterator[str]:
    """The folders that a path lies in whose names have a suffix, as those of files do."""
    folder = path.rpartition("/")[0]
    while folder:
        if os.path.splitext(folder)[1]:
            yield folder
        folder = folder.rpartition("/")[0]


def of_folder(path: Path) -> Snapshot:
    """The files of a plain folder, git or no git. Raises Refusal where it can't be read."""
    top = os.fsencode(os.fspath(path))
    if not os.path.isdir(top):
        raise Refusal("no such folder", path=os.fspath(path), remedy="name a folder that is there")
    files = {found.path: found for found in _walked(top, b"")}
    return Snapshot(os.fspath(path), files, FolderStore(top, None))


def _walked(top: bytes, inside: bytes) -> Iterable[FileAt]:
    try:
        names = sorted(os.listdir(os.path.join(top, inside)))
    except OSError as fault:
        raise Refusal(
            f"the folder can't be read: {fault.strerror}", path=path_text(os.path.join(top, inside)),
            remedy="see that it is yours to read",
        ) from None  # fmt: skip
    for name in names:
        below = os.path.join(inside, name)
        place = os.path.join(top, below)
        if os.path.isdir(place) and not os.path.islink(place):
            if os.path.splitext(name)[1]:
                # A folder in the place of a file is seen as what it is, not passed by.
                yield FileAt(path_text(below), None, FOLDER)
            if name != b".git":
                yield from _walked(top, below)
        else:
            yield FileAt(path_text(below), None, mode_on_disk(place) or "100644")
