"""Scripts, bytes to a draft (convention §3)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ledger.model.script import Draft
from ledger.read.drafting import Drafting
from ledger.read.typed_text import text_of

if TYPE_CHECKING:
    from ledger.model.book import Person


def read_script(files: Sequence[tuple[str, bytes]], cast: Sequence[Person]) -> Draft:
    """Reads the files of a text pass, in the order given, as one draft. Never fails: what it can't understand it says.

    `files` are (path, bytes). With an empty cast any word in capitals is a key and no key is unknown.
    """
    return read_draft(files, Drafting(cast))


def read_draft(files: Sequence[tuple[str, bytes]], drafting: Drafting) -> Draft:
    """Reads files one after the other, as if they were one."""
    for path, data in files:
        read_typed(path, data, drafting)
    return drafting.draft([path for path, _ in files])


def read_typed(path: str, data: bytes, drafting: Drafting) -> None:
    """Reads one typed file on from where the last one ended."""
    text, findings = text_of(path, data)
    drafting.findings.extend(findings)
    drafting.typed(path, text)
