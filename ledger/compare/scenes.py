"""Scenes that belong together, by what stands in them: kept, split, merged, cut and new."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from ledger.compare.bodies import SceneBody
from ledger.compare.joined import joined
from ledger.compare.leftovers import pair_leftovers
from ledger.compare.shares import Pair, Shares, shares
from ledger.compare.words import shared_pairs

#: A scene belongs to every scene with which it shares this part of its words ...
PART = 0.2
#: ... and this many of them.
WORDS = 16

Group = tuple[tuple[int, ...], tuple[int, ...]]


def pair_scenes(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> list[Group]:
    """Groups of scenes that belong together, by their places; one side empty where a scene was cut or is new.

    A group is one scene on each side, or one on one side and several on the other.
    """
    edges = _pinned(old, new)
    edges |= _quite_the_same(_without(old, edges, 0), _without(new, edges, 1))
    settled = {(a, b) for a, b in edges if old[a].print == new[b].print}
    rest = _without(old, settled, 0), _without(new, settled, 1)
    common = shares(*rest)
    edges |= _stars(*rest, common, edges)
    edges |= pair_leftovers(old, new, edges)
    edges |= joined(old, new, edges)
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
        marks = [[(s.print, s.title if titled else "") for s in side] for side in left]
        in_order = shared_pairs(*marks)
        found |= {(left[0][a].at, left[1][b].at) for a, b in in_order}
        found |= _by_mark(
            [(m, s.at) for m, s in zip(marks[0], left[0], strict=True) if s.at not in {a for a, _ in found}],
            [(m, s.at) for m, s in zip(marks[1], left[1], strict=True) if s.at not in {b for _, b in found}],
        )
    return found


def _by_mark(old: Iterable[tuple[object, int]], new: Iterable[tuple[object, int]]) -> set[Pair]:
    waiting: dict[object, list[int]] = defaultdict(list)
    for mark, at in new:
        waiting[mark].append(at)
    return {(at, waiting[mark].pop(0)) for mark, at in old if waiting.get(mark)}


def _stars(old: Sequence[SceneBody], new: Sequence[SceneBody], common: Shares, pinned: Iterable[Pair]) -> set[Pair]:
    """Every scene to the one it shares most with, then cut apart where two stars touch."""
    held = set(pinned)
    best_old: dict[int, tuple[int, int]] = {}
    best_new: dict[int, tuple[int, int]] = {}
    sizes = {(0, s.at): s.size for s in old} | {(1, s.at): s.size for s in new}
    for a, b in sorted(set(common.of_old) | set(common.of_new)):
        if belongs(common.of_old[a, b], sizes[0, a]):
            best_old[a] = max(best_old.get(a, (0, 0)), (common.of_old[a, b], -b))
        if belongs(common.of_new[a, b], sizes[1, b]):
            best_new[b] = max(best_new.get(b, (0, 0)), (common.of_new[a, b], -a))
    pin_old, pin_new = {a for a, _ in held}, {b for _, b in held}
    edges = {(a, -b) for a, (_, b) in best_old.items() if a not in pin_old}
    edges |= {(-a, b) for b, (_, a) in best_new.items() if b not in pin_new}
    return cut_apart(edges | held, common, held) - held


def belongs(words: int, of: int) -> bool:
    """The star rule: a fifth of its words, and 16 of them."""
    return words >= WORDS and words >= PART * of


def cut_apart(edges: set[Pair], common: Shares, held: Iterable[Pair] = ()) -> set[Pair]:
    """Takes away the weakest edges between two scenes that both have other partners, until only stars are left."""
    left, kept = set(edges), set(held)
    for edge in sorted(edges - kept, key=lambda pair: (common.least(pair), pair)):
        others = left - {edge}
        if any(a == edge[0] for a, _ in others) and any(b == edge[1] for _, b in others):
            left = others
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
