"""Two rows laid side by side without changing the order of either."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence

Pairs = list[tuple[int, int]]

#: Above so many cells the rows are paired by position: a draft rewritten whole has no better answer.
_CELLS = 60_000


def longest_rising(numbers: Sequence[int]) -> set[int]:
    """Positions of the longest rising chain in a row of numbers: what kept its order (patience sorting)."""
    tails: list[int] = []
    last: list[int] = []
    before: list[int] = []
    for position, number in enumerate(numbers):
        place = bisect_left(tails, number)
        before.append(last[place - 1] if place else -1)
        if place == len(tails):
            tails.append(number)
            last.append(position)
        else:
            tails[place], last[place] = number, position
    chain: set[int] = set()
    position = last[-1] if last else -1
    while position >= 0:
        chain.add(position)
        position = before[position]
    return chain


def best_in_order(old: int, new: int, worth: Callable[[int, int], float]) -> Pairs:
    """The pairs, in order on both sides, whose worths add up to most; a worth of 0 or less is no pair.

    `old` and `new` are the lengths of the rows (dynamic programming, as for a longest common subsequence).
    """
    if old * new > _CELLS:
        return [(i, i) for i in range(min(old, new)) if worth(i, i) > 0]
    worths = [[worth(i, j) for j in range(new)] for i in range(old)]
    best = [[0.0] * (new + 1) for _ in range(old + 1)]
    for i in range(old - 1, -1, -1):
        row, below = best[i], best[i + 1]
        for j in range(new - 1, -1, -1):
            row[j] = max(below[j], row[j + 1], below[j + 1] + max(worths[i][j], 0.0))
    return _traced(best, worths, old, new)


def _traced(best: list[list[float]], worths: list[list[float]], old: int, new: int) -> Pairs:
    pairs: Pairs = []
    i = j = 0
    while i < old and j < new:
        if worths[i][j] > 0 and best[i][j] == best[i + 1][j + 1] + worths[i][j]:
            pairs.append((i, j))
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            i += 1
        else:
            j += 1
    return pairs
