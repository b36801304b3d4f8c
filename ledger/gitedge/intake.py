"""Taking files in as `git add` would: content filters, line ends and large files heeded."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from ledger.gitedge.complaints import of_the_machine
from ledger.gitedge.indexes import copy_index, entries_of, look_at
from ledger.gitedge.repository import path_bytes, path_text, split_z
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository


def kept_as(repo: Repository, paths: Iterable[str]) -> dict[str, FileAt]:
    """Files of the working tree as git would keep them, their content written into the repository.

    Gives path -> mode and object id. The user's index stays as it is. Raises Refusal for a file that is gone, can't
    be read, is ignored, or that a filter refuses.
    """
    wanted = list(dict.fromkeys(paths))
    for path in wanted:
        place = repo.in_top(path)
        if not os.path.lexists(place):
            raise Refusal("the file is gone", path=path, remedy="put it back, or leave it out")
        if not (os.path.islink(place) or os.path.isfile(place) or os.path.isdir(place)):
            raise Refusal("this is a pipe or a device, not a file", path=path, remedy="put the file itself there")
        if os.path.isfile(place) and not os.path.islink(place) and not os.access(place, os.R_OK):
            raise Refusal("this file may not be read", path=path, remedy="see that it is yours to read, and try again")
    if not wanted:
        return {}
    try:
        with tempfile.TemporaryDirectory(prefix="inkledger-") as folder:
            return _added(repo, wanted, os.path.join(folder, "index"))
    except OSError as fault:
        raise of_the_machine(fault) from None


def on_disk(repo: Repository, paths: Iterable[str]) -> set[str]:
    """Those of these files that lie in the working tree; a sparse checkout leaves some out."""
    return {path for path in paths if os.path.lexists(repo.in_top(path))}


def folders_among(repo: Repository, paths: Iterable[str]) -> list[str]:
    """Those of these files in whose place a folder lies."""
    return [path for path in paths if os.path.isdir(repo.in_top(path))]


def _added(repo: Repository, wanted: list[str], index: str) -> dict[str, FileAt]:
    copy_index(repo.index_path, index)
    look_at(repo, index)
    listed = b"".join(path_bytes(path) + b"\0" for path in wanted)
    repo.run(
        "add", "--sparse", "--pathspec-from-file=-", "--pathspec-file-nul", input=listed, env={"GIT_INDEX_FILE": index}
    )
    found = entries_of(repo, index)
    for path in wanted:
        if path not in found:
            raise Refusal("git does not take this in as a file", path=path, remedy="put a plain file there")
    return {path: found[path] for path in wanted}


def kept_bytes(repo: Repository, contents: Mapping[str, bytes], *, write: bool = True) -> dict[str, FileAt]:
    """As `kept_as`, for bytes that are not (or not yet) in the working tree under their path.

    The mode is the one the path has in the index. With `write` False nothing is written, only the ids are found.
    """
    return {file.path: file for file in each_kept(repo, contents.items(), write=write)} if contents else {}


def each_kept(repo: Repository, contents: Iterable[tuple[str, bytes]], *, write: bool = True) -> Iterator[FileAt]:
    """The same of one file after the other, so that the bytes of many need not be held at once."""
    modes = entries_of(repo)
    writing = ["-w"] if write else []
    for path, data in contents:
        said = repo.run("hash-object", *writing, "--stdin", b"--path=" + path_bytes(path), input=data)
        mode = modes[path].mode if path in modes and modes[path].regular else "100644"
        yield FileAt(path, said.decode().strip(), mode)


def ignored_files(repo: Repository) -> tuple[str, ...]:
    """Files that lie in the book and that git is told to ignore."""
    said = repo.run("ls-files", "-o", "-i", "--exclude-standard", "-z")
    return tuple(path_text(name) for name in split_z(said))
