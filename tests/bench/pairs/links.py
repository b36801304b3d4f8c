"""Which rows a careful reader must find again, which may be found, and which never."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from tests.bench.pairs.script import Spot, Typed
from tests.bench.pairs.story import Row

#: Words two wordings share (twice what they share over both lengths) so that one must be seen in the other:
#: in its place, out of its place, in another scene.
IN_PLACE, ASIDE, AWAY = 0.4, 0.6, 0.6
#: From here on two lines may be taken for one another.
LIKE = 0.5
#: The same for words in another mouth.
OTHER_MOUTH = 0.75
#: Words a line has before it can be found in another scene by itself.
TELLING = 5


def words_of(text: str) -> list[str]:
    """Words as they are compared."""
    return text.casefold().split()


def dice(a: str, b: str) -> float:
    """Twice the words shared over both lengths, in any order."""
    (one, size), (other, length) = _counted(a), _counted(b)
    if len(other) < len(one):
        one, other = other, one
    shared = sum(min(times, other[word]) for word, times in one.items() if word in other)
    return 2 * shared / max(1, size + length)


@lru_cache(maxsize=1 << 16)
def _counted(text: str) -> tuple[Counter[str], int]:
    words = words_of(text)
    return Counter(words), len(words)


def weighty(a: str, b: str) -> float:
    """The same for words of more than three letters."""
    one, other = (" ".join(w for w in words_of(text) if len(w) > 3) for text in (a, b))
    return dice(one, other)


@dataclass
class Link:
    """`required` rows must be found, `open` pairs of rows (old, new) may be. `shared` are the words in common."""

    required: set[int] = field(default_factory=set)
    open: set[tuple[int, int]] = field(default_factory=set)
    shared: dict[int, int] = field(default_factory=dict)

    def places(self, before: Typed, after: Typed) -> frozenset[tuple[int, int]]:
        """The open pairs as lines of the two files."""
        return frozenset((before.spots[a].line, after.spots[b].line) for a, b in self.open)


def find_links(
    old: Sequence[Row], new: Sequence[Row], before: Mapping[int, Spot], after: Mapping[int, Spot],
    edges: Sequence[tuple[int, int]],
) -> Link:  # fmt: skip
    """Sorts the rows that are on both sides; then what may honestly be taken for a rewording of what."""
    link = Link()
    later = {row.id: row for row in new}
    tied = set(edges)
    times = Counter(row.text for row in old), Counter(row.text for row in new)
    at_old, at_new = ({row.id: i for i, row in enumerate(side)} for side in (old, new))
    for row in old:
        other = later.get(row.id)
        if other is None:
            continue
        link.shared[row.id] = (Counter(words_of(row.text)) & Counter(words_of(other.text))).total()
        at_home = (before[row.id].scene, after[row.id].scene) in tied
        goes_along = _goes_along(row, old, new, at_old, at_new)
        lone = times[0][row.text] == times[1][other.text] == 1
        if _must(row, other, at_home=at_home, goes_along=goes_along) and (at_home or goes_along or lone):
            link.required.add(row.id)
        else:
            link.open.add((row.id, row.id))
    _open_gaps(link, old, new, before, after, tied)
    _open_likes(link, old, new)
    return link


def _must(row: Row, other: Row, *, at_home: bool, goes_along: bool) -> bool:
    like = dice(row.text, other.text)
    if row.who != other.who and like < OTHER_MOUTH:
        return False
    if at_home:
        return like >= (IN_PLACE if goes_along else ASIDE) and (like == 1 or weighty(row.text, other.text) >= IN_PLACE)
    return like >= AWAY and (row.size >= TELLING or (like == 1 and goes_along))


def _goes_along(
    row: Row, old: Sequence[Row], new: Sequence[Row], at_old: dict[int, int], at_new: dict[int, int]
) -> bool:
    """Whether the row before or after it is still its neighbour."""
    for step in (-1, 1):
        i, j = at_old[row.id] + step, at_new[row.id] + step
        if 0 <= i < len(old) and 0 <= j < len(new) and old[i].id == new[j].id:
            return True
    return False


def _open_gaps(
    link: Link, old: Sequence[Row], new: Sequence[Row], before: Mapping[int, Spot], after: Mapping[int, Spot],
    tied: set[tuple[int, int]],
) -> None:  # fmt: skip
    """A row that went and one that came in the same mouth and the same gap may be told as reworded."""
    free_new: dict[int, list[tuple[Row, tuple[int, int]]]] = defaultdict(list)
    for row, gap in _gaps(new, link.required):
        free_new[after[row.id].scene].append((row, gap))
    homes = defaultdict(list)
    for a, b in tied:
        homes[a].append(b)
    for row, gap in _gaps(old, link.required):
        for scene in homes[before[row.id].scene]:
            for other, there in free_new[scene]:
                near = gap[0] == there[0] or gap[1] == there[1]
                same_mouth = (row.role, row.who) == (other.role, other.who)
                if (near and same_mouth) or dice(row.text, other.text) >= (IN_PLACE if same_mouth else LIKE):
                    link.open.add((row.id, other.id))


def _gaps(rows: Sequence[Row], required: set[int]) -> list[tuple[Row, tuple[int, int]]]:
    """Rows that need not be found, each with the nearest ones before and after it that must."""
    before, last = {}, -1
    for row in rows:
        before[row.id] = last
        last = row.id if row.id in required else last
    found, following = [], -2
    for row in reversed(rows):
        if row.id in required:
            following = row.id
        else:
            found.append((row, (before[row.id], following)))
    return found[::-1]


def _open_likes(link: Link, old: Sequence[Row], new: Sequence[Row]) -> None:
    """One that went and one that came elsewhere, much alike by chance: nobody can tell that it was not carried.

    A line that recurs word for word is another matter: it belongs where its neighbours are.
    """
    times = Counter(row.text for row in old) | Counter(row.text for row in new)
    coming = [row for row in new if row.id not in link.required and row.size >= TELLING]
    holding: dict[str, list[Row]] = defaultdict(list)
    for row in coming:
        for word in {w for w in words_of(row.text) if len(w) > 3}:
            holding[word].append(row)
    for row in old:
        if row.id in link.required or row.size < TELLING or times[row.text] > 1:
            continue
        near = Counter(other for w in {w for w in words_of(row.text) if len(w) > 3} for other in holding.get(w, ()))
        for other, shared in near.items():
            if shared and row.role == other.role and dice(row.text, other.text) >= LIKE:
                link.open.add((row.id, other.id))
