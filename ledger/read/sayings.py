"""What lines say wherever they stand: whose they are and their words, free of signs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from ledger.read.mouths import Mouth, Mouths
from ledger.read.plain_words import SIGNS_OF_WORDS, plain_words

if TYPE_CHECKING:
    from ledger.model.book import Person

#: Role, speaker, text, key and cue of a line. A plain tuple, since there are very many.
Said = tuple[str, str, str, str, str]

_CUE = r"(?<!\\)\{([^{}]{1,60})\}"
#: What takes reading where it stands in a line.
SIGNS = ("\n", "{", "  ", "\t", *SIGNS_OF_WORDS)
#: So many paragraphs are remembered with what they say.
_REMEMBERED = 1 << 16


class Sayings:
    """Reads what is said, and remembers paragraphs: two drafts of one script have most of them in common."""

    def __init__(self, cast: Sequence[Person]) -> None:
        self.mouths = Mouths(cast)
        self.known = _known_under(tuple(cast))
        self.single: dict[str, Mouth] = {}
        self.signs: tuple[str, ...] = SIGNS

    def of(self, text: str) -> None:
        """Looks once over a text whose paragraphs come next: signs that it has nowhere are not looked for in each."""
        self.signs = tuple([sign for sign in SIGNS if sign in text])

    def alone(self, typed: str) -> Said | None:
        """What a paragraph says that is one line beginning with a letter, as nearly all are; then it is `known`.

        None for every other one, and where that takes the place in the draft too: it may be a mark (`Panel 3.`), or
        there is something to say about it.
        """
        if not typed[:1].isalpha():
            return None
        head, colon, words = typed.partition(": ")
        mouth = self.single.get(head) if colon else None
        said: Said | None
        if mouth is not None and self._as_it_stands(typed):
            role, speaker, key, cue, _, _ = mouth
            said = (role, speaker, words, key, cue)
        else:
            said = self._read(typed)
        if said is not None and len(self.known) < _REMEMBERED:
            self.known[typed] = said
        return said

    def speeches(self, typed: str) -> list[Said] | None:
        """What the lines of a paragraph say where each has its key; None where any goes on with the one before it."""
        said = [self.known.get(row) or self.alone(row) for row in typed.split("\n")]
        keyed = [one for one in said if one is not None and one[3]]
        return keyed if len(keyed) == len(said) else None

    def _read(self, typed: str) -> Said | None:
        if "\n" in typed or typed[:4].lower() in ("page", "pane"):
            return None
        keyed = ":" in typed or "：" in typed or "\t" in typed
        spoken = self.mouths.split(typed) if keyed else None
        if spoken is None:
            if keyed and self.mouths.like_a_name(typed):
                return None
            return ("action", "", typed, "", "") if self._as_it_stands(typed) else said_by(None, unbroken(typed))
        mouth, words = spoken
        if mouth.key.isalnum() and mouth.known:
            self.single[mouth.key] = mouth
        return said_by(mouth, unbroken(words)) if mouth.known else None

    def _as_it_stands(self, typed: str) -> bool:
        """Whether nothing in a line takes reading: it holds letters, plain signs and single blanks."""
        for sign in self.signs:
            if sign in typed:
                return False
        return typed.isascii()


@lru_cache(maxsize=2)
def _known_under(cast: tuple[Person, ...]) -> dict[str, Said]:
    """Paragraphs as typed and what they say under a cast."""
    return {}


def said_by(mouth: Mouth | None, typed: str) -> Said:
    """What the words of a line say, from whose mouth they come; no mouth makes them action."""
    if mouth is None:
        return ("action", "", plain_words(typed), "", "")
    role, speaker, key, cue, _, _ = mouth
    if "{" in typed:
        cue = ", ".join(filter(None, [cue, *(said.strip() for said in re.findall(_CUE, typed))]))
        typed = re.sub(_CUE, " ", typed)
    return (role, speaker, plain_words(typed), key, cue)


def unbroken(text: str) -> str:
    """A line without the backslash that breaks it."""
    if text[-1:] != "\\":
        return text
    hard = len(text) - len(text.rstrip("\\"))
    return text[:-1] if hard % 2 else text
