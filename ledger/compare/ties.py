"""What ties scenes together: lines found again in other words, every line once, so that no word is owed twice."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from heapq import nlargest

from ledger.compare.bodies import Body, SceneBody
from ledger.compare.rarity import Rarity

#: So many scenes of the other draft are looked at line by line for every scene: those with most rare words in common.
NEAREST = 6
#: Scenes that can't have this part in common are not looked at.
PART = 0.2
#: A scene is open while more than this part of its rare words stands in lines that were not found again as they are.
OPEN = 0.3
#: Likeness two lines need (0 to 1: rare words shared over all rare words), and how often lines are given out anew.
LIKE, ROUNDS = 0.3, 3
#: What the likeness of lines counts in scenes with nothing else in common; what those have in common is added to it.
APART = 0.25
#: A line is found in two scenes if it is so much like one in either.
TWICE = 0.5
#: A line that alone begins or ends with so many words is found again if it is also so much alike.
HALF, SURELY = 5, 0.6
#: A line of fewer words ties nothing together by itself.
TELLING = 4
#: Scenes of no more lines by lines are held against each other whole; in others a seldom word stands in so few lines.
SHORT, SELDOM = 4000, 12
#: Words that stand in more scenes than this lead to no candidate.
MANY = 60

#: Places of an old scene and a new one.
Pair = tuple[int, int]
#: Likeness, shared weight, old line, new line.
_Like = tuple[float, int, Body, Body]


class Ties:
    """Lines of two drafts given to each other, each once, and what scenes have in common by that."""

    def __init__(self, sides: tuple[_Side, _Side]) -> None:
        self._sides = sides
        self._lines: dict[Pair, list[tuple[Body, Body, int]]] = defaultdict(list)

    def put(self, a: Body, b: Body, weight: int) -> None:
        """Gives two lines to each other."""
        self._lines[a.scene, b.scene].append((a, b, weight))

    def copy(self) -> Ties:
        """The same, to be added to."""
        other = Ties(self._sides)
        other._lines.update((pair, list(lines)) for pair, lines in self._lines.items())
        return other

    def pairs(self) -> list[Pair]:
        """Scenes that have anything to do with each other, in order."""
        return sorted(self._lines)

    def weight(self, pair: Pair) -> int:
        """Rare words in common, weighed."""
        return sum(weight for _, _, weight in self._lines.get(pair, ()))

    def lines(self, pair: Pair) -> int:
        """Lines of some length in common."""
        return sum(min(len(a.worn), len(b.worn)) >= TELLING for a, b, _ in self._lines.get(pair, ()))

    def part(self, pair: Pair) -> float:
        """What is in common over the smaller scene, 0 to 1."""
        return self.weight(pair) / self._smaller(pair)

    def _smaller(self, pair: Pair) -> int:
        return max(1, min(self._sides[0].sizes[pair[0]], self._sides[1].sizes[pair[1]]))

    def owed(self, pair: Pair, other: Pair) -> float:
        """The same without lines that are found in the other pair as well; the pairs have one scene in common."""
        here, there = (0, 1) if pair[0] == other[0] else (1, 0)
        lines = self._sides[there].scenes[other[there]].bodies
        given = self._lines.get(pair, [])
        facing = _facing([line[1] if here else line[0] for line in given], lines)
        owed = sum(
            weight
            for (_, _, weight), (mine, others) in zip(given, facing, strict=True)
            if not self._twice(mine, others)
        )
        return owed / self._smaller(pair)

    def _twice(self, mine: Body, others: Iterable[Body]) -> bool:
        """Whether any of these lines is much like this one."""
        rarity, lettered = self._sides[0].rarity, mine.line.lettered
        return any(b.line.lettered == lettered and rarity.likeness(mine, b) >= TWICE for b in others)


class _Side:
    """The scenes of one draft: what every line and scene weighs, and the lines not found yet."""

    def __init__(self, scenes: Sequence[SceneBody], rarity: Rarity) -> None:
        self.scenes = {scene.at: scene for scene in scenes}
        self.rarity = rarity
        self.sizes = {scene.at: sum(map(rarity.of, scene.bodies)) for scene in scenes}
        self.free = {scene.at: dict.fromkeys(scene.bodies) for scene in scenes}

    def open(self) -> list[int]:
        """Scenes of which much has not been found."""
        return [at for at, free in self.free.items() if free and sum(map(self.rarity.of, free)) > OPEN * self.sizes[at]]

    def bags(self) -> dict[int, Counter[str]]:
        """The words of the lines not found, by scene."""
        return {at: Counter(word for body in free for word in body.words) for at, free in self.free.items()}


def find_ties(old: Sequence[SceneBody], new: Sequence[SceneBody], rarity: Rarity) -> Ties:
    """What every scene of a draft has in common with those of another; weights by the rarity of words.

    A line is given to the line most like it, first in scenes that are much alike: what a scene has from one scene it
    does not have from another, however alike the two are.
    """
    sides = _Side(old, rarity), _Side(new, rarity)
    certain = Ties(sides)
    for a, b in _word_for_word(old, new):
        certain.put(a, b, rarity.of(a))
        del sides[0].free[a.scene][a], sides[1].free[b.scene][b]
    for a, b in _half_the_same(sides):
        certain.put(a, b, sum(map(rarity.weights.__getitem__, a.words & b.words)))
        del sides[0].free[a.scene][a], sides[1].free[b.scene][b]
    near = _near(sides, rarity.weights, certain)
    likes = [like for pair in sorted(near) for like in _likes(pair, sides, rarity)]
    ties = certain
    for _ in range(ROUNDS if likes else 0):
        ties = _given_out(likes, near, certain.copy())
        near = {pair: ties.part(pair) for pair in near}
    return ties


def _word_for_word(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> list[tuple[Body, Body]]:
    """Lines that stand once on either side in the same words."""
    once = []
    for scenes in (old, new):
        times = Counter(b.saying for scene in scenes for b in scene.bodies)
        once.append({b.saying: b for scene in scenes for b in scene.bodies if times[b.saying] == 1})
    return [(a, once[1][saying]) for saying, a in once[0].items() if saying in once[1]]


def _half_the_same(sides: tuple[_Side, _Side]) -> list[tuple[Body, Body]]:
    """Of the lines not found those that begin, or end, with the same words, which no other line does."""
    rarity = sides[0].rarity
    found: dict[Body, Body] = {}
    taken: set[Body] = set()
    for part in (slice(HALF), slice(-HALF, None)):
        ends = [_by_words(side, part) for side in sides]
        for words, old in ends[0].items():
            new = ends[1].get(words, ())
            if len(old) != 1 or len(new) != 1 or old[0] in found or new[0] in taken:
                continue
            if rarity.likeness(old[0], new[0]) >= SURELY:
                found[old[0]] = new[0]
                taken.add(new[0])
    return list(found.items())


def _by_words(side: _Side, part: slice) -> dict[tuple[str, ...], list[Body]]:
    lines: dict[tuple[str, ...], list[Body]] = defaultdict(list)
    for free in side.free.values():
        for body in free:
            if len(body.worn) >= HALF:
                lines[body.worn[part]].append(body)
    return lines


def _near(sides: tuple[_Side, _Side], rare: Mapping[str, int], certain: Ties) -> dict[Pair, float]:
    """For every open scene those with which it may have most in common, and how much that is, 0 to 1."""
    opened = sides[0].open(), sides[1].open()
    if not opened[0] and not opened[1]:
        return {}
    bags = sides[0].bags(), sides[1].bags()
    found: dict[Pair, float] = {}
    for here, there in ((0, 1), (1, 0)):
        holding = _holding(bags[there])
        for at in opened[here]:
            for other, weight in _shared(bags[here][at], bags[there], holding, rare):
                pair = (at, other) if here == 0 else (other, at)
                smaller = max(1, min(sides[here].sizes[at], sides[there].sizes[other]))
                most = certain.part(pair) + weight / smaller
                if most >= PART:
                    found[pair] = most
    return found


def _holding(bags: Mapping[int, Counter[str]]) -> dict[str, list[int]]:
    """The scenes in which a word stands, for words that do not stand in too many."""
    holding: dict[str, list[int]] = defaultdict(list)
    for at, bag in bags.items():
        for word in bag:
            holding[word].append(at)
    return {word: there for word, there in holding.items() if len(there) <= MANY}


def _shared(
    bag: Counter[str], bags: Mapping[int, Counter[str]], holding: Mapping[str, Sequence[int]], rare: Mapping[str, int]
) -> list[tuple[int, int]]:
    """The scenes that share most rare words with a scene, and how much."""
    shared: dict[int, int] = defaultdict(int)
    for word, times in bag.items():
        for at in holding.get(word, ()):
            shared[at] += rare[word] * min(times, bags[at][word])
    return nlargest(NEAREST, shared.items(), key=lambda item: (item[1], -item[0]))


def _likes(pair: Pair, sides: tuple[_Side, _Side], rarity: Rarity) -> Iterable[_Like]:
    """Lines of two scenes that are like each other."""
    weight_of = rarity.weights.__getitem__
    for a, others in _facing(list(sides[0].free[pair[0]]), list(sides[1].free[pair[1]])):
        words, lettered, weight = a.words, a.line.lettered, rarity.of(a)
        for b in others:
            if lettered == b.line.lettered and not words.isdisjoint(b.words):
                shared, every = sum(map(weight_of, words & b.words)), weight + rarity.of(b)
                if 2 * shared >= LIKE * every:
                    yield 2 * shared / every, shared, a, b


def _facing(old: Sequence[Body], new: Sequence[Body]) -> Iterable[tuple[Body, Iterable[Body]]]:
    """For every line those it is held against: all of a short scene, of a long one those that share a seldom word."""
    if len(old) * len(new) <= SHORT:
        return ((a, new) for a in old)
    holding: dict[str, list[Body]] = defaultdict(list)
    for b in new:
        for word in b.words:
            holding[word].append(b)
    seldom = {word: lines for word, lines in holding.items() if len(lines) <= SELDOM}
    return ((a, dict.fromkeys(b for word in a.words for b in seldom.get(word, ()))) for a in old)


def _given_out(likes: Sequence[_Like], near: Mapping[Pair, float], ties: Ties) -> Ties:
    """Every line to one other: the likest first, and those whose scenes have more in common."""
    ranked = sorted(
        (-like * (APART + near[a.scene, b.scene]), a.at, b.at, n) for n, (like, _, a, b) in enumerate(likes)
    )
    taken_old: set[int] = set()
    taken_new: set[int] = set()
    for _, at, other, n in ranked:
        if at not in taken_old and other not in taken_new:
            taken_old.add(at)
            taken_new.add(other)
            _, weight, a, b = likes[n]
            ties.put(a, b, weight)
    return ties
