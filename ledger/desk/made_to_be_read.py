"""Packets, charts, memos and reports that were written into the book's folder: made to be read, no part of the book.

They are part of it where somebody says so: under `memos/`, and where git was told to take them in.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from ledger.gitedge.repository import Repository
from ledger.gitedge.worktree import read_file, untracked
from ledger.model.snapshot import byte_order
from ledger.read.made_here import ENDINGS, HEAD, made_here
from ledger.render.plain import one_line

_MEMOS = "memos/"
#: So many of them are named in a sentence.
_NAMED = 6


def made_to_be_read(repo: Repository) -> tuple[str, ...]:
    """Paths of such files that git does not know, in byte order."""
    new = (file.path for file in untracked(repo) if file.regular and not file.path.startswith(_MEMOS))
    return tuple(
        sorted((path for path in new if path.lower().endswith(ENDINGS) and _made_here(repo, path)), key=byte_order)
    )


def _made_here(repo: Repository, path: str) -> bool:
    with suppress(OSError):
        return made_here(read_file(repo.in_top(path), -1 if path.lower().endswith(".docx") else HEAD))
    return False


def left_out(paths: Sequence[str]) -> str:
    """What to say where they are left out."""
    return f"Left out: {few_of(paths)}, made by inkledger for somebody to read, so no part of the book."


def few_of(paths: Sequence[str]) -> str:
    """Paths in a sentence; of many the first, and how many more there are."""
    named = ", ".join(map(one_line, paths[:_NAMED]))
    return named + (f" and {len(paths) - _NAMED} more" if len(paths) > _NAMED else "")


def taken_all_the_same(paths: Sequence[str]) -> str:
    """How they become part of the book."""
    return f"To keep {'it' if len(paths) == 1 else 'one of them'}: git add {one_line(paths[0])}, then save again."
