"""What lines say wherever they stand: whose they are and their words, free of signs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from ledger.model.book import Person
from ledger.read.mouths import Mouth, Mouths
from ledger.read.plain_words import plain_words

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

    def alone(self, typed: str) -> Said | None:
        """What a paragraph says that is one line beginning with a letter, as nearly all are; then it is `known`.

        None for every other one, and where that takes the place in the draft too: it may be a mark (`Panel 3.`), or
        there is something to say about it.
        """
        if not typed[:1].isalpha() or "\n" in typed or typed[:2].lower() == "pa":
            return None
        mouth, words = self.mouths.split(typed) or (None, typed)
        if self.mouths.like_a_name(typed) if mouth is None else not mouth.known:
            return None
        said = said_by(mouth, unbroken(words))
        if len(self.known) < _REMEMBERED:
            self.known[typed] = said
        return said


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
