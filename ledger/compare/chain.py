"""What stayed in order: the heaviest increasing chain; what is not in it moved."""

from __future__ import annotations

from collections.abc import Sequence
from operator import lt


def heaviest_chain(places: Sequence[int], weights: Sequence[int]) -> set[int]:
    """Indices of the heaviest strictly increasing run of `places`, whole numbers.

    Weights are positive. A Fenwick tree of best ends keeps it at n log n.
    """
    if all(map(lt, places, places[1:])):
        return set(range(len(places)))
    rank = {place: index + 1 for index, place in enumerate(sorted(set(places)))}
    if len(rank) == len(places):
        return _of_runs([rank[place] for place in places], weights)
    return _followed_up([rank[place] for place in places], weights)


def _of_runs(ranks: Sequence[int], weights: Sequence[int]) -> set[int]:
    """The same for places that differ: what follows itself on both sides stays or goes as one."""
    starts = [0, *(at for at in range(1, len(ranks)) if ranks[at] != ranks[at - 1] + 1)]
    ends = [*starts[1:], len(ranks)]
    order = {rank: index + 1 for index, rank in enumerate(sorted([ranks[at] for at in starts]))}
    runs = _followed_up(
        [order[ranks[at]] for at in starts], [sum(weights[at:end]) for at, end in zip(starts, ends, strict=True)]
    )
    return {at for run in runs for at in range(starts[run], ends[run])}


def _followed_up(ranks: Sequence[int], weights: Sequence[int]) -> set[int]:
    size = len(ranks)
    best: list[tuple[int, int]] = [(0, -1)] * (size + 1)
    before = [-1] * size
    for index, rank in enumerate(ranks):
        total, last = _best_below(best, rank - 1)
        before[index] = last
        _put(best, rank, (total + weights[index], index))
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
