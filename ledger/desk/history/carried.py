"""Entries that history took out or changed before the commits at hand: what they closed stays closed.

The push and the audit ask history itself. The local doors, which must not take longer in a long history, ask the tags:
a sign-off or slip whose tag stands below the newest commit was recorded, whatever that commit holds.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from ledger.gitedge import snapshots
from ledger.gitedge.history import Commit, commits
from ledger.gitedge.repository import Repository
from ledger.gitedge.tags import ref_of, tagged_as, tags_there
from ledger.judge.agreed.ledger_rules import Kept
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.entries import entry_name, entry_of_tag

LostBefore = Callable[[str], dict[str, Kept]]
#: The tags whose entries close something or admit something.
_CLOSING = ("lock/", "alteration/")


def _ledger_history(repo: Repository, oid: str) -> list[Commit]:
    try:
        return list(commits(repo, [oid], paths=["ledger"]))
    except Refusal:
        # A clone that fetched no folders of old states can't tell; being a part alone stops nothing.
        if repo.partial:
            return []
        raise


def lost_lookup(repo: Repository) -> LostBefore:
    """Gives the entries, as they were first recorded, that a commit does not hold any more or holds changed."""

    def lost_before(oid: str) -> dict[str, Kept]:
        store = snapshots.empty(repo).store
        first: dict[str, Kept] = {}
        for commit in _ledger_history(repo, oid):
            for change in commit.changes:
                if change.old is not None and entry_name(change.path):
                    first.setdefault(change.path, Kept(change.old, Snapshot("", {}, store)))
        there = snapshots.entries_at(repo, oid) if first else {}
        return {p: kept for p, kept in first.items() if p not in there or there[p].oid != kept.file.oid}

    return lost_before


def lost_by_tags(repo: Repository, parents: Sequence[Snapshot]) -> dict[str, Kept]:
    """As `lost_lookup`, by what the tags of sign-offs and slips hold: those that a parent holds no more, or changed."""
    kept: dict[str, Kept] = {}
    recorded = _tagged(repo) if parents else {}
    store = snapshots.empty(repo).store
    for tag, file in recorded.items():
        for parent in parents:
            there = parent.files.get(file.path)
            if (there is None or there.oid != file.oid) and _stands_below(repo, tag, parent.name):
                kept[file.path] = Kept(file, Snapshot("", {}, store))
    return kept


def last_book(repo: Repository, commits: Sequence[str]) -> Snapshot | None:
    """The state that a sign-off below one of these commits was recorded in, which holds a `book.toml`, or None."""
    for tag in reversed(list(_tagged(repo))):
        if tag.startswith("lock/") and any(_stands_below(repo, tag, commit) for commit in commits):
            found = snapshots.at_commit(repo, ref_of(tag))
            if "book.toml" in found.files:
                return found
    return None


def _tagged(repo: Repository) -> Mapping[str, FileAt]:
    """Tag -> the entry's file as the commit under the tag holds it, for sign-offs and slips."""
    paths = {tag: path for tag in tags_there(repo) if tag.startswith(_CLOSING) and (path := entry_of_tag(tag))}
    held = tagged_as(repo, paths) if paths else {}
    return {tag: FileAt(paths[tag], oid, "100644") for tag, oid in held.items()}


def _stands_below(repo: Repository, tag: str, commit: str) -> bool:
    return repo.ask("merge-base", "--is-ancestor", ref_of(tag), commit)[1] == 0
