"""What is true of a place between two rounds: computed from identities, never from what the program says.

Where an honest reader could say one thing or another, several answers stand in the truth, and all are right.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from tests.bench.notes.moments import At, Said, holds
from tests.bench.pairs.links import IN_PLACE, dice

#: Shares of a place's words that went elsewhere under which it stayed, over which it was carried.
STAYED, CARRIED = 0.2, 0.8


@dataclass(frozen=True)
class Fate:
    """The evidence that may be said, and the places now that may be told (page, panel, title; None: it is cut)."""

    evidence: frozenset[str]
    spots: frozenset[tuple[str, int, str] | None]

    @property
    def touched(self) -> bool | None:
        """Whether the place changed; None where that can be seen either way."""
        seen = {each in ("reworded", "redrawn", "cut") for each in self.evidence}
        return seen.pop() if len(seen) == 1 else None


def fate(*evidence: str, spots: list[tuple[str, int, str] | None]) -> Fate:
    """Evidence and places that are right."""
    return Fate(frozenset(evidence), frozenset(spots))


#: What can be seen either way.
OPEN = fate("untouched", "reworded", "cut", spots=[None])


@dataclass
class Between:
    """Two rounds, with what of the first is in the second."""

    old: At
    new: At

    def __post_init__(self) -> None:
        order = {each: n for n, each in enumerate(self.new.rows)}
        self.kept = [each for each in self.old.rows if each in order]
        places = [order[each] for each in self.kept]
        scenes = Counter(self.old.rows[each].scene for each in self.kept)
        by_words = _stayed(places, [self._weight(each) for each in self.kept])
        # The fewest scenes that explain the new order, and the fewest words: where they differ, both are right.
        by_scenes = _stayed(places, [1200 // scenes[self.old.rows[each].scene] for each in self.kept])
        self.stayed = by_words[0]
        self.unsure = by_words[1] | by_scenes[1] | (by_words[0] ^ by_scenes[0])

    def _weight(self, row: int) -> int:
        return len(self.old.rows[row].words.split())

    def carried(self, rows: list[int]) -> set[str]:
        """`untouched`, `moved`, or both where it can be seen either way."""
        kept = [n for n, each in enumerate(self.kept) if each in set(rows)]
        whole = sum(self._weight(self.kept[n]) for n in kept) or 1
        away = sum(self._weight(self.kept[n]) for n in kept if n not in self.stayed) / whole
        unsure = sum(self._weight(self.kept[n]) for n in kept if n in self.unsure) / whole
        found = {"moved"} if away > CARRIED else {"untouched"} if away < STAYED else {"moved", "untouched"}
        return found | ({"moved", "untouched"} if unsure > STAYED else set())

    # -- phrases

    def phrase(self, row: int, quote: str) -> Fate:
        """What became of words of a row."""
        there = self.new.rows.get(row)
        if row not in self.old.rows or (there and not holds(self.old.rows[row].words, quote)):
            # Already cut or reworded where this way begins.
            same = bool(there) and row in self.old.rows and self.old.rows[row].said == there.said
            return fate("untouched", spots=[None]) if same else OPEN
        if there is None:
            again = [r for r in self.new.holding(quote) if r not in self.old.rows or self._reworded(r)]
            also = [(self.new.rows[r].page, self.new.rows[r].panel, "") for r in again]
            return fate("cut", *(["moved", "untouched"] if also else []), spots=[None, *also])
        spot = (there.page, there.panel, "")
        was = self.old.rows[row]
        if was.said[:2] != there.said[:2]:
            return fate("reworded", spots=[spot])
        if holds(there.words, quote):
            return fate(*self.carried([row]), spots=[spot])
        if not self._known_again(row):
            return fate("reworded", "cut", spots=[spot, None])
        return fate("reworded", spots=[spot])

    def _known_again(self, row: int) -> bool:
        """Whether enough is left of a row's words that a reader knows it again."""
        return dice(self.old.rows[row].words, self.new.rows[row].words) >= IN_PLACE

    def _reworded(self, row: int) -> bool:
        return self.old.rows[row].said[2] != self.new.rows[row].said[2]

    # -- panels, pages

    def area(self, rows: list[int], *, panel: bool) -> Fate:
        """What became of a panel's or a page's rows."""
        count: Counter[tuple[str, int]] = Counter()
        for row in rows:
            there = self.new.rows.get(row)
            if there is not None:
                count[(there.page, there.panel if panel else 0)] += self._weight(row)
        whole = sum(map(self._weight, rows))
        best = count.most_common(2)
        if not best:
            # Nothing is left that was there: it may be cut, or be the same panel with other words in it.
            return fate("cut", "reworded", spots=[None, *_anywhere(self.new, panel)])
        if 2 * best[0][1] < whole or (len(best) > 1 and best[1][1] * 2 >= best[0][1]):
            return fate("cut", "reworded", "moved", spots=[None, *_anywhere(self.new, panel)])
        page, number = best[0][0]
        now = self.new.panel(page, number) if panel else self.new.page(page)
        spot = (page, number, "")
        if not any(self._known_again(row) for row in rows if row in set(now)):
            return fate("reworded", "cut", spots=[spot, None])
        same = _said(self.old, rows, by_panel=not panel) == _said(self.new, now, by_panel=not panel)
        return fate(*(self.carried(rows) if same else {"reworded"}), spots=[spot])

    # -- scenes

    def scene(self, rows: list[int]) -> Fate:
        """What became of a scene's rows: it goes on with the part that holds most of them."""
        count = Counter(self.new.rows[row].scene for row in rows if row in self.new.rows)
        if not count:
            return fate("cut", spots=[None])
        most = max(count.values())
        homes = [scene for scene, n in count.items() if n >= most - 1]
        spots: list[tuple[str, int, str] | None] = [self._head(scene) for scene in homes]
        if sum(count.values()) * 3 < len(rows):
            spots.append(None)
        mine = set(rows)
        now = [row for row in self.new.rows if row in mine]
        held = [row for scene in count for row in self.new.scene(scene)]
        added = [row for row in held if row not in self.old.rows]
        others = [row for row in held if row in self.old.rows and row not in mine]
        same = _said(self.old, rows) == _said(self.new, now)
        if not same:
            return fate("reworded", *(["cut"] if None in spots else []), spots=spots)
        if added or others:
            # Lines that came in from elsewhere are words of it as well as of the scene that it was joined with.
            return fate("reworded", *(self.carried(rows) if others or len(count) > 1 else []), spots=spots)
        return fate(*self.carried(rows), spots=spots)

    def _head(self, scene: int) -> tuple[str, int, str]:
        first = self.new.rows[self.new.scene(scene)[0]]
        return first.page, first.panel, self.new.typed.titles[scene]

    def chapter(self, rows: list[int]) -> Fate:
        """What became of a chapter's rows; only its words are asked about."""
        if any(row not in self.old.rows for row in rows):
            return OPEN
        said = [[at.said for r, at in side.rows.items() if r in set(rows)] for side in (self.old, self.new)]
        same = said[0] == said[1]
        return fate(*(["untouched", "moved", "reworded"] if same else ["reworded", "cut"]), spots=[])


