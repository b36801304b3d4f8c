"""Findings that say the same of many pages, drawn together for a screen."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ledger.model.finding import Finding

#: From how many on they are told as one.
_MANY = 3


def drawn_together(findings: Iterable[Finding]) -> list[tuple[Finding, ...]]:
    """Findings in the given order, those that differ in nothing but their page as one, where the first of them is."""
    groups: dict[object, list[Finding]] = {}
    for number, finding in enumerate(findings):
        groups.setdefault(_likeness(finding) or number, []).append(finding)
    told = [tuple(group) for group in groups.values() if len(group) >= _MANY]
    singles = {id(f): (f,) for group in groups.values() if len(group) < _MANY for f in group}
    firsts = {id(group[0]): group for group in told} | singles
    return [firsts[id(finding)] for group in groups.values() for finding in group if id(finding) in firsts]


def _likeness(finding: Finding) -> tuple[object, ...] | None:
    """What a finding says apart from its page; None where it is about a line, or about no page."""
    if finding.page is None or finding.line is not None or finding.panel is not None:
        return None
    folder = (finding.path or "").rpartition("/")[0]
    said = (finding.message, finding.remedy or "")
    return (finding.rule, finding.level, folder, finding.commit, *(_without_page(text, finding) for text in said))


def _without_page(text: str, finding: Finding) -> str:
    page = re.escape(finding.page or "")
    plain = text.replace(finding.path, "\0") if finding.path else text
    return re.sub(rf"(?:[Pp]ages? |[Tt]he spread |--pages ){page}(?![\w-])|[Tt]he cover", "\0", plain)


def for_pages(remedy: str, page: str, pages: str) -> str:
    """A remedy for one page, as it is for all of them."""
    return re.sub(rf"--pages {re.escape(page)}(?![\w-])", f"--pages {pages}", remedy)
