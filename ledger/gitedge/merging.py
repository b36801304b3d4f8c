"""What a commit that is about to be made stands on."""

from __future__ import annotations

import os
import re

from ledger.gitedge.repository import Repository
from ledger.gitedge.snapshots import resolve_commit

_HEAD_OF_MERGE = re.compile(r"GITHEAD_([0-9a-f]{40}|[0-9a-f]{64})\Z")


def parents_of_next(repo: Repository) -> tuple[str, ...]:
    """The commits that the next commit will have as parents: the newest one, and those being merged into it."""
    head = resolve_commit(repo, "HEAD")
    found = [head] if head else []
    found += [oid for oid in (*_written(repo), *_told_to_hook()) if oid not in found]
    return tuple(found)


def _written(repo: Repository) -> list[str]:
    try:
        with open(repo.in_git_dir("MERGE_HEAD"), encoding="ascii", errors="replace") as file:
            return file.read().split()
    except OSError:
        return []


def _told_to_hook() -> list[str]:
    """Before a clean merge is recorded git names the heads to its hook in the environment alone."""
    return [found[1] for name in os.environ if (found := _HEAD_OF_MERGE.match(name))]
