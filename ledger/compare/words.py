"""Words of two drafts against each other: equal, alike, shared in the same order."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Mapping, Sequence
from math import isqrt
from operator import eq
from typing import TypeVar

Row = TypeVar("Row")
_DOUBLED = re.compile(r"(.)\1+")
#: Kana, Han and Thai: scripts that set no blanks between words.
#: So wide a set takes long to compile: that is left until a sign of such a script is there.
_UNSPACED = "[\u0e00-\u0e7f\u3040-\u30ff\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff]"
#: So many different words are remembered with their spelling worn down.
_REMEMBERED = 1 << 16
#: So many cells of a table (old tokens by new ones, a bit each) are held at once.
_HELD = 1 << 26
#: Rows of more tokens by tokens are followed in stretches of so many tokens.
MOST, MOST_PAIRS, STRETCH = 100_000_000, 1_000_000_000, 2048
_TWINS = str.maketrans("vjy", "uii")


class _Worn(dict[str, str]):
    """Words worn down before: a look into a dictionary takes a tenth of a call."""

    def __missing__(self, word: str) -> str:
        if len(self) >= _REMEMBERED:
            self.clear()
        bare = word if word.isalnum() else "".join(filter(str.isalnum, word))
        found = self[word] = _worn(word) if bare == word else self[bare]
        return found


def _worn(word: str) -> str:
    plain = _DOUBLED.sub(r"\1", word.translate(_TWINS))
    return plain[:-1] if len(plain) > 2 and plain.endswith("e") else plain


_KNOWN = _Worn()


def worn(word: str) -> str:
    """A word with its spelling worn down, for pairing only, never for judging whether words are equal.

    Signs are gone, u and v, i, j and y are one, doubled letters single, a final e is gone; so an old
    spelling and a new one mostly meet.
    """
    return _KNOWN[word]


def worn_words(text: str) -> tuple[str, ...]:
    """The worn words of a text; runs between blanks without letter or digit are left out.

    A script that sets no blanks between words gives its signs one by one.
    """
    if not text.isascii() and max(text) >= "\u0e00":
        text = re.sub(_UNSPACED, r" \g<0> ", text)
    return tuple(filter(None, map(_KNOWN.__getitem__, text.split())))


def all_worn(texts: Iterable[str]) -> list[tuple[str, ...]]:
    """The worn words of many texts."""
    known = _KNOWN.__getitem__
    return [tuple(filter(None, map(known, text.split()))) if text.isascii() else worn_words(text) for text in texts]


def by_seldom_words(rows: Iterable[tuple[Row, Iterable[str]]], most: int) -> dict[str, list[Row]]:
    """Word -> the rows that hold it, in their order, for words that stand in at most so many; a row's words differ."""
    holding: dict[str, list[Row]] = {}
    for row, words in rows:
        for word in words:
            holding.setdefault(word, []).append(row)
    return {word: there for word, there in holding.items() if len(there) <= most}


def positions(a: Sequence[Hashable]) -> dict[Hashable, int]:
    """Where each token stands in a row, as the bits of a whole number."""
    masks: dict[Hashable, int] = {}
    for index, token in enumerate(a):
        masks[token] = masks.get(token, 0) | (1 << index)
    return masks


def shared_length(a: Sequence[Hashable], b: Sequence[Hashable]) -> int:
    """Length of the longest common subsequence, bit-parallel (Hyyrö 2004, see docs).

    Of two very long rows a common subsequence that is nearly the longest, in bounded time.
    """
    if len(a) == len(b) and (kept := in_place(a, b)) >= len(a) - 1:
        return kept
    start, end = _ends(a, b)
    one, other = a[start : len(a) - end], b[start : len(b) - end]
    if not one or not other:
        return start + end
    here, there = set(one), set(other)
    one, other = [token for token in one if token in there], [token for token in other if token in here]
    if one == other:
        return start + end + len(one)
    if len(one) * len(other) > MOST:
        return start + end + len(_in_stretches(*sorted((one, other), key=lambda row: (len(row), row))))
    return start + end + shared_with(positions(one), len(one), other)


def in_place(a: Sequence[Hashable], b: Sequence[Hashable]) -> int:
    """How many tokens stand in the same place in two rows; where all but one do, that is what the rows share."""
    return sum(map(eq, a, b))


def _ends(a: Sequence[Hashable], b: Sequence[Hashable]) -> tuple[int, int]:
    """How many tokens two rows have in common at the start, and then at the end."""
    most = min(len(a), len(b))
    start = end = 0
    while start < most and a[start] == b[start]:
        start += 1
    most -= start
    while end < most and a[-1 - end] == b[-1 - end]:
        end += 1
    return start, end


