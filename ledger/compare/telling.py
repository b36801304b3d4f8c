"""From pairs of scenes and lines to what is said of them: kinds, moves, order."""

from collections.abc import Sequence
from functools import partial
from itertools import chain
from operator import lt
from typing import NamedTuple

from ledger.compare.bodies import Body, DraftBody, SceneBody, size_of
from ledger.compare.chain import heaviest_chain
from ledger.compare.lines import Pairing
from ledger.compare.pages import Paged, PageMatch, Spot
from ledger.compare.scenes import Group
from ledger.compare.words import shared_length, similarity
from ledger.model.change import LineChange, SceneChange

#: Less than about a quarter of a scene's words changed is polish.
POLISH = 0.75
#: Heavier than any number of words: the fewest scenes come first, then the fewest words.
_SCENE = 1 << 40


class Told(NamedTuple):
    """What was found out about two drafts; `turned` when the search ran from the new one to the old one."""

    old: DraftBody
    new: DraftBody
    groups: Sequence[Group]
    pairing: Pairing
    kinds: dict[Body, str]
    turned: bool


def _chain(pairs: Sequence[tuple[int, int, int]], *, turned: bool) -> set[int]:
    """Indices of the pairs (old place, new place, weight) that kept their order; of equal places at most one."""
    first, second = (1, 0) if turned else (0, 1)
    order = sorted(range(len(pairs)), key=lambda i: (pairs[i][first], -pairs[i][second]))
    chain = heaviest_chain([pairs[i][second] for i in order], [pairs[i][2] for i in order])
    return {order[i] for i in chain}


def line_kinds(old: DraftBody, groups: Sequence[Group], pairing: Pairing, *, turned: bool) -> dict[Body, str]:
    """The kind of every paired old line.

    Where scenes were split or merged a line moved if it is out of order among the lines that went the same way.
    """
    group_old = {at: i for i, (a, _) in enumerate(groups) for at in a}
    group_new = {at: i for i, (_, b) in enumerate(groups) for at in b}
    at_home: dict[tuple[int, int], list[tuple[Body, Body]]] = {}
    kinds: dict[Body, str] = {}
    for a in old.bodies:
        b = pairing.new_of.get(a)
        if b is None:
            continue
        kind = kinds[a] = "same" if a.key == b.key else "reworded" if a.mouth == b.mouth else "reassigned"
        if group_old[a.scene] == group_new[b.scene]:
            at_home.setdefault((a.scene, b.scene), []).append((a, b))
        elif kind != "reassigned":
            kinds[a] = "moved"
    for pairs in at_home.values():
        for a in _out_of_order(pairs, turned=turned):
            if kinds[a] != "reassigned":
                kinds[a] = "moved"
    return kinds


def _out_of_order(pairs: Sequence[tuple[Body, Body]], *, turned: bool) -> list[Body]:
    """The old lines of pairs, in the old order, that did not keep it: as few and as short ones as explain the new."""
    places = [b.at for _, b in pairs]
    if all(map(lt, places, places[1:])):
        return []
    stayed = _chain([(a.at, b.at, _line_weight(a, b)) for a, b in pairs], turned=turned)
    return [a for i, (a, _) in enumerate(pairs) if i not in stayed]


def _line_weight(a: Body, b: Body) -> int:
    return 1000 + min(99, a.size + b.size) + (100 if a.key == b.key else 0)


def carried_between_panels(told: Told, old: Paged, new: Paged, match: PageMatch) -> None:
    """A line that left a panel for another, when both panels are there before and after, moved.

    Where scenes meet in one panel, what a scene has there goes with its scene and is not counted line by line.
    """
    partner_of, survivors = match.panels.get, set(match.panels.values())
    homes, places = old.spots, new.spots
    away: list[tuple[Body, Spot, Body, Spot]] = []
    for a, b in told.pairing.new_of.items():
        home, here = homes[a.at], places[b.at]
        if home is None or here is None or (partner := partner_of(home)) is None or partner == here:
            continue
        if here in survivors and told.kinds[a] in ("same", "reworded"):
            away.append((a, home, b, here))
    if not away:
        return
    stayed = _stayed(told, old, new, match)
    met = _met(told.old, old), _met(told.new, new)
    for a, home, b, here in away:
        alone = home not in met[0] and here not in met[1]
        if alone or (home, a.scene) in stayed[0] or (here, b.scene) in stayed[1]:
            told.kinds[a] = "moved"


def _stayed(
    told: Told, old: Paged, new: Paged, match: PageMatch
) -> tuple[set[tuple[Spot, int]], set[tuple[Spot, int]]]:
    """The panels that have lines still, each with the scene whose lines they are, before and after."""
    before: set[tuple[Spot, int]] = set()
    after: set[tuple[Spot, int]] = set()
    for a, b in told.pairing.new_of.items():
        home, here = old.spots[a.at], new.spots[b.at]
        if home is not None and here is not None and match.panels.get(home) == here:
            before.add((home, a.scene))
            after.add((here, b.scene))
    return before, after


def _met(draft: DraftBody, pages: Paged) -> set[Spot]:
    """Panels in which several scenes meet."""
    scene_in: dict[Spot, int] = {}
    standing = [(spot, body.scene) for spot, body in zip(pages.spots, draft.bodies, strict=True) if spot]
    return {spot for spot, scene in standing if scene_in.setdefault(spot, scene) != scene}


