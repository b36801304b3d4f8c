"""Scenes rewritten into a neighbour so freely that no run of words is left: joined by the rare words they gave it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from ledger.compare.bodies import SceneBody
from ledger.compare.leftovers import rarity
from ledger.compare.shares import Pair

#: This part of a scene's rare words must be found in the neighbour and be owed to no other scene.
OWED = 0.5
#: Fewer words than this can't tell where they came from.
FEWEST = 8


def joined(old: Sequence[SceneBody], new: Sequence[SceneBody], edges: Iterable[Pair]) -> set[Pair]:
    """More edges: from an old scene left over to the new one that took it in, and the other way round."""
    pairs = set(edges)
    if len({a for a, _ in pairs}) == len(old) and len({b for _, b in pairs}) == len(new):
        return set()
    weights = rarity(old, new)
    taken_in = set(_taken_in(old, new, pairs, weights))
    turned = {(b, a) for a, b in pairs | taken_in}
    return taken_in | {(a, b) for b, a in _taken_in(new, old, turned, weights)}


def _taken_in(
    ones: Sequence[SceneBody], others: Sequence[SceneBody], pairs: Iterable[Pair], weights: Mapping[str, float]
) -> Iterable[Pair]:
    """A left-over scene and the partner of its neighbour, where that partner holds what is missing."""
    partners: dict[int, list[int]] = defaultdict(list)
    sources: dict[int, list[int]] = defaultdict(list)
    for a, b in pairs:
        partners[a].append(b)
        sources[b].append(a)
    for scene in ones:
        if scene.at in partners or len(scene.worn) < FEWEST:
            continue
        beside = [partners[at][0] for at in (scene.at - 1, scene.at + 1) if len(partners.get(at, ())) == 1]
        owed = [(_owed(scene, others[b], [ones[a] for a in sources[b]], weights), -b) for b in set(beside)]
        best, place = max(owed, default=(0.0, 0))
        if best >= OWED:
            yield scene.at, -place


def _owed(scene: SceneBody, other: SceneBody, sources: Sequence[SceneBody], weights: Mapping[str, float]) -> float:
    """The part of a scene's rare words that another holds beyond what its sources gave it, 0 to 1."""
    mine, rest = scene.bag, other.bag
    for source in sources:
        rest = rest - source.bag
    every = sum(weights[word] * n for word, n in mine.items())
    return sum(weights[word] * n for word, n in (mine & rest).items()) / every if every else 0.0
