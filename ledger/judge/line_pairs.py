"""Lines of two drafts paired, panel by panel: kept, reworded, moved, given to another mouth, cut, added."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from difflib import SequenceMatcher
from itertools import groupby
from typing import NamedTuple

from ledger.judge.in_order import best_in_order
from ledger.judge.sheet_pairs import SlotPair
from ledger.judge.sheets import Told, bag_of, likeness

#: Shares of words in common (common practice, no source): a line given to another mouth, a line that was also reworded
#: on its way elsewhere. A line of fewer words than this is too common to be known again on another page.
_REASSIGNED_LIKE, _MOVED_LIKE, _KNOWN_WORDS = 0.5, 0.75, 3

#: Stretches with more pairs of lines than this are compared by runs of equal lines.
_LONG = 40_000


class LinePair(NamedTuple):
    """Lines on one or both sides. `kind` is kept, reworded, moved, reassigned, cut or added.

    A balloon split or two joined has several lines on one side. `before` and `after` are the panels they stand in.
    """

    kind: str
    olds: tuple[Told, ...]
    news: tuple[Told, ...]
    before: SlotPair | None
    after: SlotPair | None


class _Gap:
    """A stretch of one panel pair whose lines are not the same on both sides."""

    __slots__ = ("news", "olds", "slots")

    def __init__(self, slots: SlotPair, olds: list[Told], news: list[Told]) -> None:
        self.slots, self.olds, self.news = slots, olds, news


class _Desk:
    """Lines on their way to being paired."""

    __slots__ = ("gaps", "pairs")

    def __init__(self) -> None:
        self.pairs: list[LinePair] = []
        self.gaps: list[_Gap] = []

    def pair(self, kind: str, old: Sequence[Told], new: Sequence[Told], there: _Gap, here: _Gap) -> None:
        """Takes lines out of their stretches and puts them down as a pair."""
        for each in old:
            there.olds.remove(each)
        for each in new:
            here.news.remove(each)
        self.pairs.append(LinePair(kind, tuple(old), tuple(new), there.slots, here.slots))


def pair_lines(slots: Sequence[SlotPair]) -> list[LinePair]:
    """Every lettered line of both sides once."""
    desk = _Desk()
    for pair in slots:
        _same_lines(desk, pair)
    for gap in desk.gaps:
        _split_or_joined(desk, gap)
    _found_again(desk, lambda told: told.key, "moved", same_page=True)
    _found_again(desk, lambda told: told.key, "moved", words=_KNOWN_WORDS)
    for gap in desk.gaps:
        _other_mouth(desk, gap, 1.0)
        _reworded(desk, gap)
        _other_mouth(desk, gap, _REASSIGNED_LIKE)
    _found_again(desk, lambda told: told.key, "moved")
    _moved_and_reworded(desk)
    _found_again(desk, lambda told: told.words, "reassigned", words=_KNOWN_WORDS)
    for gap in desk.gaps:
        desk.pairs += [LinePair("cut", (told,), (), gap.slots, None) for told in gap.olds]
        desk.pairs += [LinePair("added", (), (told,), None, gap.slots) for told in gap.news]
    return desk.pairs


def _same_lines(desk: _Desk, pair: SlotPair) -> None:
    olds, news = (pair.old.lettered if pair.old else []), (pair.new.lettered if pair.new else [])
    if pair.alike:
        desk.pairs += [LinePair("kept", (old,), (new,), pair, pair) for old, new in zip(olds, news, strict=True)]
        return
    i = j = 0
    for a, b in [*_kept_in_order(olds, news), (len(olds), len(news))]:
        if a > i or b > j:
            desk.gaps.append(_Gap(pair, olds[i:a], news[j:b]))
        if a < len(olds):
            desk.pairs.append(LinePair("kept", (olds[a],), (news[b],), pair, pair))
        i, j = a + 1, b + 1


def _kept_in_order(olds: Sequence[Told], news: Sequence[Told]) -> list[tuple[int, int]]:
    """Places of the lines that are the same on both sides, in order.

    Of several equal lines those are taken that leave the others room to be reworded in their own places. Very long
    stretches, which a script without pages can have, are paired by their longest equal runs.
    """
    keys, keys_now = [t.key for t in olds], [t.key for t in news]
    if len(olds) * len(news) > _LONG:
        blocks = SequenceMatcher(None, keys, keys_now, autojunk=False).get_matching_blocks()
        return [(block.a + n, block.b + n) for block in blocks for n in range(block.size)]

    def worth(i: int, j: int) -> float:
        return 1.0 if keys[i] == keys_now[j] else 0.01 if olds[i].mouth == news[j].mouth else 0.0

    if keys == keys_now:
        return [(i, i) for i in range(len(keys))]
    return [(i, j) for i, j in best_in_order(len(olds), len(news), worth) if keys[i] == keys_now[j]]


def _split_or_joined(desk: _Desk, gap: _Gap) -> None:
    """A balloon split or two joined: the same words in the same mouth and panel."""
    olds, news = _by_mouth(gap.olds), _by_mouth(gap.news)
    if [run[0].mouth for run in olds] != [run[0].mouth for run in news]:
        return
    for before, after in zip(olds, news, strict=True):
        if len(before) != len(after) and bare(before) == bare(after):
            desk.pair("kept", before, after, gap, gap)


def _by_mouth(told: Sequence[Told]) -> list[list[Told]]:
    return [list(run) for _, run in groupby(told, key=lambda each: each.mouth)]


def bare(told: Sequence[Told]) -> str:
    """The letters and digits of lines, nothing else."""
    return "".join(sign for each in told for sign in each.words if sign.isalnum())


def _found_again(
    desk: _Desk, key: Callable[[Told], Hashable], kind: str, *, same_page: bool = False, words: int = 1
) -> None:
    """Pairs lines left over with equal ones left over elsewhere, first come first."""
    waiting: dict[Hashable, list[tuple[Told, _Gap]]] = defaultdict(list)
    for gap in desk.gaps:
        for told in gap.news:
            waiting[key(told), id(gap.slots.sheets.new) if same_page else 0].append((told, gap))
    for gap in desk.gaps:
        for told in list(gap.olds):
            found = waiting[key(told), id(gap.slots.sheets.new) if same_page else 0]
            if found and len(told.words.split()) >= words:
                new, here = found.pop(0)
                desk.pair(kind, [told], [new], gap, here)


def _other_mouth(desk: _Desk, gap: _Gap, least: float) -> None:
    """The same words, or nearly, in the same place and another mouth."""
    for old, new in list(_alike_in(gap, least, lambda a, b: a.mouth != b.mouth)):
        desk.pair("reassigned", [old], [new], gap, gap)


def _reworded(desk: _Desk, gap: _Gap) -> None:
    """Lines of the same mouth in the same order, whatever their words."""
    for old, new in list(_alike_in(gap, 0.0, lambda a, b: a.mouth == b.mouth)):
        desk.pair("reworded", [old], [new], gap, gap)


def _alike_in(gap: _Gap, least: float, fit: Callable[[Told, Told], bool]) -> Iterator[tuple[Told, Told]]:
    """As many lines in order as can be paired; of several ways the one in which most words stay."""
    olds, news = list(gap.olds), list(gap.news)
    bags = [bag_of([t]) for t in olds]
    bags_now = [bag_of([t]) for t in news]

    def worth(i: int, j: int) -> float:
        if not fit(olds[i], news[j]):
            return 0.0
        like = _like(olds[i], news[j], bags[i], bags_now[j])
        return 1.0 + like if like >= least else 0.0

    for i, j in best_in_order(len(olds), len(news), worth):
        yield olds[i], news[j]


def _like(old: Told, new: Told, bag: Counter[str], bag_now: Counter[str]) -> float:
    return 1.0 if old.words == new.words else min(likeness(bag, bag_now), 0.99)


def _moved_and_reworded(desk: _Desk) -> None:
    """A longer line found again elsewhere in the same mouth, most of its words kept."""
    news = [(told, gap, bag_of([told])) for gap in desk.gaps for told in gap.news]
    for gap in desk.gaps:
        for old in list(gap.olds):
            bag = bag_of([old])
            if bag.total() < _KNOWN_WORDS:
                continue
            likes = [(likeness(bag, other), -n) for n, (new, _, other) in enumerate(news) if new.mouth == old.mouth]
            like, n = max(likes, default=(0.0, 0))
            if like >= _MOVED_LIKE:
                new, here, _ = news.pop(-n)
                desk.pair("moved", [old], [new], gap, here)


def pair_actions(slots: Sequence[SlotPair]) -> list[LinePair]:
    """Paragraphs of action, panel by panel: kept ones, and per panel one pair of all that differs."""
    pairs: list[LinePair] = []
    for pair in slots:
        olds, news = (pair.old.action if pair.old else []), (pair.new.action if pair.new else [])
        if pair.alike:
            pairs += [LinePair("kept", (old,), (new,), pair, pair) for old, new in zip(olds, news, strict=True)]
            continue
        matcher = SequenceMatcher(None, [t.words for t in olds], [t.words for t in news], autojunk=False)
        for tag, a, b, c, d in matcher.get_opcodes():
            if tag == "equal":
                both = zip(olds[a:b], news[c:d], strict=True)
                pairs += [LinePair("kept", (old,), (new,), pair, pair) for old, new in both]
            else:
                pairs.append(LinePair("reworded", tuple(olds[a:b]), tuple(news[c:d]), pair, pair))
    return pairs
