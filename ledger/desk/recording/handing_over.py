"""What the recording verbs share: who signs, when git is not ready, and handing an entry to git."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from ledger.desk.opening import OpenBook
from ledger.gitedge.placing import Later
from ledger.gitedge.record import Recording, record
from ledger.gitedge.repository import Repository, committer
from ledger.gitedge.standing import refuse_unless_ready
from ledger.model.entry import Entry
from ledger.model.outcome import Outcome
from ledger.model.snapshot import FileAt, byte_order
from ledger.read.entries import write_entry


@dataclass(frozen=True)
class Signer:
    """Who records, and when: the committer as git knows it."""

    by: str
    when: datetime


def signer(repo: Repository) -> Signer:
    """The committer. Raises Refusal where git knows no name."""
    name, address, when = committer(repo)
    return Signer(f"{name} <{address}>", when)


def refuse_unready(repo: Repository) -> None:
    """Raises Refusal during a merge, rebase, cherry-pick, revert or am, and on a detached HEAD."""
    refuse_unless_ready(repo)


def record_entry(
    book: OpenBook,
    entry: Entry,
    *,
    tag: str | None,
    taken: Mapping[str, FileAt] | None = None,
    removed: frozenset[str] = frozenset(),
    contents: Mapping[str, bytes] | None = None,
    beside: Mapping[str, Later] | None = None,
    said: tuple[str, ...] = (),
) -> Outcome:
    """Records an entry with its files as one commit, with its tag; files `beside` it are written over what is there.

    Returns what was done.
    """
    headline = f"{entry.name}: {entry.message}" if entry.message else entry.name
    held = {entry.path: write_entry(entry), **(contents or {})}
    done = record(
        book.repo,
        Recording(
            contents=held, taken=dict(taken or {}), removed=tuple(sorted(removed)),
            message=headline, tag=tag, tag_message=headline, base=book.head_commit, beside=beside or {},
        ),
    )  # fmt: skip
    paths = tuple(sorted({*held, *(taken or {}), *removed}, key=byte_order))
    return Outcome(True, said, entry.name, done.commit, done.tag, paths)
