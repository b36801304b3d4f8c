"""`audit`: the same judgement over history, with the entries and their tags."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from ledger.desk.casts import cast_lookup
from ledger.desk.history.carried import lost_lookup
from ledger.desk.history.held import concerns
from ledger.desk.history.walked import Walked
from ledger.desk.opening import OpenBook, open_history
from ledger.gitedge import snapshots
from ledger.gitedge.history import Commit, first_with, range_of, walk
from ledger.gitedge.tags import moved_tags, recorded_as
from ledger.judge.closed import moment
from ledger.judge.ledger_rules import tag_findings
from ledger.model.audit import AuditReport, Looked
from ledger.model.entry import Alteration, Entry, Lock
from ledger.model.errors import Refusal
from ledger.model.finding import Finding


def audit(here: Path, reach: str | None = None, *, since_lock: bool = False) -> tuple[Finding, ...]:
    """What history holds against what was agreed; see `audit_report`."""
    return audit_report(here, reach, since_lock=since_lock).findings


def audit_report(here: Path, reach: str | None = None, *, since_lock: bool = False) -> AuditReport:
    """What history holds against what was agreed, with what was looked at.

    `reach` is a range of git (`v1..main`) or one state. With `since_lock` from the commit of the oldest sign-off on.
    Raises Refusal where a side names no commit.
    """
    book = open_history(here)
    head = snapshots.resolve_commit(book.repo, "HEAD") if reach is None else None
    if reach is None and head is None:
        return AuditReport()
    include, exclude = ((head,), ()) if head is not None else range_of(book.repo, reach or "HEAD")
    if since_lock:
        exclude = (*exclude, *_before_oldest_lock(book))
    walked = Walked(cast_lookup(book.repo), lost_before=lost_lookup(book.repo))
    seen: list[Commit] = []
    for step in walk(book.repo, include, exclude, ahead=concerns):
        walked.take(step)
        seen.append(step.commit)
    walked.forget()
    entries = book.head.entries if book.head else ()
    found = (*walked.told(), *tag_findings(moved_tags(book.repo, entries)))
    report = AuditReport(found, book.head.book.title if book.head else "", reach, since_lock, len(seen))
    return _told(report, seen, entries, walked.recorded) if seen else report


def _told(
    report: AuditReport, seen: Sequence[Commit], entries: Sequence[Entry], recorded: Mapping[str, str]
) -> AuditReport:
    """The report with the commits that it names and what was agreed, in the order of history."""
    agreed = [entry for entry in entries if isinstance(entry, Lock | Alteration)]
    wanted = {finding.commit for finding in report.findings} | {recorded.get(entry.path) for entry in agreed}
    named = {
        commit.oid: _looked(commit, place) for place, commit in enumerate(seen, 1) if commit.oid in wanted
    }  # fmt: skip
    by_entry = [(entry, named.get(recorded.get(entry.path, ""))) for entry in agreed]
    by_entry.sort(key=lambda pair: (pair[1].place if pair[1] else 0, moment(pair[0]), pair[0].name))
    return replace(
        report, named=named, agreed=tuple(by_entry), first=_looked(seen[0], 1), last=_looked(seen[-1], len(seen))
    )


def _looked(commit: Commit, place: int) -> Looked:
    return Looked(commit.oid, place, commit.subject, commit.author, commit.when)


def _before_oldest_lock(book: OpenBook) -> Iterable[str]:
    """The parents of the commit that added the oldest sign-off."""
    entries = book.head.entries if book.head else ()
    locks = sorted((entry for entry in entries if isinstance(entry, Lock)), key=moment)
    if not locks:
        raise Refusal("nothing of this book is signed off yet", remedy="audit everything: inkledger audit")
    commits = first_with(book.repo, recorded_as(book.repo, [lock.path for lock in locks]))
    oldest = next((commits[lock.path] for lock in locks if lock.path in commits), None)
    parent = snapshots.resolve_commit(book.repo, f"{oldest}^") if oldest else None
    return [parent] if parent else []
