"""Scenes that share too few words in a row: paired by rare words, place and title, or left alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from ledger.compare.bodies import SceneBody
from ledger.compare.chain import heaviest_chain
from ledger.compare.rarity import Rarity
from ledger.compare.ties import Pair

#: A title that is a number says where a scene stands, not which one it is.
_NUMBERED = re.compile(r"(?:scene|sc)?[\W_]*(?:\d+[a-z]?|[ivxl]+)\W*")
#: Least likeness (0 to 1, rare words shared over all rare words) for two leftovers to be one scene.
IN_PLACE_TITLED, TITLED, IN_PLACE, ANYWHERE = 0.05, 0.25, 0.25, 0.45
#: A scene must be so many times liker than scenes are that have nothing to do with each other: anywhere, or
#: under the same title or in the same place.
ABOVE_CHANCE = (1.4, 1.25)
#: So many paired scenes show how alike scenes of this book are by chance.
SAMPLE = 24


def pair_leftovers(
    old: Sequence[SceneBody], new: Sequence[SceneBody], edges: Iterable[Pair], rarity: Rarity
) -> set[Pair]:
    """Pairs among the scenes that have no partner yet, the likest first."""
    placed = set(edges)
    paired = {a for a, _ in placed}, {b for _, b in placed}
    olds, news = [s for s in old if s.at not in paired[0]], [s for s in new if s.at not in paired[1]]
    if not olds or not news:
        return set()
    gaps = Gaps(placed, len(old), len(new))
    chance = Chance(_sample(old, paired[0]), _sample(new, paired[1]), rarity)
    ranked = [(_score(a, b, rarity, gaps, chance), -abs(a.at - b.at), a.at, b.at) for a in olds for b in news]
    return _greedy(sorted((row for row in ranked if row[0] > 0), reverse=True))


def _sample(scenes: Sequence[SceneBody], paired: set[int]) -> list[SceneBody]:
    known = [scene for scene in scenes if scene.at in paired]
    return known[:: 1 + len(known) // SAMPLE]


class Chance:
    """How alike a left-over scene is to scenes that are known not to be its other self."""

    def __init__(self, old: Sequence[SceneBody], new: Sequence[SceneBody], rarity: Rarity) -> None:
        self._sides, self._rarity = (old, new), rarity
        self._known: dict[tuple[int, int], float] = {}

    def of(self, a: SceneBody, b: SceneBody) -> float:
        """The mean likeness of two scenes to the other draft's paired ones, 0 where there are none."""
        return (self._mean(0, a) + self._mean(1, b)) / 2

    def _mean(self, side: int, scene: SceneBody) -> float:
        known = self._known.get((side, scene.at))
        if known is None:
            others = self._sides[1 - side]
            likes = [self._rarity.of_scenes(scene, other) for other in others]
            known = self._known[side, scene.at] = sum(likes) / len(likes) if likes else 0.0
        return known


def _greedy(ranked: Iterable[tuple[float, int, int, int]]) -> set[Pair]:
    found: dict[int, int] = {}
    for _, _, a, b in ranked:
        if a not in found and b not in found.values():
            found[a] = b
    return set(found.items())


class Gaps:
    """Where a scene stands between the pairs that kept their order."""

    def __init__(self, pairs: Iterable[Pair], old: int, new: int) -> None:
        ordered = sorted(pairs)
        firsts = {b: i for i, (_, b) in reversed(list(enumerate(ordered)))}
        singles = [ordered[i] for i in sorted(firsts.values())]
        chain = [singles[i] for i in sorted(heaviest_chain([b for _, b in singles], [1] * len(singles)))]
        self._old = _steps([a for a, _ in chain], old)
        self._new = _steps([b for _, b in chain], new)

    def same(self, a: int, b: int) -> bool:
        """Whether an old and a new place lie between the same neighbours."""
        return self._old[a] == self._new[b]

    def near(self, a: int, b: int) -> bool:
        """Whether they lie between the same neighbours or in gaps that touch."""
        return abs(self._old[a] - self._new[b]) <= 1


def _steps(marks: Sequence[int], size: int) -> list[int]:
    passed = set(marks)
    steps, count = [], 0
    for at in range(size):
        count += at in passed
        steps.append(count)
    return steps


def _score(a: SceneBody, b: SceneBody, rarity: Rarity, gaps: Gaps, chance: Chance) -> float:
    """Likeness with what place and title add to it, or 0 where the two are not one scene."""
    if not a.bodies or not b.bodies:
        return _empty(a, b, gaps)
    like = rarity.of_scenes(a, b)
    titled, placed = _titled(a, b), gaps.same(a.at, b.at)
    if titled and placed and a.speakers == b.speakers:
        return 1 + like
    least = {(True, True): IN_PLACE_TITLED, (True, False): TITLED, (False, True): IN_PLACE}.get(
        (titled, placed), ANYWHERE
    )
    if like < least or (not (titled and placed) and like < ABOVE_CHANCE[titled or placed] * chance.of(a, b)):
        return 0.0
    return like + 0.2 * titled + 0.2 * placed


def _titled(a: SceneBody, b: SceneBody) -> bool:
    """Whether two scenes have one title that says something."""
    return bool(a.title) and a.title == b.title and not _NUMBERED.fullmatch(a.title)


def _empty(a: SceneBody, b: SceneBody, gaps: Gaps) -> float:
    """A scene that is a heading so far: by its title, or by its place between the same neighbours."""
    if a.title == b.title and a.title:
        return 2.0 if gaps.same(a.at, b.at) else 1.0
    return 0.5 if gaps.same(a.at, b.at) and not a.bodies and not b.bodies else 0.0
