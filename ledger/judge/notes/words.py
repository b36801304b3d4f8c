"""Words of places: of a quoted phrase then and now, and how much of their words two places share."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher
from functools import lru_cache

from ledger.judge.notes import places
from ledger.judge.notes.places import Place
from ledger.model.script import Line
from ledger.model.words import count_words, normalise

_WORD = re.compile(r"\w+")


def phrase_words(place: Place) -> str:
    """The words of a phrase in the spelling in which they stand at its place."""
    said = places.joined(place.lines)
    tried = [phrase for phrase, _ in places.spellings(place.quote or "")]
    return next((phrase for phrase in tried if phrase in said), tried[0] if tried else "")


def words_now(place: Place, lines: Sequence[Line]) -> str:
    """The words that stand now between those that stood around the phrase; all of them where that can't be told."""
    before = " ".join(line.text for line in place.lines).split()
    after = " ".join(line.text for line in lines).split()
    plain = [normalise(word) for word in before]
    wanted = phrase_words(place).split()
    start = next((n for n in range(len(plain)) if _fits(plain[n : n + len(wanted)], wanted)), None)
    if start is None:
        return " ".join(after)
    end, low, high = start + len(wanted), 0, len(after)
    matcher = SequenceMatcher(None, plain, [normalise(word) for word in after], autojunk=False)
    for a, c, size in matcher.get_matching_blocks():
        if a < start and size:
            low = max(low, c + min(size, start - a))
        if a + size > end:
            high = min(high, c + max(0, end - a))
    return " ".join(after[low:high] or after)


def _fits(words: Sequence[str], wanted: Sequence[str]) -> bool:
    return len(words) == len(wanted) and all(b in a for a, b in zip(words, wanted, strict=True))


def weight(lines: Iterable[Line]) -> int:
    """How much lines count: their words, and one for each line."""
    return sum(1 + _words_of(line.text) for line in lines)


#: The same lines are weighed for one note after the other.
_words_of = lru_cache(maxsize=1 << 15)(count_words)


def shared(old: Sequence[Line], new: Sequence[Line]) -> float:
    """Words in common over all words of some lines, 0 to 1."""
    return part(bag(old), bag(new))


def bag(lines: Iterable[Line]) -> Counter[str]:
    """How often each word stands in some lines."""
    return Counter(_WORD.findall(places.joined(lines)))


def part(before: Counter[str], after: Counter[str]) -> float:
    """Words that two bags have in common over all their words, 0 to 1."""
    return 2 * (before & after).total() / max(1, before.total() + after.total())
