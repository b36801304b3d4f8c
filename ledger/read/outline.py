"""Outlines, bytes to a draft whose lines are beats (convention §3)."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.read.drafting import Drafting
from ledger.read.script import read_draft


def read_outline(files: Sequence[tuple[str, bytes]], cast: Sequence[Person]) -> Draft:
    """Reads the files of an outline, in the order given, as one draft: every list item is a line of role "action"."""
    return read_draft(files, Drafting(cast, outline=True))
