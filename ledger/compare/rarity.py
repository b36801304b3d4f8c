"""How rare words are, and how much alike lines are by the rare words they share."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import cached_property

from ledger.compare.bodies import Body, SceneBody, Wording


class Rarity:
    """What words weigh: their rarity squared, so that names and small words hardly count. Whole numbers."""

    def __init__(self, old: Sequence[SceneBody], new: Sequence[SceneBody]) -> None:
        self._drafts = old, new
        self._of: dict[Wording, int] = {}

    @cached_property
    def weights(self) -> Mapping[str, int]:
        """Every word's weight."""
        return _weights(*self._drafts)

    def of(self, body: Body) -> int:
        """What a line weighs."""
        known = self._of.get(body.wording)
        if known is None:
            known = self._of[body.wording] = sum(map(self.weights.__getitem__, body.words))
        return known

    def likeness(self, a: Body, b: Body) -> float:
        """Rare words shared over all rare words of both lines, 0 to 1."""
        both = a.words & b.words
        return 2 * sum(map(self.weights.__getitem__, both)) / (self.of(a) + self.of(b)) if both else 0.0


def _weights(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> dict[str, int]:
    """A word is as frequent as it is in the draft where more scenes hold it.

    That it stands on both sides is what is asked, and must not count against it.
    """
    within: list[Counter[str]] = [Counter() for _ in (old, new)]
    for times_in, side in zip(within, (old, new), strict=True):
        for scene in side:
            times_in.update(set().union(*(body.words for body in scene.bodies)))
    scenes = max(len(old), len(new))
    times = {word: n for side in within for word, n in side.items()}
    times |= {word: max(n, within[1][word]) for word, n in within[0].items()}
    weight = {n: round(100 * math.log(1 + scenes / n) ** 2) for n in set(times.values())}
    return {word: weight[n] for word, n in times.items()}
