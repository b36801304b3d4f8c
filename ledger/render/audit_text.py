"""What an audit says in a terminal."""

from __future__ import annotations

from ledger.model.audit import AuditReport
from ledger.model.entry import Alteration
from ledger.render.findings_text import findings_text
from ledger.render.plain import wrapped
from ledger.render.rounds_text import alterations_counted


def audit_text(report: AuditReport) -> str:
    """The findings, and how many alterations were agreed."""
    found = findings_text(report.findings) if report.findings else "Nothing found: history holds what was agreed."
    agreed = alterations_words(report)
    return f"{found}\n{wrapped(agreed, hang='')}" if agreed else found


def alterations_words(report: AuditReport) -> str:
    """How many alterations were agreed, by class, as a sentence; "" where there is none."""
    counted = alterations_counted(entry for entry, _ in report.agreed if isinstance(entry, Alteration))
    return f"Alterations agreed: {counted}." if counted else ""