def tell_scenes(told: Told) -> tuple[SceneChange, ...]:
    """Every group in the order of the new draft; a cut scene stands after what stood before it."""
    moved = _moved_groups(told)
    place = {at: min(b) for a, b in told.groups for at in a if b}
    ranked = []
    for i, (a, b) in enumerate(told.groups):
        if b:
            ranked.append(((min(b), -1), i))
        else:
            before = [at for at in range(a[0]) if at in place]
            ranked.append(((place[before[-1]] if before else -1, a[0]), i))
    return tuple(_scene_change(told, told.groups[i], moved=i in moved) for _, i in sorted(ranked))


def _moved_groups(told: Told) -> set[int]:
    """The fewest groups whose relocation explains the new order. A split or merger stayed if any part of it did."""
    seats = [(a, b, i) for i, (olds, news) in enumerate(told.groups) for a in olds for b in news]
    weights = [_SCENE + told.old.scenes[a].size + told.new.scenes[b].size for a, b, _ in seats]
    pairs = [(a, b, weight) for (a, b, _), weight in zip(seats, weights, strict=True)]
    stayed = {seats[n][2] for n in _chain(pairs, turned=told.turned)}
    return {i for _, _, i in seats} - stayed


def _scene_change(told: Told, group: Group, *, moved: bool) -> SceneChange:
    old = [told.old.scenes[at] for at in group[0]]
    new = [told.new.scenes[at] for at in group[1]]
    alike = _alike(told, old, new) if old and new else 0.0
    return SceneChange(
        _scene_kind(old, new, alike),
        tuple([s.scene for s in old]),
        tuple([s.scene for s in new]),
        moved,
        _renamed(old, new),
        alike,
        tuple(_lines(told, old, new)),
    )


def _alike(told: Told, old: Sequence[SceneBody], new: Sequence[SceneBody]) -> float:
    """1 - the share of words changed, 0 to 1: words kept in their order over the words of the longer side.

    Where one scene became one, lines that stayed as they are stay whole; words are followed between them.
    """
    if len(old) > 1 or len(new) > 1:
        return similarity([run for s in old for run in s.words], [run for s in new for run in s.words])
    longer = max(old[0].size, new[0].size)
    return _words_kept(told, old[0].bodies, new[0].bodies) / longer if longer else 1.0


def _words_kept(told: Told, old: Sequence[Body], new: Sequence[Body]) -> int:
    at = to = 0
    kinds, new_of, first = told.kinds, told.pairing.new_of, new[0].at if new else 0
    stayed = [(i, body) for i, body in enumerate(old) if kinds.get(body) == "same"]
    kept = size_of([body for _, body in stayed])
    for i, body in stayed:
        there = new_of[body].at - first
        if at < i and to < there:
            kept += shared_length(_runs(old[at:i]), _runs(new[to:there]))
        at, to = i + 1, there + 1
    if at < len(old) and to < len(new):
        kept += shared_length(_runs(old[at:]), _runs(new[to:]))
    return kept


def _runs(bodies: Sequence[Body]) -> list[str]:
    """The runs between blanks of lines, made for the moment: of most lines they are asked for once."""
    return " ".join([body.key[2] for body in bodies]).split()


def _scene_kind(old: Sequence[SceneBody], new: Sequence[SceneBody], alike: float) -> str:
    if not old or not new:
        return "cut" if old else "new"
    if len(old) > 1 or len(new) > 1:
        return "merged" if len(old) > 1 else "split"
    if alike == 1.0:
        return "kept"
    return "polished" if alike > POLISH else "rewritten"


def _renamed(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> bool:
    """Whether the title is another; of several scenes it is enough that one kept it."""
    return bool(old and new) and not {s.title for s in old} & {s.title for s in new}


def _lines(told: Told, old: Sequence[SceneBody], new: Sequence[SceneBody]) -> list[LineChange]:
    """The new lines in order, cut ones where they stood; what went to another scene stands there."""
    kinds, old_of = told.kinds, told.pairing.old_of
    bodies = [body for scene in new for body in scene.bodies]
    make, added = partial(tuple.__new__, LineChange), ("added", None)
    rows = [
        make((*added, body.line) if source is None else (kinds[source], source.line, body.line))
        for source, body in zip(map(old_of.get, bodies), bodies, strict=True)
    ]
    left = [body for scene in old for body in scene.bodies]
    if all(map(told.pairing.new_of.__contains__, left)):
        return rows
    return _with_cuts(told, bodies, rows, left)


def _with_cuts(
    told: Told, bodies: Sequence[Body], rows: Sequence[LineChange], left: Sequence[Body]
) -> list[LineChange]:
    """The rows of the new lines with the old lines that were cut after the ones they stood behind."""
    place = {body: at for at, body in enumerate(bodies)}
    after: list[list[LineChange]] = [[], *([row] for row in rows)]
    last = 0
    for body in left:
        there = told.pairing.new_of.get(body)
        if there is None:
            after[last].append(LineChange("cut", body.line, None))
        elif there in place and told.kinds[body] != "moved":
            last = place[there] + 1
    return list(chain.from_iterable(after))
