"""What stayed in order: the heaviest increasing chain; what is not in it moved."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise


def heaviest_chain(places: Sequence[int], weights: Sequence[int]) -> set[int]:
    """Indices of the heaviest strictly increasing run of `places`, whole numbers.

    Weights are positive. A Fenwick tree of best ends keeps it at n log n.
    """
    if all(a < b for a, b in pairwise(places)):
        return set(range(len(places)))
    rank = {place: index + 1 for index, place in enumerate(sorted(set(places)))}
    size = len(places)
    best: list[tuple[int, int]] = [(0, -1)] * (size + 1)
    before = [-1] * size
    for index, place in enumerate(places):
        total, last = _best_below(best, rank[place] - 1)
        before[index] = last
        _put(best, rank[place], (total + weights[index], index))
    return _followed(before, _best_below(best, size)[1])


def _best_below(best: Sequence[tuple[int, int]], at: int) -> tuple[int, int]:
    found = (0, -1)
    while at > 0:
        found = max(found, best[at])
        at -= at & -at
    return found


def _put(best: list[tuple[int, int]], at: int, end: tuple[int, int]) -> None:
    while at < len(best):
        best[at] = max(best[at], end)
        at += at & -at


def _followed(before: Sequence[int], index: int) -> set[int]:
    chain = set()
    while index >= 0:
        chain.add(index)
        index = before[index]
    return chain
