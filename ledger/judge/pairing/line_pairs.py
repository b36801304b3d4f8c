"""Lines of two drafts paired, panel by panel: kept, reworded, moved, given to another mouth, cut, added."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from difflib import SequenceMatcher
from functools import partial
from itertools import groupby
from typing import NamedTuple

from ledger.judge.pairing.in_order import best_in_order
from ledger.judge.pairing.sheet_pairs import SlotPair
from ledger.judge.pairing.sheets import Told, bag_of, likeness

#: Shares of words in common (common practice, no source): a line given to another mouth, a line that was also reworded
#: on its way elsewhere. A line of fewer words than this is too common to be known again on another page.
_REASSIGNED_LIKE, _MOVED_LIKE, _KNOWN_WORDS = 0.5, 0.75, 3

#: What stands on the old side and what on the new one.
Ends = tuple[frozenset[Hashable], frozenset[Hashable]]

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
    """Lines on their way to being paired. Each pair is kept with the step that found it."""

    __slots__ = ("differing", "gaps", "left", "pairs", "step")

    def __init__(self) -> None:
        self.pairs: list[tuple[int, LinePair]] = []
        self.gaps: list[_Gap] = []
        self.step = 0
        self.differing: Ends = (frozenset(), frozenset())
        self.left: Ends = (frozenset(), frozenset())

    def pair(self, kind: str, old: Sequence[Told], new: Sequence[Told], there: _Gap, here: _Gap) -> None:
        """Takes lines out of their stretches and puts them down as a pair."""
        for each in old:
            there.olds.remove(each)
        for each in new:
            here.news.remove(each)
        self.add(LinePair(kind, tuple(old), tuple(new), there.slots, here.slots))

    def add(self, *pairs: LinePair) -> None:
        """Puts pairs down."""
        self.pairs += [(self.step, pair) for pair in pairs]

    def both(self, what: Callable[[Told], Hashable]) -> Ends:
        """What the lines that have no partner yet are, on either side."""
        return (
            frozenset(what(told) for gap in self.gaps for told in gap.olds),
            frozenset(what(told) for gap in self.gaps for told in gap.news),
        )


def pair_lines(slots: Sequence[SlotPair]) -> list[LinePair]:
    """Every lettered line of both sides once."""
    return [pair for _, pair in _paired(slots).pairs]


def _paired(slots: Sequence[SlotPair]) -> _Desk:
    desk = _Desk()
    for pair in slots:
        _same_lines(desk, pair)
    desk.differing = desk.both(lambda told: told.words)
    for step, take in enumerate(_STEPS, 1):
        desk.step = step
        if take is _moved_and_reworded:
            desk.left = desk.both(lambda told: told.mouth)
        take(desk)
    return desk


class PagePairs(NamedTuple):
    """The lines of one page paired as if there were no other page, each with the step that found it.

    `differing` are the words of lines that do not stand on both sides alike, the old ones and the new ones; `left`
    those who say what nothing on the page itself was found to be.
    """

    steps: tuple[tuple[int, LinePair], ...]
    differing: Ends
    left: Ends


def pair_page(slots: Sequence[SlotPair]) -> PagePairs:
    """The lines of one page, paired by themselves."""
    desk = _paired(slots)
    return PagePairs(tuple(desk.pairs), desk.differing, desk.left)


def pairs_together(pages: Sequence[PagePairs]) -> list[LinePair] | None:
    """The lines of several pages as `pair_lines` would pair them; None where one may have gone to another page.

    A line goes elsewhere by its words, or, reworded, in the same mouth: where no page lacks what another one has more,
    each page is paired by itself. All steps go through the pages in order.
    """
    if _shared([page.differing for page in pages]) or _shared([page.left for page in pages]):
        return None
    steps = [step for page in pages for step in page.steps]
    return [pair for _, pair in sorted(steps, key=lambda step: step[0])]


def _shared(pages: Sequence[Ends]) -> bool:
    """Whether anything old on one page is new on another."""
    new: dict[Hashable, int] = {}
    for n, (_, news) in enumerate(pages):
        for each in news:
            new[each] = n if each not in new else -1
    return any(new.get(each, n) != n for n, (olds, _) in enumerate(pages) for each in olds)


def _same_lines(desk: _Desk, pair: SlotPair) -> None:
    olds, news = (pair.old.lettered if pair.old else []), (pair.new.lettered if pair.new else [])
    if pair.alike:
        desk.add(*[LinePair("kept", (old,), (new,), pair, pair) for old, new in zip(olds, news, strict=True)])
        return
    i = j = 0
    for a, b in [*_kept_in_order(olds, news), (len(olds), len(news))]:
        if a > i or b > j:
            desk.gaps.append(_Gap(pair, olds[i:a], news[j:b]))
        if a < len(olds):
            desk.add(LinePair("kept", (olds[a],), (news[b],), pair, pair))
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


def _split_and_joined(desk: _Desk) -> None:
    for gap in desk.gaps:
        _split_or_joined(desk, gap)


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


def _changed_in_place(desk: _Desk) -> None:
    for gap in desk.gaps:
        _other_mouth(desk, gap, 1.0)
        _reworded(desk, gap)
        _other_mouth(desk, gap, _REASSIGNED_LIKE)


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


def _cut_or_added(desk: _Desk) -> None:
    for gap in desk.gaps:
        desk.add(*[LinePair("cut", (told,), (), gap.slots, None) for told in gap.olds])
        desk.add(*[LinePair("added", (), (told,), None, gap.slots) for told in gap.news])


#: How lines find their partners, one step after the other, each through all panels in order.
_STEPS: tuple[Callable[[_Desk], None], ...] = (
    _split_and_joined,
    partial(_found_again, key=lambda told: told.key, kind="moved", same_page=True),
    partial(_found_again, key=lambda told: told.key, kind="moved", words=_KNOWN_WORDS),
    _changed_in_place,
    partial(_found_again, key=lambda told: told.key, kind="moved"),
    _moved_and_reworded,
    partial(_found_again, key=lambda told: told.words, kind="reassigned", words=_KNOWN_WORDS),
    _cut_or_added,
)


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
