"""Findings in JSON documents."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ledger.model.finding import Finding
from ledger.render.findings_text import in_order

Document = dict[str, Any]


def finding_document(finding: Finding) -> Document:
    """One finding."""
    return {
        "rule": finding.rule, "level": finding.level, "message": finding.message, "path": finding.path,
        "line": finding.line, "page": finding.page, "panel": finding.panel, "scene": finding.scene,
        "remedy": finding.remedy, "commit": finding.commit,
    }  # fmt: skip


def findings_list(findings: Iterable[Finding]) -> list[Document]:
    """Findings by place."""
    return [finding_document(finding) for finding in in_order(findings)]
