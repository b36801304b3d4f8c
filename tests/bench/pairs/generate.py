"""Makes a pair of drafts with everything that is true of them, from a seed, a size and an intensity."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from tests.bench.pairs import cast_deeds, line_deeds, scene_deeds
from tests.bench.pairs.revision import Revision
from tests.bench.pairs.script import typed
from tests.bench.pairs.truth import Truth, truth_of
from tests.bench.pairs.writing import first_draft

INTENSITIES = ("light", "hard", "brutal")

#: How often each deed is done for every hundred scenes, in this order: light, hard, brutal.
SHAPING: Mapping[Callable[[Revision], None], tuple[float, float, float]] = {
    scene_deeds.twin: (1, 6, 9),
    scene_deeds.split: (2, 16, 28),
    scene_deeds.merge: (2, 22, 40),
    scene_deeds.cut: (2, 6, 11),
    scene_deeds.add: (2, 6, 11),
    line_deeds.move_across: (3, 14, 18),
    scene_deeds.new_chapter: (1, 3, 5),
    scene_deeds.move_scene: (2, 11, 18),
    scene_deeds.move_block: (0, 2, 3),
    scene_deeds.move_chapter: (0, 1, 1.5),
    scene_deeds.retitle: (3, 28, 40),
}
WORDING: Mapping[Callable[[Revision], None], tuple[float, float, float]] = {
    line_deeds.rewrite: (2, 24, 35),
    line_deeds.move_inside: (3, 16, 25),
    line_deeds.reassign: (3, 18, 30),
    line_deeds.gag: (3, 18, 24),
    line_deeds.insert_page: (1, 6, 9),
    line_deeds.cut_page: (1, 6, 9),
    line_deeds.insert_panel: (2, 10, 16),
    line_deeds.cut_panel: (2, 10, 16),
    line_deeds.split_panel: (1, 6, 9),
    line_deeds.polish: (10, 50, 95),
}
#: How likely each is in a book.
CASTING: Mapping[Callable[[Revision], None], tuple[float, float, float]] = {
    cast_deeds.take_over: (0.1, 0.4, 0.6),
    cast_deeds.rename: (0.3, 0.7, 0.9),
    cast_deeds.exchange: (0.0, 0.3, 0.4),
    cast_deeds.pass_on: (0.0, 0.2, 0.3),
}


@dataclass(frozen=True)
class Pair:
    """Two drafts and the truth."""

    seed: int
    size: int
    intensity: str
    old: str
    new: str
    truth: Truth


def make_pair(seed: int, size: int, intensity: str) -> Pair:
    """A pair: `size` scenes in the old draft, 8 to 400; `intensity` one of INTENSITIES, or "none" for no change."""
    old, chance = first_draft(seed, size)
    rev = Revision(copy.deepcopy(old), chance, brutal=intensity == "brutal")
    rev.written |= old.twins
    if intensity != "none":
        revise(rev, size, INTENSITIES.index(intensity))
    rev.story.tidy()
    before, after = typed(old), typed(rev.story)
    return Pair(seed, size, intensity, before.text, after.text, truth_of(old, rev.story, before, after, rev.deeds))


def revise(rev: Revision, size: int, level: int) -> None:
    """Everything that is done to a story: its shape, then its words, then its cast."""
    for deeds in (SHAPING, WORDING):
        todo = [deed for deed, rates in deeds.items() for _ in range(_times(rev, rates[level] * size / 100))]
        if deeds is WORDING:
            rev.chance.shuffle(todo)
        for deed in todo:
            deed(rev)
            rev.story.tidy()
    for deed, likely in CASTING.items():
        if rev.chance.random() < likely[level]:
            deed(rev)


def _times(rev: Revision, expected: float) -> int:
    return int(expected) + (rev.chance.random() < expected % 1)