def _in_stretches(a: Sequence[Hashable], b: Sequence[Hashable]) -> list[tuple[int, int]]:
    """Index pairs from one stretch to the next: each begins where three quarters of what the last one shares end."""
    at = to = 0
    found: list[tuple[int, int]] = []
    while at < len(a) and to < len(b):
        pairs = [(at + i, to + j) for i, j in shared_pairs(a[at : at + STRETCH], b[to : to + STRETCH])]
        if at + STRETCH >= len(a) and to + STRETCH >= len(b):
            return found + pairs
        kept = pairs[: len(pairs) * 3 // 4 + 1]
        found += kept
        at, to = (kept[-1][0] + 1, kept[-1][1] + 1) if kept else (at + STRETCH // 2, to + STRETCH // 2)
    return found


def shared_with(masks: Mapping[Hashable, int], size: int, b: Sequence[Hashable]) -> int:
    """The same for a row of `size` tokens whose positions are known."""
    row = full = (1 << size) - 1
    for token in b:
        if hits := row & masks.get(token, 0):
            row = ((row + hits) | (row - hits)) & full
    return size - row.bit_count()


def shared_pairs(a: Sequence[Hashable], b: Sequence[Hashable]) -> list[tuple[int, int]]:
    """Index pairs of one longest common subsequence, in order.

    Of long rows the table is kept in part and worked out again on the way back, so that memory grows with the
    square root of what the whole would take. Very long ones are followed in stretches, in bounded time.
    """
    if len(a) * len(b) > MOST_PAIRS:
        return _in_stretches(a, b)
    if (whole := all_in_order(a, b)) is not None:
        return whole
    start, end = _ends(a, b)
    if start or end:
        between = shared_pairs(a[start : len(a) - end], b[start : len(b) - end])
        ends = [(len(a) - i, len(b) - i) for i in range(end, 0, -1)]
        return [*((i, i) for i in range(start)), *((start + i, start + j) for i, j in between), *ends]
    if not a or not b:
        return []
    masks, full = positions(a), (1 << len(a)) - 1
    step = max(len(b), 1) if len(a) * len(b) <= _HELD else isqrt(len(b)) + 1
    starts, begins = range(0, len(b), step), []
    rows = [full]
    for start in starts:
        begins.append(rows[-1])
        rows = _table(masks, full, rows[-1], b[start : start + step])
    pairs: list[tuple[int, int]] = []
    col = len(a)
    for start, begin in zip(reversed(starts), reversed(begins), strict=True):
        if start != starts[-1]:
            rows = _table(masks, full, begin, b[start : start + step])
        col = _walk_back(rows, col, start, pairs)
    return pairs[::-1]


def all_in_order(a: Sequence[Hashable], b: Sequence[Hashable]) -> list[tuple[int, int]] | None:
    """The pairs where everything that both rows hold stands in the same order in both; None where it does not.

    There is only one longest common subsequence then, and nothing that both hold is left out of it. Nearly all rows of
    a draft and the next one are so.
    """
    here, there = set(a), set(b)
    old = [at for at, token in enumerate(a) if token in there]
    new = [at for at, token in enumerate(b) if token in here]
    if len(old) != len(new) or [a[at] for at in old] != [b[at] for at in new]:
        return None
    return list(zip(old, new, strict=True))


def _table(masks: Mapping[Hashable, int], full: int, row: int, b: Sequence[Hashable]) -> list[int]:
    """The row that the search begins with, and the one after each token."""
    rows = [row]
    for token in b:
        if hits := row & masks.get(token, 0):
            row = ((row + hits) | (row - hits)) & full
        rows.append(row)
    return rows


def _walk_back(rows: Sequence[int], col: int, start: int, pairs: list[tuple[int, int]]) -> int:
    """Adds the pairs that a part of the table holds, last one first; gives the column it is left at."""
    row = len(rows) - 1
    while row and col:
        bit = 1 << (col - 1)
        if rows[row] & bit:
            col -= 1
        elif rows[row - 1] & bit:
            row, col = row - 1, col - 1
            pairs.append((col, start + row))
        else:
            row -= 1
    return col


def similarity(a: Sequence[Hashable], b: Sequence[Hashable]) -> float:
    """1 - the share of words changed, 0 to 1: the longest common subsequence over the longer side."""
    longer = max(len(a), len(b))
    return 1.0 if not longer or a == b else shared_length(a, b) / longer
