"""What lines say wherever they stand: whose they are and their words, free of signs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from ledger.read.mouths import Mouth, Mouths
from ledger.read.plain_words import plain_words, signs_in

if TYPE_CHECKING:
    from ledger.model.book import Person

#: Role, speaker, text, key and cue of a line. A plain tuple, since there are very many.
Said = tuple[str, str, str, str, str]

_CUE = r"(?<!\\)\{([^{}]{1,60})\}"
#: So many paragraphs are remembered with what they say.
_REMEMBERED = 1 << 16


class Sayings:
    """Reads what is said, and remembers paragraphs: two drafts of one script have most of them in common."""

    def __init__(self, cast: Sequence[Person]) -> None:
        self.mouths = Mouths(cast)
        self.known = _known_under(tuple(cast))
        self.single: dict[str, Mouth] = {}

    def alone(self, typed: str) -> Said | None:
        """What a paragraph says that is one line beginning with a letter, as nearly all are; then it is `known`.

        None for every other one, and where that takes the place in the draft too: it may be a mark (`Panel 3.`), or
        there is something to say about it.
        """
        if "\n" in typed or not typed[:1].isalpha():
            return None
        head, _, words = typed.partition(": ")
        mouth: Mouth | None = self.single.get(head)
        if mouth is None:
            spoken = self._spoken(typed)
            if spoken is None:
                return None
            mouth, words = spoken
        said = _as_typed(mouth, words.lstrip()) or said_by(mouth, unbroken(words))
        if len(self.known) < _REMEMBERED:
            self.known[typed] = said
        return said

    def _spoken(self, typed: str) -> tuple[Mouth | None, str] | None:
        """The mouth of a line, None for action, and its words; None where its place tells more."""
        if typed[:4].lower() in ("page", "pane"):
            return None
        spoken = self.mouths.split(typed)
        if spoken is None:
            return None if self.mouths.like_a_name(typed) else (None, typed)
        mouth = spoken[0]
        if mouth.key.isalnum() and mouth.known:
            self.single[mouth.key] = mouth
        return spoken if mouth.known else None


def _as_typed(mouth: Mouth | None, words: str) -> Said | None:
    """What words say that hold nothing but letters, plain signs and single blanks; None for others."""
    if "{" in words or "  " in words or "\t" in words or not words.isascii() or signs_in(words):
        return None
    if mouth is None:
        return ("action", "", words, "", "")
    role, speaker, key, cue, _, _ = mouth
    return (role, speaker, words, key, cue)


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
