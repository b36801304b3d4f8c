"""Drafts for tests from text as it is typed."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.model.book import Person
from ledger.model.script import Draft
from ledger.read.script import read_script


def typed(text: str, cast: Mapping[str, str] | None = None) -> Draft:
    """A draft from one file; `cast` gives names to keys."""
    people = [Person(key, name) for key, name in (cast or {}).items()]
    return read_script([("script/01.md", text.encode())], people)
