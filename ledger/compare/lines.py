"""Every line to its other self: the same, reworded, in another mouth, carried elsewhere. Each line once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Sequence
from itertools import chain
from operator import attrgetter

from ledger.compare.alike import Least, Likely, likely_pairs
from ledger.compare.bodies import Body
from ledger.compare.chain import heaviest_chain
from ledger.compare.rarity import Rarity
from ledger.compare.words import all_in_order, shared_pairs

#: Words a line needs before its likeness far from its place means anything (common practice, no source).
TELLING = 4
#: Words that are enough where the very same words stand once in either draft, in the same mouth.
FEW = 2
#: Likeness asked for: between the same two lines, elsewhere in the scene, in another scene; and so much that the line
#: is not looked for anywhere else. Set by the cases and by pairs with a known history.
IN_PLACE, IN_SCENE, ELSEWHERE, NEARLY = Least(0.55, 0.4), Least(0.66, 0.45), Least(0.75, 0.55), Least(0.8, 0.8)
IN_ORDER = Least(0.55, 1.0)
#: Lines to a gap that may be rewritten one for one without a word in common.
ONE_FOR_ONE = 3

Group = tuple[Sequence[Body], Sequence[Body]]


class Pairing:
    """Old lines and new lines paired so far; a line is paired at most once."""

    def __init__(self) -> None:
        self.new_of: dict[Body, Body] = {}
        self.old_of: dict[Body, Body] = {}

    def turned(self) -> Pairing:
        """The same pairs with old and new exchanged."""
        other = Pairing()
        other.new_of, other.old_of = dict(self.old_of), dict(self.new_of)
        return other

    def put(self, old: Body, new: Body) -> None:
        """Pairs two lines that are both free."""
        self.new_of[old] = new
        self.old_of[new] = old

    def put_all(self, pairs: Iterable[tuple[Body, Body]]) -> None:
        """Pairs lines that are all free."""
        new_of = dict(pairs)
        self.new_of.update(new_of)
        self.old_of.update(zip(new_of.values(), new_of, strict=True))

    def free(self, group: Group) -> tuple[list[Body], list[Body]]:
        """The lines of a group that have no partner yet."""
        new_of, old_of = self.new_of, self.old_of
        return [b for b in group[0] if b not in new_of], [b for b in group[1] if b not in old_of]


def pair_lines(groups: Sequence[Group], settled: Sequence[Group], everything: Group, rarity: Rarity) -> Pairing:
    """Pairs the lines of groups of scenes, then those that were carried from one group to another.

    `settled` are groups in which nothing changed; their lines pair in order. `everything` are both drafts in order.
    """
    found = Pairing()
    for old, new in settled:
        found.put_all(zip(old, new, strict=True))
    for group in groups:
        _other_mouth(group, _exact(group, found), found, rarity)
    _carried(everything, found)
    _beside(everything, found, _the_same)
    for group in groups:
        _in_gaps(group, found, rarity)
    for group in groups:
        _take(likely_pairs(found.free(group), rarity, IN_SCENE, telling=TELLING), found)
    _take(likely_pairs(_once(found.free(everything), everything), rarity, ELSEWHERE, telling=TELLING), found)
    _beside(everything, found, lambda a, b: _the_same(a, b) or _likely(a, b, rarity))
    return found


def _exact(group: Group, found: Pairing) -> list[Group]:
    """Pairs the lines that stand in both in the same words and mouth; gives the runs of lines between them."""
    old, new = group
    here, there = list(map(_key_of, old)), list(map(_key_of, new))
    whole = all_in_order(here, there)
    found.put_all([(old[a], new[b]) for a, b in (shared_pairs(here, there) if whole is None else whole)])
    if whole is not None:
        return _between(group, whole)
    _by_key(found.free(group), found, _key_of)
    return gaps(group, found)


def _between(group: Group, anchors: Iterable[tuple[int, int]]) -> list[Group]:
    """The runs between lines, by their places in old and new, where both sides have any; old and new keep one order."""
    old, new = group
    runs: list[Group] = []
    at_old, at_new = 0, 0
    for a, b in chain(anchors, [(len(old), len(new))]):
        if at_old < a and at_new < b:
            runs.append((old[at_old:a], new[at_new:b]))
        at_old, at_new = a + 1, b + 1
    return runs


def _in_order(group: Group, found: Pairing, key: Callable[[Body], Hashable]) -> None:
    old, new = found.free(group)
    found.put_all([(old[a], new[b]) for a, b in shared_pairs(list(map(key, old)), list(map(key, new)))])


def _by_key(group: Group, found: Pairing, key: Callable[[Body], Hashable]) -> None:
    waiting: dict[Hashable, list[Body]] = {}
    for body in reversed(group[1]):
        waiting.setdefault(key(body), []).append(body)
    for body in group[0]:
        if there := waiting.get(key(body)):
            found.put(body, there.pop())


def gaps(group: Group, found: Pairing) -> list[Group]:
    """The runs of free lines between lines that are paired and kept their order."""
    old, new = group
    places = {body: index for index, body in enumerate(new)}
    anchors = [(i, places[other]) for i, b in enumerate(old) if (other := found.new_of.get(b)) in places]
    if len(anchors) == len(old) or len(anchors) == len(new):
        return []
    kept = heaviest_chain([b for _, b in anchors], [1] * len(anchors))
    runs = map(found.free, _between(group, [anchors[i] for i in sorted(kept)]))
    return [run for run in runs if run[0] and run[1]]


def _other_mouth(group: Group, between: Iterable[Group], found: Pairing, rarity: Rarity) -> None:
    """The same words in another mouth: in their place, or anywhere in the scene if they say enough.

    `between` are the runs of lines between those that are paired. What is nearly the same and in its place comes before
    the same words elsewhere.
    """
    for gap in between:
        said = set(map(_wording_of, gap[1]))
        if any(body.wording in said for body in gap[0]):
            _in_order(gap, found, _wording_of)
            gap = found.free(gap)
        _take(likely_pairs(gap, rarity, NEARLY, telling=TELLING), found)
    old, new = found.free(group)
    said = set(map(_wording_of, new))
    telling = [b for b in old if b.wording in said and len(b.wording.worn) >= TELLING]
    if telling:
        _by_key((telling, new), found, _wording_of)


def _carried(everything: Group, found: Pairing) -> None:
    """Lines that went to another scene word for word."""
    old, new = found.free(everything)
    if not old or not new:
        return
    there = {body.wording: body for body in new}
    here = {body.wording: body for body in old if body.wording in there}
    once = [Counter([b.wording for b in side if b.wording in here]) for side in everything]
    for wording, body in here.items():
        other = there[wording]
        enough = FEW if other.mouth == body.mouth else TELLING
        if once[0][wording] == once[1][wording] == 1 and len(wording.worn) >= enough:
            found.put(body, other)


def _likely(a: Body, b: Body, rarity: Rarity) -> bool:
    return bool(likely_pairs(([a], [b]), rarity, IN_PLACE, telling=FEW))


def _the_same(a: Body, b: Body) -> bool:
    return a.key == b.key


_key_of: Callable[[Body], Hashable] = attrgetter("key")
_wording_of: Callable[[Body], Hashable] = attrgetter("wording")


def _beside(everything: Group, found: Pairing, alike: Callable[[Body, Body], bool]) -> None:
    """Lines next to one that has its other self went with it, if they are alike."""
    old, new = everything
    for step, row in ((-1, old), (1, old[::-1])):
        for body in row:
            at = body.at + step
            if body in found.new_of or not 0 <= at < len(old) or (beside := found.new_of.get(old[at])) is None:
                continue
            there = beside.at - step
            if 0 <= there < len(new) and new[there] not in found.old_of and alike(body, new[there]):
                found.put(body, new[there])


def _once(group: Group, everything: Group) -> Group:
    """Lines that stand once in either draft, whatever sign they end with; one that recurs goes with its neighbours."""
    if not group[0] or not group[1]:
        return [], []
    times = [Counter(map(bare, side)) for side in everything]
    left = [[b for b in side if times[0][bare(b)] < 2 and times[1][bare(b)] < 2] for side in group]
    return left[0], left[1]


def bare(body: Body) -> str:
    """The words of a line without the signs at its end."""
    return body.key[2].rstrip(" .!?,;:-")


def _in_gaps(group: Group, found: Pairing, rarity: Rarity) -> None:
    """Reworded in place: the likest first, then one for one between two lines that stayed."""
    left = gaps(group, found)
    for least in (IN_ORDER, IN_PLACE):
        for gap in left:
            _take(likely_pairs(gap, rarity, least, telling=1), found)
        left = [smaller for gap in left for smaller in gaps(gap, found)]
    known = {(_panel(a), _panel(b)) for a in group[0] if (b := found.new_of.get(a)) is not None} if left else set()
    for gap in left:
        for old, new in _by_panel(gap):
            _one_for_one(old, new, found, known_panel=(_panel(old[0]), _panel(new[0])) in known)


def _one_for_one(old: list[Body], new: list[Body], found: Pairing, *, known_panel: bool) -> None:
    """Lines from the same mouths in the same place: the words were replaced, the balloons stayed.

    In a panel that is known to be the same one some may have come or gone; elsewhere there must be as many.
    """
    drawn = old[0].line.panel is not None
    if drawn and known_panel:
        _in_order((old, new), found, lambda body: body.mouth)
    elif [b.mouth for b in old] == [b.mouth for b in new]:
        few = len(old) <= ONE_FOR_ONE and all(b.lettered for b in old)
        for a, b in zip(old, new, strict=True) if drawn or few else ():
            found.put(a, b)


def _by_panel(gap: Group) -> Iterable[tuple[list[Body], list[Body]]]:
    """A gap taken apart at its panels where both sides have as many, else whole."""
    parts = [_panels(side) for side in gap]
    if len(parts[0]) == len(parts[1]):
        return zip(*parts, strict=True)
    return [(list(gap[0]), list(gap[1]))]


def _panel(body: Body) -> tuple[str | None, int | None, int]:
    return (body.line.page, body.line.panel, body.scene)


def _panels(bodies: Sequence[Body]) -> list[list[Body]]:
    parts: list[list[Body]] = []
    for body in bodies:
        if not parts or _panel(body) != _panel(parts[-1][-1]):
            parts.append([])
        parts[-1].append(body)
    return parts


def _take(ranked: Iterable[Likely], found: Pairing) -> None:
    for _, _, old, new in ranked:
        if old not in found.new_of and new not in found.old_of:
            found.put(old, new)
