"""How rare words are, and how much alike lines are by the rare words they share."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import cached_property
from itertools import chain

from ledger.compare.bodies import SceneBody, Wording


class Rarity:
    """What words weigh: their rarity squared, so that names and small words hardly count. Whole numbers."""

    def __init__(self, old: Sequence[SceneBody], new: Sequence[SceneBody]) -> None:
        self._drafts = old, new
        self._of_scenes: dict[SceneBody, int] = {}

    @cached_property
    def weights(self) -> Mapping[str, int]:
        """Every word's weight."""
        return _weights(*self._drafts)

    @cached_property
    def weight(self) -> Callable[[str], int]:
        """A word's weight."""
        return self.weights.__getitem__

    @cached_property
    def of(self) -> Callable[[Wording], int]:
        """What a line weighs."""
        return _Weighed(self.weight).__getitem__

    def shared(self, a: Wording, b: Wording) -> int:
        """What the words of both lines weigh."""
        return sum(map(self.weight, set(a.worn).intersection(b.worn)))

    def likeness(self, a: Wording, b: Wording, both: Collection[str] | None = None) -> float:
        """Rare words shared over all rare words of both lines, 0 to 1; `both` are the words they share, if known."""
        if both is None:
            both = set(a.worn).intersection(b.worn)
        return 2 * sum(map(self.weight, both)) / (self.of(a) + self.of(b)) if both else 0.0

    def of_scenes(self, a: SceneBody, b: SceneBody) -> float:
        """Rare words shared over all rare words of two scenes, each word once, 0 to 1."""
        every = self._of_scene(a) + self._of_scene(b)
        return 2 * sum(map(self.weight, a.different & b.different)) / every if every else 0.0

    def _of_scene(self, scene: SceneBody) -> int:
        known = self._of_scenes.get(scene)
        if known is None:
            known = self._of_scenes[scene] = sum(map(self.weight, scene.different))
        return known


class _Weighed(dict[Wording, int]):
    """What lines weigh, each added up once."""

    def __init__(self, weight: Callable[[str], int]) -> None:
        super().__init__()
        self._weight = weight

    def __missing__(self, text: Wording) -> int:
        found = self[text] = sum(map(self._weight, text.worn))
        return found


def _weights(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> dict[str, int]:
    """A word is as frequent as it is in the draft where more scenes hold it.

    That it stands on both sides is what is asked, and must not count against it.
    """
    within = [Counter(chain.from_iterable([scene.different for scene in side])) for side in (old, new)]
    scenes = max(len(old), len(new))
    times = {word: n for side in within for word, n in side.items()}
    times |= {word: max(n, within[1][word]) for word, n in within[0].items()}
    weight = {n: round(100 * math.log(1 + scenes / n) ** 2) for n in set(times.values())}
    return {word: weight[n] for word, n in times.items()}
