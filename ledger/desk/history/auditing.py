"""`audit`: the same judgement over history, with the entries and their tags."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

from ledger.desk.casts import cast_lookup
from ledger.desk.history.concerning import concerns
from ledger.desk.opening import OpenBook, open_history
from ledger.gitedge import snapshots
from ledger.gitedge.history import Commit, first_with, range_of, walk
from ledger.gitedge.tags import moved_tags, recorded_as
from ledger.judge.agreed.closed import moment
from ledger.model.audit import AuditReport, Looked
from ledger.model.entry import Alteration, Entry, Lock
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.snapshot import Snapshot
from ledger.read.state import read_state


def audit(here: Path, reach: str | None = None, *, since_lock: bool = False) -> tuple[Finding, ...]:
    """What history holds against what was agreed; see `audit_report`."""
    return audit_report(here, reach, since_lock=since_lock).findings


def audit_report(here: Path, reach: str | None = None, *, since_lock: bool = False) -> AuditReport:
    """What history holds against what was agreed, with what was looked at.

    `reach` is a range of git (`v1..main`) or one state. With `since_lock` from the commit of the oldest sign-off on.
    Raises Refusal where a side names no commit.
    """
    book = open_history(here)
    head = book.head_commit if reach is None else None
    if reach is None and head is None:
        return AuditReport()
    include, exclude = ((head,), ()) if head is not None else range_of(book.repo, reach or "HEAD")
    if since_lock:
        exclude = (*exclude, *_before_oldest_lock(book))
    steps = walk(book.repo, include, exclude, ahead=concerns)
    # While git looks for where to begin, there is time to load what judges.
    from ledger.desk.history.carried import lost_lookup
    from ledger.desk.history.walked import Walked
    from ledger.judge.agreed.ledger_rules import tag_findings

    walked = Walked(cast_lookup(book.repo), lost_before=lost_lookup(book.repo))
    seen: list[Commit] = []
    newest = None
    for step in steps:
        walked.take(step)
        seen.append(step.commit)
        if step.commit.oid == head:
            newest = step.after
    walked.forget()
    newest = newest or book.head_snapshot
    now = read_state(newest, walked.entries) if "book.toml" in newest.files else None
    entries = now.entries if now else ()
    found = (*walked.told(), *tag_findings(moved_tags(book.repo, entries, _holding(newest, seen))))
    report = AuditReport(
        findings=found, title=now.book.title if now else "", reach=reach, since_lock=since_lock, count=len(seen)
    )
    return _told(report, seen, entries, walked.recorded) if seen else report


def _holding(newest: Snapshot, seen: Sequence[Commit]) -> Callable[[str, str], str | None]:
    """Gives the object id that the newest state (`HEAD`), or a commit that brought it, holds under a path."""
    met = {commit.oid: commit for commit in seen}

    def held(commit: str, path: str) -> str | None:
        if commit == "HEAD":
            return newest.files[path].oid if path in newest.files else None
        brought = met[commit].changes if commit in met and path in met[commit].paths else ()
        return next((change.new.oid for change in brought if change.path == path and change.new), None)

    return held


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
    return report._replace(
        named=named, agreed=tuple(by_entry), first=_looked(seen[0], 1), last=_looked(seen[-1], len(seen))
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
