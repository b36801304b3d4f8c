"""Indexes beside the user's own: made, filled with entries, turned into a tree."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from ledger.gitedge.repository import path_bytes, path_text, split_z
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository


def copy_index(source: str, target: str) -> None:
    """Copies an index with its time, by which git knows which of its entries it may not trust. None makes none."""
    try:
        with open(source, "rb") as file:
            data = file.read()
            found = os.fstat(file.fileno())
    except FileNotFoundError:
        return
    with open(target, "wb") as file:
        file.write(data)
    os.utime(target, ns=(found.st_atime_ns, found.st_mtime_ns))


def index_info(repo: Repository, files: Iterable[FileAt], removed: Iterable[str] = ()) -> bytes:
    """What `update-index --index-info` reads: files to stand in the index, paths to leave it. Raises Refusal."""
    lines = [b"0 %s\t%s\0" % (repo.zero.encode(), path_bytes(path)) for path in removed]
    for file in files:
        assert file.oid is not None
        if any(part in ("", ".", "..") or part.lower() == ".git" for part in file.path.split("/")):
            raise Refusal("git keeps no file of this name", path=file.path, remedy="give it another name")
        lines.append(b"%s %s\t%s\0" % (file.mode.encode(), file.oid.encode(), path_bytes(file.path)))
    return b"".join(lines)


def put_entries(repo: Repository, index: str, info: bytes) -> None:
    """Puts entries into an index and takes others out; every other one stays as it is."""
    repo.run("update-index", "--add", "--replace", "-z", "--index-info", input=info, env={"GIT_INDEX_FILE": index})


def refresh(repo: Repository, index: str, paths: Iterable[str]) -> None:
    """Lets an index know that these files on disk are what it says, where they are; no content is taken in."""
    listed = b"".join(path_bytes(path) + b"\0" for path in paths)
    if listed:
        repo.run(
            "add", "--refresh", "--sparse", "--pathspec-from-file=-", "--pathspec-file-nul",
            input=listed, env={"GIT_INDEX_FILE": index}, check=False,
        )  # fmt: skip


def look_at(repo: Repository, index: str) -> None:
    """Takes back in an index that git is told not to look at files that lie on disk."""
    lines = split_z(repo.run("ls-files", "-v", "-z", env={"GIT_INDEX_FILE": index}))
    flagged = [line[2:] for line in lines if line[:1] == b"S" or line[:1].islower()]
    listed = b"".join(name + b"\0" for name in flagged if os.path.lexists(os.fsencode(repo.top_text) + b"/" + name))
    for flag in ("--no-assume-unchanged", "--no-skip-worktree") if listed else ():
        repo.run("update-index", flag, "-z", "--stdin", input=listed, env={"GIT_INDEX_FILE": index})


def tree_with(repo: Repository, index: str, base: str | None, info: bytes) -> str:
    """The tree of a commit (none: no files) with entries put over it, made by way of the index named."""
    env = {"GIT_INDEX_FILE": index}
    repo.run("read-tree", *([base] if base else ["--empty"]), env=env)
    put_entries(repo, index, info)
    # What a partial clone has not fetched is no reason to fetch it.
    missing = ["--missing-ok"] if repo.partial else []
    return repo.run("write-tree", *missing, env=env).decode().strip()


def entries_of(repo: Repository, index: str | None = None) -> Mapping[str, FileAt]:
    """Merged entries of an index, the user's own if none is named."""
    said = repo.run("ls-files", "-s", "-z", env={"GIT_INDEX_FILE": index} if index else None)
    found = {}
    for line in split_z(said):
        facts, _, name = line.partition(b"\t")
        mode, oid, stage = facts.decode().split(" ")
        if stage == "0":
            found[path_text(name)] = FileAt(path_text(name), oid, mode)
    return found