def _anywhere(at: At, panel: bool) -> list[tuple[str, int, str] | None]:
    return [(page, number, "") for page, number in {(s.page, s.panel if panel else 0) for s in at.rows.values()}]


def _said(at: At, rows: list[int], *, by_panel: bool = False) -> list[tuple[object, Said]]:
    """What rows say one after the other; balloons of one mouth in a row are one."""
    found: list[tuple[object, Said]] = []
    for row in rows:
        stand = at.rows[row]
        key = (stand.page, stand.panel) if by_panel else None
        if found and found[-1][0] == key and found[-1][1][:2] == stand.said[:2]:
            before = found.pop()[1]
            found.append((key, (*stand.said[:2], f"{before[2]} {stand.said[2]}")))
        else:
            found.append((key, stand.said))
    keys = list(dict.fromkeys(key for key, _ in found))
    return [(keys.index(key), said) for key, said in found]


def _stayed(order: list[int], weight: list[int]) -> tuple[set[int], set[int]]:
    """Which of these stand in the heaviest rising chain, and which are in one of several such."""
    n = len(order)
    up, ways_up = [0] * n, [0] * n
    for i in range(n):
        below = [(up[j], ways_up[j]) for j in range(i) if order[j] < order[i]]
        top = max((w for w, _ in below), default=0)
        up[i], ways_up[i] = weight[i] + top, sum(k for w, k in below if w == top) or 1
    down, ways_down = [0] * n, [0] * n
    for i in reversed(range(n)):
        above = [(down[j], ways_down[j]) for j in range(i + 1, n) if order[j] > order[i]]
        top = max((w for w, _ in above), default=0)
        down[i], ways_down[i] = weight[i] + top, sum(k for w, k in above if w == top) or 1
    best = max(up, default=0)
    all_ways = sum(ways_up[i] for i in range(n) if up[i] == best)
    on = {i for i in range(n) if up[i] + down[i] - weight[i] == best}
    sure = {i for i in on if ways_up[i] * ways_down[i] == all_ways}
    # A chain nearly as heavy as the heaviest explains the order nearly as well.
    near = {i for i in range(n) if i not in on and up[i] + down[i] - weight[i] >= best - NEARLY}
    return on, (on - sure) | near


#: Words by which another chain may be lighter and explain the order as well.
NEARLY = 3
