"""Scripts, bytes to a draft (convention §3)."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model.book import Person
from ledger.model.script import Draft


def read_script(files: Sequence[tuple[str, bytes]], cast: Sequence[Person]) -> Draft:
    """Reads the files of a text pass, in the order given, as one draft."""
    return Draft(paths=tuple(path for path, _ in files))
