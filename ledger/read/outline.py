"""Outlines, bytes to a draft whose lines are beats (convention §3)."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.read.script import read_script


def read_outline(files: Sequence[tuple[str, bytes]], cast: Sequence[Person]) -> Draft:
    """Reads the files of an outline, in the order given, as one draft."""
    return read_script(files, cast)
