"""What came of a verb that records something."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.model.finding import Finding


@dataclass(frozen=True, slots=True)
class Outcome:
    """`done` is whether anything was recorded or written; the names are None where there is none.

    `said` holds whole sentences for a person, in order; `paths` what was written, relative to the book.
    """

    done: bool
    said: tuple[str, ...] = ()
    entry: str | None = None
    commit: str | None = None
    tag: str | None = None
    paths: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def blocked(self) -> bool:
        """Whether a finding stopped it."""
        return any(finding.blocks for finding in self.findings)
