"""The script as it was signed off laid beside the script now: every page, panel, line and scene paired once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from typing import NamedTuple

from ledger.judge.line_pairs import LinePair, pair_actions, pair_lines
from ledger.judge.sheet_pairs import SheetPair, SlotPair, pair_sheets, pair_slots
from ledger.judge.sheets import sheets_of
from ledger.model.script import Draft, Scene


class Collation(NamedTuple):
    """Two drafts side by side.

    `texts` are lettered lines, `actions` paragraphs of action. `bonds` are the scenes that belong together, as pairs
    of indexes into the old and the new draft.
    """

    sheets: tuple[SheetPair, ...]
    slots: tuple[SlotPair, ...]
    texts: tuple[LinePair, ...]
    actions: tuple[LinePair, ...]
    old_scenes: Mapping[int, Scene]
    new_scenes: Mapping[int, Scene]
    bonds: frozenset[tuple[int, int]]


def collate(old: Draft, new: Draft, name_now: Callable[[str], str] = str) -> Collation:
    """Sets two drafts side by side; `name_now` gives a speaker of the old one the name the new one uses."""
    sheets = pair_sheets(sheets_of(old, name_now), sheets_of(new))
    slots = pair_slots(sheets)
    texts, actions = pair_lines(slots), pair_actions(slots)
    before = {scene.index: scene for scene in old.scenes if not scene.omitted}
    after = {scene.index: scene for scene in new.scenes if not scene.omitted}
    return Collation(
        tuple(sheets), tuple(slots), tuple(texts), tuple(actions), before, after, _bonds([*texts, *actions])
    )


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
