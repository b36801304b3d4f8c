"""What the doctor found."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.model.finding import Finding


@dataclass(frozen=True, slots=True)
class Health:
    """`missing` holds (path, entry) of content that an entry names and that is not here; `tags_made` tag names.

    `renumbered` holds (old name, new name) of entries that were given another number.
    """

    missing: tuple[tuple[str, str], ...] = ()
    tags_made: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    renumbered: tuple[tuple[str, str], ...] = ()

    @property
    def ill(self) -> bool:
        """Whether anything is missing or broken."""
        return bool(self.missing) or any(finding.blocks for finding in self.findings)
