"""What the doctor found."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.model.finding import Finding


@dataclass(frozen=True, slots=True)
class PassSize:
    """What a pass takes on disk: files and bytes now, contents and bytes that its entries hold, each content once."""

    name: str
    files: int
    now: int
    contents: int
    held: int


@dataclass(frozen=True, slots=True)
class Health:
    """`missing` holds (path, entry) of content that an entry names and that is not here; `tags_made` tag names.

    `renumbered` holds (old name, new name) of entries that were given another number; `sizes` what each
    pass takes, where that was asked.
    """

    missing: tuple[tuple[str, str], ...] = ()
    tags_made: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    renumbered: tuple[tuple[str, str], ...] = ()
    sizes: tuple[PassSize, ...] = ()

    @property
    def ill(self) -> bool:
        """Whether anything is missing or broken."""
        return bool(self.missing) or any(finding.blocks for finding in self.findings)
