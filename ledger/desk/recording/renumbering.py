"""`doctor --renumber`: in an unfinished merge, entries whose number both sides took stand side by side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from ledger.gitedge import snapshots
from ledger.gitedge.merging import common_base, parents_of_next, settle_files
from ledger.gitedge.repository import Repository
from ledger.judge.agreed.ledger_rules import renumbered
from ledger.model.errors import Refusal
from ledger.model.health import Health
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.entries import entry_name, numbered


def renumber(here: Path) -> Health:
    """Keeps our entries as they are and gives those of the other side the next free numbers, in the merge to come.

    Their bytes stay the same but for the number; their memos go along. What was done is staged. Raises Refusal where
    no merge is under way, and where a file of somebody's is in the way.
    """
    repo = Repository.find(here)
    parents = parents_of_next(repo)
    if len(parents) < 2:
        raise Refusal(
            "no merge is under way: only where two sides of one took the same number is a new one given",
            remedy="begin the merge (git merge BRANCH), then run this again",
        )
    ours, *theirs = [snapshots.of_commit(repo, oid) for oid in parents]
    index = snapshots.of_index(repo)
    taken = {path for side in (ours, *theirs, index) for path in side.files if entry_name(path)}
    contents: dict[str, bytes] = {}
    told: list[tuple[str, str]] = []
    for oid, side in zip(parents[1:], theirs, strict=True):
        for path in _both_took(ours, side, common_base(repo, parents[0], oid)):
            if renumbered(side.files[path], _entries(index), ours.store):
                new = path
            else:
                new = _free(path, taken)
                taken.add(new)
                told.append((_name(path), _name(new)))
                contents[new] = numbered(new, side.read(path))
            contents[path] = ours.read(path)
            contents |= _memos(ours, side, _name(path), _name(new))
    settle_files(repo, contents)
    return Health(renumbered=tuple(told))


def _both_took(ours: Snapshot, theirs: Snapshot, before: Snapshot) -> Iterator[str]:
    """Entries that both sides have under one name, each its own; one that was there before is nobody's new one."""
    both = [path for path in ours.files if path in theirs.files and path not in before.files and entry_name(path)]
    for path in sorted(both, key=_order):
        if ours.files[path].oid != theirs.files[path].oid:
            yield path


def _order(path: str) -> tuple[str, str, int]:
    kind, pass_name, number = entry_name(path) or ("", None, 0)
    return kind, pass_name or "", number


def _entries(index: Snapshot) -> list[FileAt]:
    return [file for path, file in index.files.items() if entry_name(path)]


def _free(path: str, taken: set[str]) -> str:
    """The path with the next number that no side has."""
    stem = path.rpartition("-")[0]
    numbers = [named[2] for each in taken if each.rpartition("-")[0] == stem and (named := entry_name(each))]
    return f"{stem}-{max(numbers) + 1}.toml"


def _memos(ours: Snapshot, theirs: Snapshot, old: str, new: str) -> Mapping[str, bytes]:
    """The memo of a round goes with it, where both sides wrote one of that name."""
    path = f"memos/{old}.md"
    if old == new or path not in ours.files or path not in theirs.files:
        return {}
    return {path: ours.read(path), f"memos/{new}.md": theirs.read(path)}


def _name(path: str) -> str:
    return path.removeprefix("ledger/").removesuffix(".toml")
