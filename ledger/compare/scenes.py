"""Scenes that belong together, by what stands in them: kept, split, merged, cut and new."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence

from ledger.compare.bodies import SceneBody
from ledger.compare.joined import joined
from ledger.compare.leftovers import Gaps, pair_leftovers
from ledger.compare.rarity import Rarity
from ledger.compare.ties import Pair, Ties, find_ties
from ledger.compare.words import shared_pairs

#: Scenes belong together if this part of the smaller one's rare words is found in the other: in its place, elsewhere.
PART, PART_AWAY = 0.2, 0.25
#: So many lines must show it elsewhere; one is enough from this part on.
LINES, LONE = 2, 0.5
#: Scenes that share so much show where the others have their place.
SURE = 0.5
#: The least part that another partner of a split or merged scene does not hold as well. Set by pairs with a known
#: history, as the others.
OWED = 0.25

Group = tuple[tuple[int, ...], tuple[int, ...]]


def pair_scenes(old: Sequence[SceneBody], new: Sequence[SceneBody], rarity: Rarity) -> list[Group]:
    """Groups of scenes that belong together, by their places; one side empty where a scene was cut or is new.

    A group is one scene on each side, or one on one side and several on the other.
    """
    edges = _pinned(old, new)
    edges |= _quite_the_same(_without(old, edges, 0), _without(new, edges, 1))
    settled = {(a, b) for a, b in edges if old[a].print == new[b].print}
    rest = _without(old, settled, 0), _without(new, settled, 1)
    common = find_ties(*rest, rarity)
    edges |= _stars(common, edges, len(old), len(new))
    edges |= pair_leftovers(old, new, edges, rarity)
    edges |= joined(old, new, edges, rarity)
    return _groups(edges, len(old), len(new))


def _without(scenes: Sequence[SceneBody], edges: Iterable[Pair], side: int) -> list[SceneBody]:
    taken = {pair[side] for pair in edges}
    return [scene for scene in scenes if scene.at not in taken]


def _pinned(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> set[Pair]:
    pins = {scene.scene.pin: scene.at for scene in reversed(new) if scene.scene.pin}
    found: dict[str, Pair] = {}
    for scene in old:
        pin = scene.scene.pin
        if pin and pin in pins:
            found.setdefault(pin, (scene.at, pins[pin]))
    return set(found.values())


def _quite_the_same(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> set[Pair]:
    """Scenes in which nothing at all changed; doubles by title, then in order. A bare heading needs its title."""
    found: set[Pair] = set()
    for titled in (True, False):
        left = [[s for s in _without(side, found, i) if s.bodies or titled] for i, side in enumerate((old, new))]
        # A number each: what a scene holds takes long to look up.
        known: dict[object, int] = {}
        marks = [[known.setdefault((s.print, s.title if titled else ""), len(known)) for s in side] for side in left]
        in_order = shared_pairs(*marks)
        found |= {(left[0][a].at, left[1][b].at) for a, b in in_order}
        taken = {a for a, _ in found}, {b for _, b in found}
        waiting = [
            [(mark, scene.at) for mark, scene in zip(marks[i], left[i], strict=True) if scene.at not in taken[i]]
            for i in (0, 1)
        ]
        found |= _by_mark(*waiting)
    return found


def _by_mark(old: Iterable[tuple[object, int]], new: Iterable[tuple[object, int]]) -> set[Pair]:
    waiting: dict[object, list[int]] = defaultdict(list)
    for mark, at in new:
        waiting[mark].append(at)
    return {(at, waiting[mark].pop(0)) for mark, at in old if waiting.get(mark)}


def _stars(common: Ties, held: set[Pair], old: int, new: int) -> set[Pair]:
    """Scenes that have enough in common, cut apart where two stars touch."""
    firm = [{pair[side] for pair in held} for side in (0, 1)]
    parts = {(a, b): common.part((a, b)) for a, b in common.pairs() if a not in firm[0] and b not in firm[1]}
    gaps = Gaps(held | {pair for pair, part in parts.items() if part >= SURE}, old, new)
    edges = {pair for pair, part in parts.items() if _enough(pair, part, common, near=gaps.near(*pair))}
    edges = _without_doubles(edges | held, common, held)
    return cut_apart(edges, common, held) - held


def _enough(pair: Pair, part: float, common: Ties, *, near: bool) -> bool:
    """Whether so much in common makes two scenes belong together: in their place, or anywhere."""
    if near:
        return part >= PART and common.has_lines(pair, 1)
    return part >= PART_AWAY and common.has_lines(pair, LINES if part < LONE else 1)


def _without_doubles(edges: set[Pair], common: Ties, held: set[Pair]) -> set[Pair]:
    """Leaves out a scene that is only like another partner: nearly all it has is found in that one as well."""
    left = set(edges)
    for side in (0, 1):
        stars: dict[int, list[Pair]] = defaultdict(list)
        for pair in sorted(edges):
            stars[pair[side]].append(pair)
        for star in stars.values():
            if len(star) == 1:
                continue
            main = max(star, key=lambda pair: (pair in held, common.weight(pair), pair))
            left -= {p for p in star if p != main and p not in held and common.owed(p, main) < OWED}
    return left


def cut_apart(edges: set[Pair], common: Ties, held: Iterable[Pair] = ()) -> set[Pair]:
    """Takes away the weakest edges between two scenes that both have other partners, until only stars are left."""
    left, kept = set(edges), set(held)
    partners = Counter(a for a, _ in edges), Counter(b for _, b in edges)
    for edge in sorted(edges - kept, key=lambda pair: (common.part(pair), common.weight(pair), pair)):
        a, b = edge
        if partners[0][a] > 1 and partners[1][b] > 1:
            left.discard(edge)
            partners[0][a] -= 1
            partners[1][b] -= 1
    return left


def _groups(edges: Iterable[Pair], old: int, new: int) -> list[Group]:
    to_new: dict[int, list[int]] = defaultdict(list)
    to_old: dict[int, list[int]] = defaultdict(list)
    for a, b in sorted(edges):
        to_new[a].append(b)
        to_old[b].append(a)
    groups: list[Group] = [((a,), ()) for a in range(old) if a not in to_new]
    groups += [((), (b,)) for b in range(new) if b not in to_old]
    groups += [((a,), tuple(bs)) for a, bs in to_new.items() if len(bs) > 1]
    groups += [(tuple(sources), (b,)) for b, sources in to_old.items() if len(to_new[sources[0]]) == 1]
    return groups
