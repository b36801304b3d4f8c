"""The cast as it is typed in a script: keys, names and other names, and whose they are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from ledger.model.finding import Finding

if TYPE_CHECKING:
    from ledger.model.book import Book, Person

#: Words that stand like a key but are no character (convention §3), with the role of their lines.
CUES: dict[str, str] = {
    "CAP": "caption", "CAPTION": "caption", "SFX": "sfx", "FX": "sfx",
    **dict.fromkeys(("THOUGHT", "VO", "OFF", "OP", "BURST", "WHISPER", "SIGN", "TITLE", "TEXT", "PHONE",
                     "RADIO", "TV"), "dialogue"),
}  # fmt: skip
#: Everybody at once.
EVERYBODY = "ALL"


class CastNames:
    """Finds a person by what was typed: as it stands in `[cast]` first, then whatever the case."""

    def __init__(self, cast: Sequence[Person]) -> None:
        self.exact: dict[str, str] = {}
        self.folded: dict[str, str] = {}
        for typed, name in _typed_names(cast):
            self.exact.setdefault(typed, name)
            self.folded.setdefault(typed.casefold(), name)

    def __bool__(self) -> bool:
        return bool(self.exact)

    def find(self, typed: str) -> str | None:
        """The cast name of a key, name or alias, or None."""
        return self.exact.get(typed) or self.folded.get(typed.casefold())


def _typed_names(cast: Sequence[Person]) -> Iterator[tuple[str, str]]:
    """What may be typed and whose it is: every key before any name, every name before any alias."""
    for person in cast:
        yield person.key, person.name
    for person in cast:
        yield person.name, person.name
    for person in cast:
        for other in person.also:
            yield other, person.name


def cast_findings(book: Book) -> tuple[Finding, ...]:
    """`name-clash` queries: one key, name or alias of two people, whatever its case, or one that reads as a cue."""
    spellings: dict[str, dict[str, list[Person]]] = {}
    for person in book.cast:
        for typed in dict.fromkeys((person.key, person.name, *person.also)):
            spellings.setdefault(typed.casefold(), {}).setdefault(typed, []).append(person)
    return tuple(finding for owners in spellings.values() for finding in _clashes(book, owners))


def _clashes(book: Book, owners: Mapping[str, Sequence[Person]]) -> Iterator[Finding]:
    """What is to be said of one word in the spellings in which it stands in `[cast]`, and whose each of them is."""
    found = False
    for typed, people in owners.items():
        first, second = people[0], people[-1]
        if len(people) > 1:
            found = True
            said = f"is both {_shown(first)} and {_shown(second)}; it is read as {_taken(book, typed)}"
            yield _clash(f"{typed!r} in [cast] {said}", f"give one of them another name than {typed!r}")
        elif typed in CUES or typed == EVERYBODY:
            said = f"{typed!r} in [cast] is a cue, so no line under it is read as {_shown(first)}"
            yield _clash(said, "give this person another key")
    (typed, (first, *_)), (other, (*_, second)) = (*owners.items(),)[0], (*owners.items(),)[-1]
    capitals = typed.upper()
    if found or capitals in owners:
        return
    if capitals in CUES or capitals == EVERYBODY:
        said = f"{capitals} is a cue, so a line under it is not read as {_shown(first)}, who is {typed!r} in [cast]"
        yield _clash(said, "type this person's key before the line, or another name")
    elif first is not second:
        said = f"{typed!r} is {_shown(first)} and {other!r} is {_shown(second)} in [cast]"
        yield _clash(f"{said}; {capitals} is read as {_taken(book, capitals)}", "give one of them another name")


def _taken(book: Book, typed: str) -> str:
    return CastNames(book.cast).find(typed) or typed


def _shown(person: Person) -> str:
    return f"{person.name} ({person.key})"


def _clash(message: str, remedy: str) -> Finding:
    return Finding("name-clash", "query", message, "book.toml", remedy=remedy)
