"""What ties scenes together: lines found again in other words, every line once, so that no word is owed twice."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from itertools import chain

from ledger.compare.bodies import Body, SceneBody, Wording
from ledger.compare.rarity import Rarity
from ledger.compare.words import by_seldom_words

#: So many scenes of the other draft are looked at line by line for every scene: those with most rare words in common.
NEAREST = 4
#: So many are weighed by their rare words to find them: those with most words in common.
LOOKED_AT = 8
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
MANY = 20

#: Places of an old scene and a new one.
Pair = tuple[int, int]
#: An old line and a new one given to each other, and the weight of what they share.
_Given = tuple[Body, Body, int]
#: Likeness, shared weight, old line, new line.
_Like = tuple[float, int, Body, Body]


class Ties:
    """Lines of two drafts given to each other, each once, and what scenes have in common by that."""

    def __init__(self, sides: tuple[_Side, _Side]) -> None:
        self._sides = sides
        self._lines: dict[Pair, list[_Given]] = {}
        self._weights: dict[Pair, int] = {}

    def put(self, given: Iterable[_Given]) -> None:
        """Gives lines to each other."""
        lines: dict[Pair, list[_Given]] = defaultdict(list)
        for one in given:
            a, b, _ = one
            lines[a.scene, b.scene].append(one)
        for pair, more in lines.items():
            self._lines[pair] = self._lines.get(pair, []) + more
            self._weights[pair] = self.weight(pair) + sum([weight for _, _, weight in more])

    def copy(self) -> Ties:
        """The same, to be added to."""
        other = Ties(self._sides)
        other._lines, other._weights = dict(self._lines), dict(self._weights)
        return other

    def pairs(self) -> list[Pair]:
        """Scenes that have anything to do with each other, in order."""
        return sorted(self._lines)

    def weight(self, pair: Pair) -> int:
        """Rare words in common, weighed."""
        return self._weights.get(pair, 0)

    def has_lines(self, pair: Pair, enough: int) -> bool:
        """Whether so many lines of some length are in common."""
        count = 0
        for a, b, _ in self._lines.get(pair, ()):
            if min(len(a.wording.worn), len(b.wording.worn)) >= TELLING:
                count += 1
                if count == enough:
                    return True
        return False

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
        likeness, text, lettered = self._sides[0].rarity.likeness, mine.wording, mine.lettered
        return any(likeness(text, b.wording) >= TWICE for b in others if b.lettered == lettered)


class _Side:
    """The scenes of one draft: what every line and scene weighs, and the lines not found yet."""

    def __init__(self, scenes: Sequence[SceneBody], rarity: Rarity) -> None:
        self.scenes = {scene.at: scene for scene in scenes}
        self.rarity, of = rarity, rarity.of
        self.sizes = {scene.at: sum(map(of, scene.wordings)) for scene in scenes}
        self.free = {scene.at: scene.bodies for scene in scenes}

    def without(self, taken: Container[Body]) -> None:
        """Lines that were found are not free any more."""
        self.free = {at: [body for body in free if body not in taken] for at, free in self.free.items()}

    def open(self) -> list[int]:
        """Scenes of which much has not been found."""
        of = self.rarity.of
        left = {at: sum([of(body.wording) for body in free]) for at, free in self.free.items() if free}
        return [at for at, weight in left.items() if weight > OPEN * self.sizes[at]]

    def words(self) -> dict[int, set[str]]:
        """The words of the lines not found, by scene."""
        return {at: set().union(*[body.wording.worn for body in free]) for at, free in self.free.items()}


def find_ties(old: Sequence[SceneBody], new: Sequence[SceneBody], rarity: Rarity) -> Ties:
    """What every scene of a draft has in common with those of another; weights by the rarity of words.

    A line is given to the line most like it, first in scenes that are much alike: what a scene has from one scene it
    does not have from another, however alike the two are.
    """
    sides = _Side(old, rarity), _Side(new, rarity)
    certain = Ties(sides)
    for search in (_word_for_word, _half_the_same):
        found = search(sides)
        certain.put(found)
        sides[0].without({a for a, _, _ in found})
        sides[1].without({b for _, b, _ in found})
    near = _near(sides, rarity, certain)
    likes = [like for pair in sorted(near) for like in _likes(pair, sides, rarity)]
    ties = certain
    for _ in range(ROUNDS if likes else 0):
        ties = _given_out(likes, near, certain.copy())
        near = {pair: ties.part(pair) for pair in near}
    return ties


def _word_for_word(sides: tuple[_Side, _Side]) -> list[_Given]:
    """Lines that stand once on either side in the same words."""
    of, new = sides[0].rarity.of, _once(sides[1])
    return [(a, new[said], of(said)) for said, a in _once(sides[0]).items() if said in new]


def _once(side: _Side) -> dict[Wording, Body]:
    """The lines whose words no other line has."""
    bodies = list(chain.from_iterable(side.free.values()))
    said = [body.wording for body in bodies]
    found = dict(zip(said, bodies, strict=True))
    if len(found) < len(said):
        for wording, times in Counter(said).items():
            if times > 1:
                del found[wording]
    return found


def _half_the_same(sides: tuple[_Side, _Side]) -> list[_Given]:
    """Of the lines not found those that begin, or end, with the same words, which no other line does."""
    rarity = sides[0].rarity
    found: list[_Given] = []
    taken: set[Body] = set()
    for part in (slice(HALF), slice(-HALF, None)):
        old, new = (_by_words(side, part) for side in sides)
        for words, a in old.items():
            b = new.get(words)
            if a and b and a not in taken and b not in taken:
                shared = rarity.shared(a.wording, b.wording)
                if 2 * shared / (rarity.of(a.wording) + rarity.of(b.wording)) >= SURELY:
                    found.append((a, b, shared))
                    taken |= {a, b}
    return found


def _by_words(side: _Side, part: slice) -> dict[tuple[str, ...], Body | None]:
    """The line that begins, or ends, with these words; None where there are several."""
    lines: dict[tuple[str, ...], Body | None] = {}
    for free in side.free.values():
        for body in free:
            worn = body.wording.worn
            if len(worn) >= HALF:
                words = worn[part]
                lines[words] = None if words in lines else body
    return lines


def _near(sides: tuple[_Side, _Side], rarity: Rarity, certain: Ties) -> dict[Pair, float]:
    """For every open scene those with which it may have most in common, and how much that is, 0 to 1."""
    opened = sides[0].open(), sides[1].open()
    if not opened[0] and not opened[1]:
        return {}
    words = sides[0].words(), sides[1].words()
    found: dict[Pair, float] = {}
    for here, there in ((0, 1), (1, 0)):
        holding = by_seldom_words(words[there].items(), MANY)
        for at in opened[here]:
            for other, weight in _shared(words[here][at], words[there], holding, rarity):
                pair = (at, other) if here == 0 else (other, at)
                smaller = max(1, min(sides[here].sizes[at], sides[there].sizes[other]))
                most = certain.part(pair) + weight / smaller
                if most >= PART:
                    found[pair] = most
    return found


def _shared(
    words: set[str], others: Mapping[int, set[str]], holding: Mapping[str, Sequence[int]], rarity: Rarity
) -> list[tuple[int, int]]:
    """The scenes that share most rare words with a scene, and how much: of those that share most words at all."""
    votes = Counter(chain.from_iterable([holding[word] for word in words if word in holding]))
    likely = sorted([(-times, at) for at, times in votes.items()])[:LOOKED_AT]
    shared = sorted([(-sum(map(rarity.weight, words & others[at])), at) for _, at in likely])
    return [(at, -weight) for weight, at in shared[:NEAREST]]


def _likes(pair: Pair, sides: tuple[_Side, _Side], rarity: Rarity) -> Iterable[_Like]:
    """Lines of two scenes that are like each other."""
    weight_of, of = rarity.weight, rarity.of
    old, new = sides[0].free[pair[0]], sides[1].free[pair[1]]
    known = {b: (b, b.wording.words, b.lettered, of(b.wording)) for b in new}
    whole = list(known.values())
    for a, others in _facing(old, new):
        words, lettered, weight = a.wording.words, a.lettered, of(a.wording)
        for b, its_words, its_lettered, its_weight in whole if others is new else [known[b] for b in others]:
            if lettered == its_lettered and (both := words & its_words):
                shared, every = sum(map(weight_of, both)), weight + its_weight
                if 2 * shared >= LIKE * every:
                    yield 2 * shared / every, shared, a, b


def _facing(old: Sequence[Body], new: Sequence[Body]) -> Iterable[tuple[Body, Iterable[Body]]]:
    """For every line those it is held against: all of a short scene, of a long one those that share a seldom word."""
    if len(old) * len(new) <= SHORT:
        return ((a, new) for a in old)
    seldom = by_seldom_words([(b, b.wording.words) for b in new], SELDOM)
    return ((a, dict.fromkeys(b for word in a.wording.words for b in seldom.get(word, ()))) for a in old)


def _given_out(likes: Sequence[_Like], near: Mapping[Pair, float], ties: Ties) -> Ties:
    """Every line to one other: the likest first, and those whose scenes have more in common."""
    ranked = sorted(
        (-like * (APART + near[a.scene, b.scene]), a.at, b.at, n) for n, (like, _, a, b) in enumerate(likes)
    )
    taken_old: set[int] = set()
    taken_new: set[int] = set()
    given: list[_Given] = []
    for _, at, other, n in ranked:
        if at not in taken_old and other not in taken_new:
            taken_old.add(at)
            taken_new.add(other)
            _, weight, a, b = likes[n]
            given.append((a, b, weight))
    ties.put(given)
    return ties
