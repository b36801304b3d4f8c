"""Entries that history took out or changed before the commits at hand: what they closed stays closed."""

from __future__ import annotations

from collections.abc import Callable

from ledger.gitedge import snapshots
from ledger.gitedge.history import Commit, commits
from ledger.gitedge.repository import Repository
from ledger.judge.ledger_rules import Kept
from ledger.model.errors import Refusal
from ledger.model.snapshot import Snapshot
from ledger.read.entries import entry_name

LostBefore = Callable[[str], dict[str, Kept]]


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
