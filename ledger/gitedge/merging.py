"""What a commit that is about to be made stands on."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ledger.gitedge.repository import Repository
from ledger.gitedge.snapshots import empty, of_commit, of_index
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.model.snapshot import Snapshot

_HEAD_OF_MERGE = re.compile(r"GITHEAD_([0-9a-f]{40}|[0-9a-f]{64})\Z")


def parents_of_next(repo: Repository, *, told: bool = True) -> tuple[str, ...]:
    """The commits that the next commit will have as parents: the newest one, and those being merged into it.

    `told` is whether the heads that git names to the hook of a merge are believed; before any other commit nobody
    but git's own files can name one.
    """
    head = repo.reader.commit("HEAD")
    found = [head] if head else []
    found += [oid for oid in (*_written(repo), *(_told_to_hook() if told else ())) if oid not in found]
    return tuple(found)


def common_base(repo: Repository, one: str, other: str) -> Snapshot:
    """What two commits have in common: the newest state that both stand on; no files where there is none."""
    said, code = repo.ask("merge-base", one, other)
    return of_commit(repo, said.decode().split()[0]) if code == 0 else empty(repo)


def settle_files(repo: Repository, contents: Mapping[str, bytes]) -> None:
    """Writes files that a merge left open, and others beside them, and stages them.

    What git left there with its marks is written over. Raises Refusal where a file that git does not know is in the
    way, or git's index is locked.
    """
    if not contents:
        return
    from ledger.gitedge.placing import put_and_stage

    known = of_index(repo).files
    for path, data in contents.items():
        place = repo.in_top(path)
        if path not in known and os.path.lexists(place) and not _holds(place, data):
            raise Refusal("this is in the way of a file to be written", path=path, remedy="move it elsewhere")
    put_and_stage(repo, contents, over=True)


def _holds(place: bytes, data: bytes) -> bool:
    try:
        with open(place, "rb") as file:
            return file.read() == data
    except OSError:
        return False


def _written(repo: Repository) -> list[str]:
    try:
        with open(repo.in_git_dir("MERGE_HEAD"), encoding="ascii", errors="replace") as file:
            return file.read().split()
    except OSError:
        return []


def _told_to_hook() -> list[str]:
    """Before a clean merge is recorded git names the heads to its hook in the environment alone."""
    return [found[1] for name in os.environ if (found := _HEAD_OF_MERGE.match(name))]
