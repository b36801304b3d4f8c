"""Speakers of a draft that nobody in the cast answers to, and how they would be written into it."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from ledger.model.book import Person
from ledger.model.script import Line
from ledger.read.cast_names import CUES, EVERYBODY, CastNames

#: A name in small letters before a colon is a speaker's if it stands so this often (own choice).
_OFTEN = 2
#: A name that stands once and is this much like a known one is a slip of it (own choice; ratio of difflib).
_LIKE = 0.8
_NAME_LIKE = re.compile(r"([^\W\d_][\w'’.-]*(?: [^\W\d_][\w'’.-]*){0,2})(?: \([^()]*\))?:\s")
_PARTS = re.compile(r"([\s'’-]+)")


def unknown_speakers(lines: Iterable[Line], cast: Sequence[Person]) -> Counter[str]:
    """Speaker as typed -> lines: those in capitals, and names before a colon that come again."""
    names = CastNames(cast)
    found: Counter[str] = Counter()
    like: Counter[str] = Counter()
    for line in lines:
        if line.lettered:
            found.update(name for name in line.speaker.split(" & ") if name and not _known(name, names))
        elif (said := _NAME_LIKE.match(line.text)) and all(word[0].isupper() for word in said[1].split()):
            like[said[1]] += 0 if _known(said[1], names) else 1
    return found + Counter({name: lines for name, lines in like.items() if lines >= _OFTEN and name not in found})


def _known(name: str, names: CastNames) -> bool:
    return name == EVERYBODY or name.upper() in CUES or names.find(name) is not None


def as_people(speakers: Mapping[str, int], cast: Sequence[Person]) -> tuple[Person, ...]:
    """The speakers as `[cast]` would have them; one that stands once and is like a known name is a slip, and left out.

    The key is what was typed, the name the same in small letters.
    """
    known = [typed.casefold() for typed in CastNames(cast).exact]
    people: dict[str, Person] = {}
    for typed, lines in sorted(speakers.items(), key=lambda each: -each[1]):
        folded = typed.casefold()
        slip = lines == 1 and difflib.get_close_matches(folded, [*known, *people], 1, _LIKE)
        if not slip and folded not in people:
            people[folded] = Person(typed, _as_name(typed))
    return tuple(people.values())


def _as_name(typed: str) -> str:
    """`OLD MAN` as `Old Man`, `O'BRIEN` as `O'Brien`; a name in small letters stays."""
    if not typed.isupper() or len(typed) == 1:
        return typed
    return "".join(part[:1] + part[1:].lower() for part in _PARTS.split(typed))
