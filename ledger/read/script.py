"""Scripts, bytes to a draft (convention §3)."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ledger.model.book import Person
from ledger.model.finding import Finding
from ledger.model.script import Draft
from ledger.read.blocks import blocks_of
from ledger.read.drafting import Drafting
from ledger.read.typed_text import Row, rows_of

RowsIn = Callable[[str, bytes], tuple[list[Row], list[Finding]]]


def read_script(files: Sequence[tuple[str, bytes]], cast: Sequence[Person]) -> Draft:
    """Reads the files of a text pass, in the order given, as one draft. Never fails: what it can't understand it says.

    `files` are (path, bytes). With an empty cast any word in capitals is a key and no key is unknown.
    """
    return read_draft(files, Drafting(cast))


def read_draft(files: Sequence[tuple[str, bytes]], drafting: Drafting, rows_in: RowsIn = rows_of) -> Draft:
    """Reads files one after the other, as if they were one; `rows_in` gives the numbered lines of each."""
    for path, data in files:
        rows, findings = rows_in(path, data)
        drafting.findings.extend(findings)
        drafting.file(path, blocks_of(rows))
    return drafting.draft([path for path, _ in files])
