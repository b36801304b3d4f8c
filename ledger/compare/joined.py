"""Scenes rewritten into a neighbour so freely that no run of words is left: joined by the rare words they gave it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from ledger.compare.bodies import SceneBody
from ledger.compare.rarity import Rarity
from ledger.compare.ties import Pair

#: This part of a scene's rare words must be found in the neighbour and be owed to no other scene.
OWED = 0.5
#: Fewer words than this can't tell where they came from.
FEWEST = 8


def joined(old: Sequence[SceneBody], new: Sequence[SceneBody], edges: Iterable[Pair], rarity: Rarity) -> set[Pair]:
    """More edges: from an old scene left over to the new one that took it in, and the other way round."""
    pairs = set(edges)
    found = _taken_in(old, new, pairs, rarity.weights)
    turned = {(b, a) for a, b in pairs | found}
    return found | {(a, b) for b, a in _taken_in(new, old, turned, rarity.weights)}


def _partners(pairs: Iterable[Pair]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = defaultdict(list)
    for a, b in pairs:
        found[a].append(b)
    return found


def _candidates(ones: Sequence[SceneBody], others: Sequence[SceneBody], pairs: set[Pair]) -> list[Pair]:
    """Left-over scenes and the only partner of a neighbour, where that partner holds enough of their words."""
    partners = _partners(pairs)
    left = [scene for scene in ones if scene.at not in partners and scene.size >= FEWEST]
    beside = [
        (scene, partners[at][0])
        for scene in left
        for at in (scene.at - 1, scene.at + 1)
        if len(partners.get(at, ())) == 1
    ]
    return [(s.at, b) for s, b in beside if len(s.bag.keys() & others[b].bag.keys()) >= OWED * len(s.bag)]


def _taken_in(
    ones: Sequence[SceneBody], others: Sequence[SceneBody], pairs: set[Pair], weights: Mapping[str, int]
) -> set[Pair]:
    """The best candidate of every scene, if it is owed enough."""
    candidates = _candidates(ones, others, pairs)
    sources = _partners((b, a) for a, b in pairs)
    best: dict[int, tuple[float, int]] = {}
    for a, b in candidates:
        owed = _owed(ones[a], others[b], [ones[at] for at in sources[b]], weights)
        if owed >= OWED:
            best[a] = max(best.get(a, (0.0, 0)), (owed, -b))
    return {(a, -b) for a, (_, b) in best.items()}


def _owed(scene: SceneBody, other: SceneBody, sources: Sequence[SceneBody], weights: Mapping[str, int]) -> float:
    """The part of a scene's rare words that another holds beyond what its sources gave it, 0 to 1."""
    mine, rest = scene.bag, other.bag
    for source in sources:
        rest = rest - source.bag
    every = sum(weights[word] * n for word, n in mine.items())
    return sum(weights[word] * n for word, n in (mine & rest).items()) / every if every else 0.0
