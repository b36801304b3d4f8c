"""The layered working files beside the exports: only when they were last written is looked at, not what they hold."""

from __future__ import annotations

import stat
from collections.abc import Iterator, Sequence
from pathlib import Path

from ledger.desk.made_to_be_read import few_of
from ledger.gitedge.repository import Repository
from ledger.gitedge.worktree import untracked
from ledger.judge.exports.behind import WorkingFile
from ledger.model.book import Book, Pass
from ledger.model.snapshot import byte_order
from ledger.read.patterns import fits, label_of, matches
from ledger.read.state import BookState


def working_files(top: Path, state: BookState) -> Iterator[WorkingFile]:
    """Every export of your files now that has working files, with each of them.

    A pair that git keeps, both unchanged, is left out: git writes such files when it brings them here, so that their
    times say nothing.
    """
    for pass_ in state.book.passes:
        if pass_.kind == "art" and pass_.masters:
            yield from _of_pass(top, state, pass_, pass_.masters)


def masters_aside(repo: Repository, book: Book) -> tuple[str, ...]:
    """Working files that git does not know, in byte order: they are not in git unless somebody adds them."""
    patterns = [pass_.masters for pass_ in book.passes if pass_.kind == "art" and pass_.masters]
    new = [file.path for file in untracked(repo) if file.regular] if patterns else []
    found = (path for path in new if any(fits(path, pattern) for pattern in patterns))
    return tuple(sorted((p for p in found if not any(matches(p, each) for each in book.passes)), key=byte_order))


def masters_words(paths: Sequence[str]) -> str:
    """What to say where they are left out."""
    return f"Left out: {few_of(paths)}, named by masters in book.toml, so not in git unless you add it."


def _of_pass(top: Path, state: BookState, pass_: Pass, masters: str) -> Iterator[WorkingFile]:
    exports, kept = state.exports(pass_), state.snapshot.files
    like_masters = pass_._replace(files=(masters,))
    for path, worked in _files(top, masters):
        label = label_of(path, like_masters)
        for export in exports.get(label, ())[:1] if label else ():
            exported = _written(top / export.path)
            known = path in kept and kept[path].oid is not None and export.oid is not None
            if exported is not None and path != export.path and not known:
                yield WorkingFile(pass_.name, label or "", export.path, path, exported, worked)


def _files(top: Path, pattern: str) -> Iterator[tuple[str, float]]:
    """Plain files as deep in the folders as the pattern says, with when they were written; links are not followed."""
    folders = [""]
    *between, _ = pattern.split("/")
    for part in between:
        plain = "*" not in part and "{page}" not in part
        folders = [
            f"{folder}{name}/"
            for folder in folders
            for name in ([part] if plain else _names(top / folder))
            if _is_folder(top / folder / name)
        ]
    for folder in folders:
        for name in _names(top / folder):
            written = _written(top / folder / name)
            if written is not None:
                yield f"{folder}{name}", written


def _names(folder: Path) -> list[str]:
    try:
        return sorted(each.name for each in folder.iterdir())
    except OSError:
        return []


def _is_folder(place: Path) -> bool:
    try:
        return stat.S_ISDIR(place.lstat().st_mode)
    except (OSError, ValueError):
        return False


def _written(place: Path) -> float | None:
    """When a plain file was last written, in seconds; None for anything else."""
    try:
        seen = place.lstat()
    except (OSError, ValueError):
        return None
    return seen.st_mtime if stat.S_ISREG(seen.st_mode) else None
