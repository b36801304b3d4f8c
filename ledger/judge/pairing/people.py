"""Whether two names stand for one person, when the cast was rewritten between two drafts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

from ledger.model.book import Person


def name_in(cast: Sequence[Person]) -> Callable[[str], str]:
    """Gives a speaker of an earlier draft the name that this cast knows the person by.

    A character who got another name is the same person while the old name stays as an alias. Names that this cast
    does not know stay as they are.
    """
    known: dict[str, str] = {}
    for person in cast:
        for name in (person.name, *person.also):
            known.setdefault(name.casefold(), person.name)

    @cache
    def now(speaker: str) -> str:
        return " & ".join(known.get(part.casefold(), part) for part in speaker.split(" & "))

    return now
