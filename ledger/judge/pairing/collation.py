"""The script as it was signed off laid beside the script now: every page, panel, line and scene paired once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from ledger.judge.pairing.line_pairs import LinePair, pair_actions, pair_lines
from ledger.judge.pairing.sheet_pairs import SheetPair, SlotPair, pair_sheets, pair_slots
from ledger.judge.pairing.sheets import Sheet, sheets_of
from ledger.model.script import Draft, Scene


class Collation(NamedTuple):
    """Two drafts side by side.

    `texts` are lettered lines, `actions` paragraphs of action. `bonds` are the scenes that belong together, as pairs
    of indexes into the old and the new draft. `labels` are those of every page on both sides, or on one.
    """

    sheets: tuple[SheetPair, ...]
    slots: tuple[SlotPair, ...]
    texts: tuple[LinePair, ...]
    actions: tuple[LinePair, ...]
    old_scenes: Mapping[int, Scene]
    new_scenes: Mapping[int, Scene]
    bonds: frozenset[tuple[int, int]]
    labels: frozenset[tuple[str | None, str | None]]


def collate(old: Draft, new: Draft, name_now: Callable[[str], str] = str) -> Collation:
    """Sets two drafts side by side; `name_now` gives a speaker of the old one the name the new one uses."""
    return laid_together(old, new, sheets_of(old, name_now), sheets_of(new))


def laid_together(old: Draft, new: Draft, sheets_then: Sequence[Sheet], sheets_now: Sequence[Sheet]) -> Collation:
    """As `collate`, for drafts that are laid out as sheets already."""
    sheets = pair_sheets(sheets_then, sheets_now)
    slots = pair_slots(sheets)
    texts, actions = pair_lines(slots), pair_actions(slots)
    before = {scene.index: scene for scene in old.scenes if not scene.omitted}
    after = {scene.index: scene for scene in new.scenes if not scene.omitted}
    bonds = _bonds([*texts, *actions])
    bonds |= _silent_bonds(before, after, bonds)
    labels = frozenset((pair.old.label if pair.old else None, pair.new.label if pair.new else None) for pair in sheets)
    return Collation(tuple(sheets), tuple(slots), tuple(texts), tuple(actions), before, after, bonds, labels)


def _bonds(pairs: list[LinePair]) -> frozenset[tuple[int, int]]:
    """Scenes that share most of the paired lines of either of them."""
    shared: Counter[tuple[int, int]] = Counter()
    old: dict[int, int] = defaultdict(int)
    new: dict[int, int] = defaultdict(int)
    for pair in pairs:
        if pair.olds and pair.news:
            i, j = pair.olds[0].line.scene, pair.news[0].line.scene
            shared[i, j] += 1
            old[i] += 1
            new[j] += 1
    return frozenset((i, j) for (i, j), n in shared.items() if 2 * n > old[i] or 2 * n > new[j])


def _silent_bonds(
    old: Mapping[int, Scene], new: Mapping[int, Scene], bonds: frozenset[tuple[int, int]]
) -> frozenset[tuple[int, int]]:
    """Scenes in which nobody speaks and whose action was rewritten: known by their place among the others."""
    before, after = {i for i, _ in bonds}, {j for _, j in bonds}
    heirs = dict(sorted(bonds))
    waiting: dict[int, list[int]] = defaultdict(list)
    last = -1
    for j, scene in sorted(new.items()):
        last = j if j in after else last
        if j not in after and _silent(scene):
            waiting[last].append(j)
    found, last = set(), -1
    for i, scene in sorted(old.items()):
        last = heirs.get(i, last)
        if i not in before and _silent(scene) and waiting[last]:
            found.add((i, waiting[last].pop(0)))
    return frozenset(found)


def _silent(scene: Scene) -> bool:
    return bool(scene.lines) and not any(line.lettered for line in scene.lines)
