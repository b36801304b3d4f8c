"""Two rows of words set against each other, in bounded time however long they are."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from operator import ne

#: So many pairs of words are compared one by one (two lines of 2,000 words); a longer pair is first cut at what both
#: have in common.
_PAIRS = 4_000_000
#: Words in a row that, where they stand once on both sides, are taken for the same place.
_ROW = 4

#: (whether the words are the same, start and end in the old row, start and end in the new row)
Run = tuple[bool, int, int, int, int]


def word_runs(old: Sequence[str], new: Sequence[str], pairs: int = _PAIRS) -> Iterator[Run]:
    """The two rows as runs in order, together covering both; no two stretches of more `pairs` are compared as such."""
    if len(old) * len(new) <= pairs:
        yield from _compared(old, new, 0, 0)
        return
    at, to = 0, 0
    for i, j, size in _anchors(old, new):
        yield from _between(old[at:i], new[to:j], at, to, pairs)
        yield True, i, i + size, j, j + size
        at, to = i + size, j + size
    yield from _between(old[at:], new[to:], at, to, pairs)


def _between(old: Sequence[str], new: Sequence[str], at: int, to: int, pairs: int) -> Iterator[Run]:
    """Runs of two stretches that begin at `at` and `to`; too long ones are taken for two wordings of their own."""
    if len(old) * len(new) <= pairs:
        yield from _compared(old, new, at, to)
    else:
        yield False, at, at + len(old), to, to + len(new)


def _compared(old: Sequence[str], new: Sequence[str], at: int, to: int) -> Iterator[Run]:
    place = _replaced(old, new)
    if place is not None:
        if place:
            yield True, at, at + place, to, to + place
        yield False, at + place, at + place + 1, to + place, to + place + 1
        if place + 1 < len(old):
            yield True, at + place + 1, at + len(old), to + place + 1, to + len(new)
        return
    for tag, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        yield tag == "equal", at + a, at + b, to + c, to + d


def _replaced(old: Sequence[str], new: Sequence[str]) -> int | None:
    """Where one word stands for another in rows of words that stand once each, as in most reworded lines.

    No other way to set them against each other has so many words in common; None for all other rows.
    """
    if len(old) != len(new) or len({*old, *new}) != len(old) + 1:
        return None
    apart = list(map(ne, old, new))
    return apart.index(True) if sum(apart) == 1 else None


def _anchors(old: Sequence[str], new: Sequence[str]) -> Iterator[tuple[int, int, int]]:
    """Stretches that are the same on both sides and stand in the same order: (start, start, words)."""
    places = _single(new)
    pairs = [(i, places[row]) for row, i in _single(old).items() if row in places]
    found: tuple[int, int, int] | None = None
    for i, j in _rising(pairs):
        if found and i - found[0] == j - found[1] <= found[2]:
            found = found[0], found[1], i - found[0] + _ROW
            continue
        if found and (i < found[0] + found[2] or j < found[1] + found[2]):
            continue
        if found:
            yield found
        found = i, j, _ROW
    if found:
        yield found


def _single(words: Sequence[str]) -> dict[tuple[str, ...], int]:
    """Rows of words that stand once, each with where, in order."""
    places: dict[tuple[str, ...], int] = {}
    for at in range(len(words) - _ROW + 1):
        row = tuple(words[at : at + _ROW])
        places[row] = -1 if row in places else at
    return {row: at for row, at in places.items() if at >= 0}


def _rising(pairs: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The longest choice of pairs, given in the order of their first, whose second rises too."""
    ends: list[int] = []
    last: list[int] = []
    before: list[int] = []
    for index, (_, place) in enumerate(pairs):
        at = bisect_left(ends, place)
        before.append(last[at - 1] if at else -1)
        ends[at : at + 1], last[at : at + 1] = [place], [index]
    index, chosen = last[-1] if last else -1, []
    while index >= 0:
        chosen.append(pairs[index])
        index = before[index]
    return chosen[::-1]
