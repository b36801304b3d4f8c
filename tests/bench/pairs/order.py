"""What can and what must have moved: every longest increasing run of a row of places."""

from __future__ import annotations

from collections.abc import Sequence

STAYED, EITHER, MOVED = (frozenset({False}), frozenset({False, True}), frozenset({True}))


def movers(places: Sequence[int], weights: Sequence[float] | None = None) -> list[frozenset[bool]]:
    """For each place: whether it moved in no, some or every explanation with the fewest moves.

    `weights` count a place as more than one. Square time; for a few hundred places.
    """
    weight = list(weights or [1.0] * len(places))
    size = len(places)
    upto, beyond = list(weight), list(weight)
    for i in range(size):
        upto[i] += max((upto[j] for j in range(i) if places[j] < places[i]), default=0)
    for i in reversed(range(size)):
        beyond[i] += max((beyond[j] for j in range(i + 1, size) if places[j] > places[i]), default=0)
    best = max(upto, default=0)
    on = [abs(upto[i] + beyond[i] - weight[i] - best) < 1e-9 for i in range(size)]
    return [_verdict(i, on, upto, weight) for i in range(size)]


def _verdict(i: int, on: Sequence[bool], upto: Sequence[float], weight: Sequence[float]) -> frozenset[bool]:
    """A place that shares its stretch of the best run with no other stands in every best run."""
    if not on[i]:
        return MOVED
    start, end = upto[i] - weight[i], upto[i]
    rival = any(
        j != i and on[j] and upto[j] - weight[j] < end - 1e-9 and upto[j] > start + 1e-9 for j in range(len(on))
    )
    return EITHER if rival else STAYED
