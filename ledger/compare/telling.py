"""From pairs of scenes and lines to what is said of them: kinds, moves, order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ledger.compare.bodies import Body, DraftBody, SceneBody
from ledger.compare.chain import heaviest_chain
from ledger.compare.lines import Pairing
from ledger.compare.pages import PageMatch, Sheet, Spot
from ledger.compare.scenes import Group
from ledger.compare.words import similarity
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
    kinds: Mapping[Body, str]
    turned: bool


def _chain(pairs: Sequence[tuple[int, int, int]], *, turned: bool) -> set[int]:
    """Indices of the pairs (old place, new place, weight) that kept their order; of equal places at most one."""
    first, second = (1, 0) if turned else (0, 1)
    order = sorted(range(len(pairs)), key=lambda i: (pairs[i][first], -pairs[i][second]))
    chain = heaviest_chain([pairs[i][second] for i in order], [pairs[i][2] for i in order])
    return {order[i] for i in chain}


def line_kinds(groups: Sequence[Group], pairing: Pairing, *, turned: bool) -> dict[Body, str]:
    """The kind of every paired old line.

    Where scenes were split or merged a line moved if it is out of order among the lines that went the same way.
    """
    group_old = {at: i for i, (a, _) in enumerate(groups) for at in a}
    group_new = {at: i for i, (_, b) in enumerate(groups) for at in b}
    at_home: dict[tuple[int, int], list[tuple[Body, Body]]] = {}
    kinds: dict[Body, str] = {}
    for a, b in pairing.new_of.items():
        kinds[a] = _unmoved(a, b)
        if group_old[a.scene] == group_new[b.scene]:
            at_home.setdefault((a.scene, b.scene), []).append((a, b))
        elif kinds[a] != "reassigned":
            kinds[a] = "moved"
    for pairs in at_home.values():
        stayed = _chain([(a.at, b.at, _line_weight(a, b)) for a, b in pairs], turned=turned)
        for i, (a, _) in enumerate(pairs):
            if i not in stayed and kinds[a] != "reassigned":
                kinds[a] = "moved"
    return kinds


def _line_weight(a: Body, b: Body) -> int:
    return 1000 + min(99, a.size + b.size) + (100 if a.key == b.key else 0)


def _unmoved(a: Body, b: Body) -> str:
    if a.mouth != b.mouth:
        return "reassigned"
    return "same" if a.normal == b.normal else "reworded"


def carried_between_panels(
    old: Sequence[Sheet], new: Sequence[Sheet], match: PageMatch, pairing: Pairing, kinds: dict[Body, str]
) -> None:
    """A line that left a panel for another, when both panels are there before and after, moved.

    Where scenes meet in one panel, what a scene has there goes with its scene and is not counted line by line.
    """
    home, here = _spots(old), _spots(new)
    survivors = set(match.panels.values())
    away: dict[tuple[Spot, int], list[Body]] = {}
    stayed = set()
    for a, b in pairing.new_of.items():
        if a not in home or b not in here:
            continue
        unit = (home[a], a.scene)
        partner = match.panels.get(home[a])
        if partner == here[b]:
            stayed.add(unit)
        elif partner is not None and here[b] in survivors and kinds[a] in ("same", "reworded"):
            away.setdefault(unit, []).append(a)
    met = _shared(here)
    shared = _shared(home) | {a for a, b in pairing.new_of.items() if b in met}
    for unit, bodies in away.items():
        for body in bodies if unit in stayed else [body for body in bodies if body not in shared]:
            kinds[body] = "moved"


def _spots(sheets: Sequence[Sheet]) -> dict[Body, Spot]:
    return {body: (sheet.at, number) for sheet in sheets for number in sheet.numbers for body in sheet.panels[number]}


def _shared(spots: Mapping[Body, Spot]) -> set[Body]:
    """Lines in panels in which several scenes meet."""
    scenes: dict[Spot, set[int]] = {}
    for body, spot in spots.items():
        scenes.setdefault(spot, set()).add(body.scene)
    return {body for body, spot in spots.items() if len(scenes[spot]) > 1}


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
    alike = similarity([w for s in old for w in s.words], [w for s in new for w in s.words]) if old and new else 0.0
    return SceneChange(
        _scene_kind(old, new, alike),
        tuple(s.scene for s in old),
        tuple(s.scene for s in new),
        moved,
        _renamed(old, new),
        alike,
        tuple(_lines(told, old, new)),
    )


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
    bodies = [body for scene in new for body in scene.bodies]
    place = {body: i for i, body in enumerate(bodies)}
    rows: list[tuple[tuple[int, int], LineChange]] = []
    for i, body in enumerate(bodies):
        source = told.pairing.old_of.get(body)
        if source is None:
            rows.append(((i, -1), LineChange("added", None, body.line)))
        else:
            rows.append(((i, -1), LineChange(told.kinds[source], source.line, body.line)))
    last = -1
    for n, body in enumerate([body for scene in old for body in scene.bodies]):
        there = told.pairing.new_of.get(body)
        if there is None:
            rows.append(((last, n), LineChange("cut", body.line, None)))
        elif there in place and told.kinds[body] != "moved":
            last = place[there]
    return [change for _, change in sorted(rows, key=lambda row: row[0])]
