"""How much two scenes share: lines and runs of words that stand in one scene of either draft only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence

from ledger.compare.bodies import Body, SceneBody

#: Words in a run. Shorter runs are shared by chance, longer ones break at every respelled word.
RUN = 3

Pair = tuple[int, int]


class Shares:
    """Words of an old scene found in a new one, and of the new found in the old, by their places."""

    def __init__(self) -> None:
        self.of_old: dict[Pair, int] = defaultdict(int)
        self.of_new: dict[Pair, int] = defaultdict(int)

    def least(self, pair: Pair) -> int:
        """Words shared, counted on the side that has fewer."""
        return min(self.of_old[pair], self.of_new[pair])


def shares(old: Sequence[SceneBody], new: Sequence[SceneBody]) -> Shares:
    """What the scenes of two drafts share.

    A line or run that stands in several scenes of one draft (a recurring gag) is evidence for none.
    """
    found = Shares()
    said = _homes((body.saying[1], scene.at) for scene in old for body in scene.bodies)
    says = _homes((body.saying[1], scene.at) for scene in new for body in scene.bodies)
    old_rest = _vote(old, said, says, found.of_old, turned=False)
    new_rest = _vote(new, says, said, found.of_new, turned=True)
    _runs(old_rest, new_rest, found)
    return found


def _homes(items: Iterable[tuple[Hashable, int]]) -> dict[Hashable, int]:
    """Each item's only scene; -1 where it stands in several."""
    homes: dict[Hashable, int] = {}
    for item, at in items:
        known = homes.setdefault(item, at)
        if known != at:
            homes[item] = -1
    return homes


def _vote(
    scenes: Sequence[SceneBody],
    here: dict[Hashable, int],
    there: dict[Hashable, int],
    counts: dict[Pair, int],
    *,
    turned: bool,
) -> list[Body]:
    """Counts the words of lines whose only homes face each other; gives the lines left over."""
    rest = []
    for scene in scenes:
        for body in scene.bodies:
            other = there.get(body.normal)
            if other is None:
                rest.append(body)
            elif other >= 0 and here[body.normal] >= 0:
                counts[(other, scene.at) if turned else (scene.at, other)] += body.size
    return rest


def _grams(body: Body) -> list[tuple[str, ...]]:
    words = body.worn
    return [words[i : i + RUN] for i in range(len(words) - RUN + 1)]


def _runs(old: Sequence[Body], new: Sequence[Body], found: Shares) -> None:
    said = _homes((gram, body.scene) for body in old for gram in _grams(body))
    says = _homes((gram, body.scene) for body in new for gram in _grams(body))
    for bodies, here, there, counts, turned in (
        (old, said, says, found.of_old, False),
        (new, says, said, found.of_new, True),
    ):
        for body in bodies:
            _cover(body, here, there, counts, turned=turned)


def _cover(
    body: Body, here: dict[Hashable, int], there: dict[Hashable, int], counts: dict[Pair, int], *, turned: bool
) -> None:
    reached: dict[int, int] = {}
    for start, gram in enumerate(_grams(body)):
        other = there.get(gram, -1)
        if other < 0 or here[gram] < 0:
            continue
        counts[(other, body.scene) if turned else (body.scene, other)] += (
            start + RUN - max(start, reached.get(other, 0))
        )
        reached[other] = start + RUN
