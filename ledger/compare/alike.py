"""Lines that say nearly the same: candidates by shared words, measured by letters."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from typing import NamedTuple

from ledger.compare.bodies import Body, Wording
from ledger.compare.rarity import Rarity
from ledger.compare.words import by_seldom_words, in_place, shared_with, similarity

#: So many pairs are measured without looking for shared words first.
FEW = 64
#: A word that stands in more lines than this leads to no candidate.
EVERYWHERE = 12
#: Shorter lines are measured by their letters in any case, longer ones only where their words differ too much.
LETTERS = 40
#: Lines of more letters are never measured by them: it would take too long.
MANY_LETTERS = 10_000
#: So much alike by rare words that the order of the words no longer matters.
ENOUGH = 0.8
#: Lines of so many different words must share a quarter of them to be looked at closely.
LONG = 6
#: Such lines are measured in order only if the words they share come so near to the likeness asked for.
RESPELT = 0.22
#: Lines of fewer words are not alike by their rare words.
FEWEST = 3
#: Likeness asked for when the words went to another mouth.
OTHER_MOUTH = 0.72

#: Likeness, closeness in the draft (0 is nearest), old line, new line.
Likely = tuple[float, int, Body, Body]


class Least(NamedTuple):
    """Likeness asked for, 0 to 1: by words in order or letters, or by rare words in any order."""

    in_order: float
    rare: float


def likely_pairs(
    group: tuple[Sequence[Body], Sequence[Body]], rarity: Rarity, least: Least, telling: int
) -> list[Likely]:
    """Pairs of lines that resemble each other enough, the likest first.

    Lines of fewer than `telling` words are left out. Action pairs with action only.
    """
    if len(group[0]) == len(group[1]) == 1 and _word_replaced(group[0][0], group[1][0], least, telling):
        return [(1.0, 0, group[0][0], group[1][0])]
    old = [b for b in group[0] if len(b.wording.worn) >= telling]
    new = [b for b in group[1] if len(b.wording.worn) >= telling]
    found = []
    for a, b in _candidates(old, new):
        like = _like(a, b, rarity, least)
        if like:
            found.append((like, -abs((a.at - old[0].at) - (b.at - new[0].at)), a, b))
    if len(found) > 1:
        found.sort(key=lambda each: (-each[0], -each[1], each[2].at, each[3].at))
    return found


def _word_replaced(a: Body, b: Body, least: Least, telling: int) -> bool:
    """Whether two lines of one mouth differ in one word, in so many words that they are surely alike.

    A shorter way to what `_like` says of such lines; how much alike they are matters only among several.
    """
    one, other = a.wording.worn, b.wording.worn
    size = len(one)
    return (
        size == len(other)
        and size >= max(telling, FEWEST)
        and (size - 1) / size >= least.in_order
        and a.key[:2] == b.key[:2]
        and in_place(one, other) >= size - 1
        and _as_long(len(a.wording.letters), len(b.wording.letters), least.in_order)
    )


def _like(a: Body, b: Body, rarity: Rarity, least: Least) -> float:
    one, other = a.wording, b.wording
    both = one.words & other.words
    common, fewest, most = len(both), *sorted((len(one.words), len(other.words)))
    if (fewest >= LONG and 4 * common < fewest) or a.lettered != b.lettered:
        return 0.0
    same_mouth = a.key[:2] == b.key[:2]
    asked = least.rare if same_mouth else max(least.rare, OTHER_MOUTH)
    like = rarity.likeness(one, other, both) if common and fewest >= FEWEST else 0.0
    rare = like if like >= asked else 0.0
    needed = (least.in_order - RESPELT) * most
    if rare >= ENOUGH or (fewest >= LONG and common < needed):
        return rare
    return max(rare, _measure(one, other, least.in_order, same_mouth=same_mouth))


def _candidates(old: Sequence[Body], new: Sequence[Body]) -> Iterable[tuple[Body, Body]]:
    if len(old) * len(new) <= FEW:
        return [(a, b) for a in old for b in new]
    seldom = by_seldom_words([(body, body.wording.words) for body in new], EVERYWHERE)
    return [(a, b) for a in old for b in _sharing(a, seldom)]


def _sharing(body: Body, seldom: Mapping[str, Sequence[Body]]) -> Iterable[Body]:
    """The lines that share a seldom word with a line, or with a long one two of them; in a fixed order."""
    shared = Counter(chain.from_iterable([seldom[word] for word in body.wording.worn if word in seldom]))
    if len(body.wording.words) < LONG:
        return shared
    return [b for b, times in shared.items() if times > 1 or len(b.wording.words) < LONG]


def _measure(a: Wording, b: Wording, least: float, *, same_mouth: bool) -> float:
    """Likeness, or 0 where it is too little."""
    shorter, longer = sorted((len(a.letters), len(b.letters)))
    begun = same_mouth and _begun(a.worn, b.worn)
    if not shorter or (not _as_long(shorter, longer, least) and not begun):
        return 0.0
    like = similarity(a.worn, b.worn) if begun or _at_most(a, b) >= least else 0.0
    if (like < least or shorter < LETTERS) and longer < MANY_LETTERS:
        like = max(like, resemblance(a, b))
    if same_mouth:
        return like if like >= least or begun else 0.0
    return like if like >= max(least, OTHER_MOUTH) and len(a.worn) > 1 and len(b.worn) > 1 else 0.0


def _at_most(a: Wording, b: Wording) -> float:
    """What the likeness of two lines by their words in order can't exceed: the words that both hold, in any order."""
    both = min(sum(map(b.words.__contains__, a.worn)), sum(map(a.words.__contains__, b.worn)))
    return both / max(len(a.worn), len(b.worn), 1)


def _as_long(letters: int, others: int, least: float) -> bool:
    """Whether two lines are so nearly of one length that they can be so much alike."""
    return 2 * min(letters, others) >= least * (letters + others)


def resemblance(a: Wording, b: Wording) -> float:
    """How alike two lines are by their letters, 0 to 1 (Indel similarity: twice what is shared over both lengths)."""
    both = len(a.letters) + len(b.letters)
    return 2 * shared_with(a.letter_places, len(a.letters), b.letters) / both if both else 1.0


def _begun(a: tuple[str, ...], b: tuple[str, ...]) -> bool:
    """Whether one line is the other with words put on or taken off at an end."""
    short, long = (a, b) if len(a) <= len(b) else (b, a)
    return len(short) > 1 and (long[: len(short)] == short or long[-len(short) :] == short)
