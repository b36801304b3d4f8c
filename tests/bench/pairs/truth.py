"""What is true of two drafts, from the identity of their rows; where the contract leaves two readings, both."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import combinations

from tests.bench.pairs.links import TELLING, Link, find_links, words_of
from tests.bench.pairs.order import EITHER, MOVED, STAYED, movers
from tests.bench.pairs.page_truth import PageTruth, page_truth
from tests.bench.pairs.revision import Deed
from tests.bench.pairs.script import Spot, Typed, worded
from tests.bench.pairs.story import Row, Scene, Story

Sides = tuple[frozenset[int], frozenset[int]]
#: A scene that shares less than this part of the smaller scene's words with what it came from may stand apart.
EVIDENCE = 0.25
#: So many weak ties of one group are looked at.
MOST = 4
#: "About a quarter" of the words changed, either way.
POLISHED, REWRITTEN = 0.72, 0.78


@dataclass(frozen=True)
class GroupTruth:
    """Scenes that belong together by their places, and what may be said of them."""

    old: frozenset[int]
    new: frozenset[int]
    kinds: frozenset[str]
    moved: frozenset[bool]
    renamed: frozenset[bool]

    @property
    def sides(self) -> Sides:
        """The group alone."""
        return self.old, self.new


@dataclass(frozen=True)
class LineTruth:
    """A line by its place in either file (0 where it is not) and the kinds that are right."""

    old: int
    new: int
    kinds: frozenset[str]


@dataclass
class Truth:
    """Everything.

    `groups` holds each group as it was made; `apart` those that may be said instead, because too little is left to
    see it by; `weak` are the ties of scenes that rest on so little. `lines` must be found; `open_links` may be.
    """

    old: Typed
    new: Typed
    groups: list[GroupTruth]
    apart: list[GroupTruth]
    weak: frozenset[tuple[int, int]]
    lines: list[LineTruth]
    open_links: frozenset[tuple[int, int]]
    renames: dict[str, str]
    pages: list[PageTruth]
    deeds: list[Deed]
    scenes: dict[int, tuple[str, int]]
    rows: dict[int, tuple[int, int]]


def truth_of(old: Story, new: Story, before: Typed, after: Typed, deeds: list[Deed]) -> Truth:
    """The truth of two states of one story."""
    made = [(i, j) for i, a in enumerate(old.scenes) for j, b in enumerate(new.scenes) if a.id in b.sources]
    links = find_links(list(old.rows()), list(new.rows()), before.spots, after.spots, made)
    recurring = {text for text, n in Counter(row.text for row in old.rows()).items() if n > 1}
    weak = {edge for edge in made if _evidence(edge, old, new, links, recurring) < EVIDENCE}
    both = Stories(old, new, before, after)
    groups = both.groups(made)
    apart = [group for each in groups for group in both.readings(each, made, weak)]
    lines = _lines(both, groups, both.groups(set(made) - weak) if weak else [], links)
    scenes = {s.id: ("old", i) for i, s in enumerate(old.scenes)} | {s.id: ("new", i) for i, s in enumerate(new.scenes)}
    rows = {
        row: (before.spots[row].line if row in before.spots else 0, after.spots[row].line if row in after.spots else 0)
        for row in {**before.spots, **after.spots}
    }
    renames = {a.upper(): b.upper() for a, b in zip(old.names, new.names, strict=True) if a != b}
    pages = page_truth(old, new, before, after, links.required) if old.paged else []
    open_links = links.places(before, after)
    return Truth(
        before, after, groups, apart, frozenset(weak), lines, open_links, renames, pages, deeds, scenes, rows
    )  # fmt: skip


def _evidence(edge: tuple[int, int], old: Story, new: Story, links: Link, recurring: Set[str]) -> float:
    """The part of the smaller scene's words that stand in lines found on both sides.

    Lines of a word or two, and those said elsewhere too, show nothing; of several scenes on a side each must give
    or take more than one line.
    """
    a, b = old.scenes[edge[0]], new.scenes[edge[1]]
    here = {row.id for row in b.rows} & links.required
    telling = [row.id for row in a.rows if row.id in here and row.size >= TELLING and row.text not in recurring]
    if len(telling) < 2 and (len(b.sources) > 1 or sum(a.id in s.sources for s in new.scenes) > 1):
        return 0.0
    return sum(links.shared[row] for row in telling) / max(1, min(a.size, b.size))


@dataclass(frozen=True)
class Stories:
    """Both drafts, as stories and as typed."""

    old: Story
    new: Story
    before: Typed
    after: Typed

    def groups(self, edges: Iterable[tuple[int, int]]) -> list[GroupTruth]:
        """Groups of scenes that the edges tie together."""
        sides = _tied(edges, range(len(self.old.scenes)), range(len(self.new.scenes)))
        moved = _moved(sides)
        return [GroupTruth(*s, self._kinds(s), m, self._renamed(s)) for s, m in zip(sides, moved, strict=True)]

    def readings(
        self, group: GroupTruth, made: Sequence[tuple[int, int]], weak: set[tuple[int, int]]
    ) -> list[GroupTruth]:
        """What may be said instead of a group: any of its weak ties left out; whether it moved is then open."""
        mine = [(a, b) for a, b in made if a in group.old and b in group.new]
        open_ties = [edge for edge in mine if edge in weak][:MOST]
        found: dict[Sides, GroupTruth] = {}
        for count in range(1, len(open_ties) + 1):
            for left_out in combinations(open_ties, count):
                for sides in _tied(set(mine) - set(left_out), sorted(group.old), sorted(group.new)):
                    moved = EITHER if all(sides) else frozenset({False})
                    found[sides] = GroupTruth(*sides, self._kinds(sides), moved, self._renamed(sides))
        return list(found.values())

    def _kinds(self, sides: Sides) -> frozenset[str]:
        old, new = sides
        if not old or not new:
            return frozenset({"cut" if old else "new"})
        if len(old) > 1 or len(new) > 1:
            return frozenset({"merged" if len(old) > 1 else "split"})
        (a,), (b,) = old, new
        return scene_kinds(self.old.scenes[a], self.new.scenes[b], self.old.names, self.new.names)

    def _renamed(self, sides: Sides) -> frozenset[bool]:
        if not all(sides):
            return frozenset({False})
        if len(sides[0]) != 1 or len(sides[1]) != 1:
            return EITHER
        (a,), (b,) = sides
        one, other = self.before.titles[a], self.after.titles[b]
        return frozenset({one.casefold() != other.casefold()}) if bool(one) == bool(other) else EITHER


def scene_kinds(old: Scene, new: Scene, names: Sequence[str], later: Sequence[str]) -> frozenset[str]:
    """Kept, polished or rewritten, by the share of words changed; both where it is about a quarter."""
    kinds: set[str] = set()
    for known in (False, True):
        a, b = (
            [w for row in scene.rows for w in words_of(worded(row.text, list(cast)) if known else row.text)]
            for scene, cast in ((old, names), (new, later))
        )
        if a == b:
            kinds.add("kept")
            continue
        if Counter(a) == Counter(b):
            kinds.add("kept")
        kinds |= {kind for like in _likenesses(a, b) for kind in _by_share(like)}
    return frozenset(kinds)


def _likenesses(a: Sequence[str], b: Sequence[str]) -> tuple[float, float]:
    from rapidfuzz.distance import LCSseq

    shared = LCSseq.similarity(a, b)
    return shared / max(len(a), len(b)), 2 * shared / (len(a) + len(b))


def _by_share(like: float) -> set[str]:
    return ({"polished"} if like > POLISHED else set()) | ({"rewritten"} if like < REWRITTEN else set())


def _tied(edges: Iterable[tuple[int, int]], old: Iterable[int], new: Iterable[int]) -> list[Sides]:
    """The scenes in the groups that the edges make of them."""
    nodes = [*(("old", a) for a in old), *(("new", b) for b in new)]
    root = {node: node for node in nodes}

    def top(node: tuple[str, int]) -> tuple[str, int]:
        while root[node] != node:
            node = root[node]
        return node

    for a, b in edges:
        root[top(("old", a))] = top(("new", b))
    found: dict[tuple[str, int], tuple[set[int], set[int]]] = defaultdict(lambda: (set(), set()))
    for node in nodes:
        found[top(node)][node[0] == "new"].add(node[1])
    return [(frozenset(a), frozenset(b)) for a, b in found.values()]


def _moved(groups: Sequence[Sides]) -> list[frozenset[bool]]:
    """Whether each group moved, counting groups and counting scenes.

    A group stayed if any of its scenes did; where its parts lie apart it may be told either way.
    """
    seats = sorted((a, -b, n) for n, (olds, news) in enumerate(groups) for a in olds for b in news)
    places = [-b for _, b, _ in seats]
    sizes = [float(len(groups[n][0]) + len(groups[n][1]) - 1) for _, _, n in seats]
    found: list[frozenset[bool]] = [frozenset({False})] * len(groups)
    for weights in (None, sizes):
        verdicts: dict[int, list[frozenset[bool]]] = defaultdict(list)
        for (_, _, n), verdict in zip(seats, movers(places, weights), strict=True):
            verdicts[n].append(verdict)
        for n, each in verdicts.items():
            mine = _together(each, whole=all(map(_whole, groups[n])))
            found[n] = mine if weights is None else found[n] | mine
    return found


def _together(verdicts: list[frozenset[bool]], *, whole: bool) -> frozenset[bool]:
    if not whole:
        return EITHER
    return STAYED if STAYED in verdicts else MOVED if set(verdicts) == {MOVED} else EITHER


def _whole(places: frozenset[int]) -> bool:
    return max(places) - min(places) < len(places)


def _home(groups: Iterable[GroupTruth]) -> tuple[dict[int, int], dict[int, int]]:
    listed = list(groups)
    return {a: n for n, g in enumerate(listed) for a in g.old}, {b: n for n, g in enumerate(listed) for b in g.new}


def _lines(both: Stories, groups: list[GroupTruth], apart: list[GroupTruth], links: Link) -> list[LineTruth]:
    """Every line that must be found, and those that are only on one side."""
    before, after = both.before.spots, both.after.spots
    old, new = ({row.id: row for row in story.rows()} for story in (both.old, both.new))
    stay = _staying(groups, before, after, {row: float(old[row].size + new[row].size) for row in old if row in new})
    mixed = _mixed_panels(before, after, links.required)
    home_old, home_new = _home(apart)
    found = []
    for row in {**old, **new}:
        if row in links.required:
            kinds = line_kinds(old[row], new[row], both)
            moved = stay[row] | (frozenset({True}) if row in mixed else frozenset())
            if apart and home_old[before[row].scene] != home_new[after[row].scene]:
                moved = moved | {True}
            kinds = _with_moves(kinds, moved)
            found.append(LineTruth(before[row].line, after[row].line, kinds))
        else:
            found += [LineTruth(before[row].line, 0, frozenset({"cut"}))] if row in old else []
            found += [LineTruth(0, after[row].line, frozenset({"added"}))] if row in new else []
    return found


def _with_moves(kinds: frozenset[str], moved: frozenset[bool]) -> frozenset[str]:
    if moved == {True}:
        return frozenset({"moved"}) | (kinds & {"reassigned"})
    return kinds | {"moved"} if True in moved else kinds


def line_kinds(old: Row, new: Row, both: Stories) -> frozenset[str]:
    """What a line that stayed in its place may be called."""
    changed = words_of(old.text) != words_of(new.text)
    if old.who != new.who:
        return frozenset({"reassigned", "reworded"} if changed else {"reassigned"})
    if changed:
        return frozenset({"reworded"})
    typed_same = worded(old.text, both.old.names) == worded(new.text, both.new.names)
    return frozenset({"same"} if typed_same else {"same", "reworded"})


def _staying(
    groups: list[GroupTruth], before: Mapping[int, Spot], after: Mapping[int, Spot], shared: Mapping[int, float]
) -> dict[int, frozenset[bool]]:
    """Whether each row moved: to another group always; inside one by the fewest that explain the order.

    The fewest may be counted in lines or in words; `shared` holds the words of each row. Where several scenes became
    one or one became several, a line that kept its place among the lines of its own scene may be told either way.
    """
    home_old, home_new = _home(groups)
    found = dict.fromkeys(shared, MOVED)
    inside: dict[int, list[int]] = defaultdict(list)
    alone: dict[tuple[int, int], list[int]] = defaultdict(list)
    for row in shared:
        if home_old[before[row].scene] == home_new[after[row].scene]:
            inside[home_old[before[row].scene]].append(row)
            alone[before[row].scene, after[row].scene].append(row)
    for rows in inside.values():
        found |= _order(rows, before, after, shared)
    for rows in alone.values():
        by_itself = _order(rows, before, after, shared)
        found |= {row: found[row] | by_itself[row] for row in rows}
    return found


def _order(
    rows: list[int], before: Mapping[int, Spot], after: Mapping[int, Spot], sizes: Mapping[int, float]
) -> dict[int, frozenset[bool]]:
    rows = sorted(rows, key=lambda row: before[row].line)
    places = [after[row].line for row in rows]
    readings = zip(movers(places), movers(places, [sizes[row] for row in rows]), strict=True)
    return {row: one | other for row, (one, other) in zip(rows, readings, strict=True)}


def _mixed_panels(before: Mapping[int, Spot], after: Mapping[int, Spot], required: Iterable[int]) -> set[int]:
    """Rows whose panel mates went elsewhere or came from elsewhere: whether such a row moved has two readings."""
    to: dict[tuple[str, int], set[tuple[str, int]]] = defaultdict(set)
    back: dict[tuple[str, int], set[tuple[str, int]]] = defaultdict(set)
    rows = list(required)
    for row in rows:
        here, there = (before[row].page, before[row].panel), (after[row].page, after[row].panel)
        to[here].add(there)
        back[there].add(here)
    return {
        row for row in rows
        if before[row].panel
        and (len(to[before[row].page, before[row].panel]) > 1 or len(back[after[row].page, after[row].panel]) > 1)
    }  # fmt: skip
