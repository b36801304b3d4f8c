"""The audit as one HTML file, for a publisher: what was looked at, what was found, what was agreed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

from ledger.model.audit import AuditReport, Looked
from ledger.model.entry import CLASSES, Alteration, Lock, Reopen
from ledger.model.finding import Finding
from ledger.model.pages import pages_words
from ledger.render.audit_text import alterations_words
from ledger.render.findings_text import LEVEL_WORDS, place_text
from ledger.render.page import set_page
from ledger.render.plain import one_line, plural


class Told(NamedTuple):
    """One finding in words."""

    level: str
    rule: str
    place: str
    message: str
    remedy: str


class Group(NamedTuple):
    """The findings of one commit; None for those that are about no commit (tags)."""

    commit: Looked | None
    told: tuple[Told, ...]


class Agreed(NamedTuple):
    """A sign-off, slip or reopening as a row of the table."""

    name: str
    what: str
    pages: str
    by: str
    day: str
    why: str
    commit: str


def audit_html(report: AuditReport) -> str:
    """The whole report; findings stand in the order of the commits they are about."""
    blocks = [f for f in report.findings if f.blocks]
    looks = [f for f in report.findings if not f.blocks]
    return set_page(
        "audit.html", styles=("letter.css", "audit.css"), report=report, verdict=verdict_words(report.findings),
        looked_at=looked_words(report), blocks=groups(report, blocks), looks=groups(report, looks),
        agreed=[agreed_row(entry, commit) for entry, commit in report.agreed],
        counted=alterations_words(report), when=when_words, line=one_line,
    )  # fmt: skip


def verdict_words(findings: Sequence[Finding]) -> str:
    """The whole in one sentence."""
    blocks = sum(finding.blocks for finding in findings)
    looks = len(findings) - blocks
    if not findings:
        return "History holds what was agreed: nothing was found."
    look = f"{plural(looks, 'thing')} to look at" if looks else "nothing else to look at"
    if not blocks:
        return f"Nothing stands against what was agreed; there {'is' if looks == 1 else 'are'} {look}."
    verb = "stands" if blocks == 1 else "stand"
    return f"{plural(blocks, 'finding')} {verb} against what was agreed; there {'are' if looks > 1 else 'is'} {look}."


def looked_words(report: AuditReport) -> str:
    """What was looked at, as a sentence."""
    commits = plural(report.count, "commit")
    if report.since_lock:
        return f"Looked at: {commits}, from the oldest sign-off on."
    if report.reach is None:
        return f"Looked at: the whole history, {commits}."
    return f"Looked at: {one_line(report.reach)}, {commits}."


def when_words(commit: Looked) -> str:
    """When a commit says it was made, with its offset from universal time."""
    return f"{commit.when:%Y-%m-%d %H:%M %z}"


def groups(report: AuditReport, findings: Iterable[Finding]) -> list[Group]:
    """Findings by commit, in the order of history; those about no commit come last."""

    def place(finding: Finding) -> int:
        commit = report.named.get(finding.commit or "")
        return commit.place if commit else report.count + 1

    ordered = sorted(findings, key=place)
    return [
        Group(report.named.get(each[0].commit or ""), tuple(map(told, each)))
        for each in (list(run) for _, run in groupby(ordered, key=lambda finding: finding.commit))
    ]  # fmt: skip


def told(finding: Finding) -> Told:
    """One finding in words; its commit is told above it."""
    return Told(
        LEVEL_WORDS.get(finding.level, finding.level), finding.rule, place_text(finding._replace(commit=None)),
        one_line(finding.message), one_line(finding.remedy or ""),
    )  # fmt: skip


def agreed_row(entry: Lock | Alteration, commit: Looked | None) -> Agreed:
    """What was agreed, by whom and why; empty cells get words."""
    if isinstance(entry, Lock):
        what = f"sign-off of {entry.pass_name}: {', '.join(entry.scopes)}"
        why = ". ".join(part for part in (entry.message, _approval(entry)) if part)
    else:
        kind = "reopening" if isinstance(entry, Reopen) else "slip"
        label = CLASSES.get(entry.alteration_class, "")
        what = f"{kind}, {entry.alteration_class} ({label}): {', '.join(entry.scopes) or 'nothing named'}"
        why = entry.reason + (f". Asked by {entry.asked_by}" if entry.asked_by else "")
    pages = "all" if entry.pages is None else pages_words(entry.pages)
    return Agreed(
        entry.name, one_line(what), pages, one_line(entry.by.partition(" <")[0]) or "nobody named",
        str(entry.date)[:10], one_line(why) or "no reason given",
        commit.oid[:10] if commit else "before this range",
    )  # fmt: skip


def _approval(entry: Lock) -> str:
    if not entry.approved_by:
        return ""
    return f"Approved by {entry.approved_by}" + (f" ({entry.how})" if entry.how else "")
