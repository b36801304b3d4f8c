"""The lines of one page of a script against the runs of words on a sheet: the same, missing, changed, doubled, moved.

A letterer sets capitals, breaks rows and words, and programs write the pieces of a page in any order; so runs are first
gathered into balloons by where they stand, and a line is found where its letters are, blanks and hyphens aside.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import NamedTuple

from ledger.model.lettering import Run
from ledger.model.script import Line
from ledger.model.words import lettered_key

#: Rows of one balloon stand at most so many sizes of their letters apart (own choice: lettering is set at 1.0 to 1.4).
_LEADING = 1.8
#: Words this alike are one line reworded (own choice, as for lines of two drafts).
_ALIKE = 0.6
_MOST_STEPS = 4_000


class Balloon(NamedTuple):
    """Rows of words that stand together: words as typed, their key, and the box (left, top, right, bottom)."""

    text: str
    key: str
    box: tuple[float, float, float, float]


class Lettered(NamedTuple):
    """What was found of the lines: line -> balloon it stands in; lines reworded -> balloon; the rest of both sides."""

    found: dict[int, Balloon]
    reworded: dict[int, Balloon]
    missing: list[int]
    rest: list[Balloon]


def letter(lines: Sequence[Line], runs: Sequence[Run]) -> Lettered:
    """Sets lines (by their place in the list) against the runs of a sheet."""
    keys = {at: lettered_key(line.text) for at, line in enumerate(lines)}
    left = {at: key for at, key in keys.items() if key}
    rows = list(runs)
    found: dict[int, Balloon] = {}
    for taken in (_whole, _tiled, _several):
        found |= taken(left, rows)
        left = {at: key for at, key in left.items() if at not in found}
    rest = balloons(rows)
    reworded = _reworded(left, rest)
    used = {id(balloon) for balloon in reworded.values()}
    rest = [balloon for balloon in rest if id(balloon) not in used]
    return Lettered(found, reworded, [at for at in left if at not in reworded], rest)


def balloons(runs: Sequence[Run]) -> list[Balloon]:
    """Runs gathered into balloons, from the top down."""
    return [balloon_of(group) for group in _groups(runs)]


def balloon_of(group: Sequence[Run]) -> Balloon:
    """Runs as one balloon, row by row."""
    rows = sorted(group, key=lambda run: (run.y, run.x))
    text = " ".join(run.text for run in rows)
    box = (min(r.x for r in rows), min(r.y - r.size for r in rows), max(r.x + r.width for r in rows),
           max(r.y for r in rows))  # fmt: skip
    return Balloon(text, lettered_key(text), box)


def _groups(runs: Sequence[Run]) -> list[list[Run]]:
    groups: list[list[Run]] = []
    for run in sorted(runs, key=lambda each: (each.y, each.x)):
        touching = [group for group in groups if any(_below(above, run) for above in group[-4:])]
        groups = [group for group in groups if group not in touching]
        groups.append([*(each for group in touching for each in group), run])
    return sorted(groups, key=lambda group: (group[0].y, group[0].x))


def _below(above: Run, run: Run) -> bool:
    size = min(above.size, run.size)
    overlap = min(above.x + above.width, run.x + run.width) - max(above.x, run.x)
    near = abs(run.y - above.y) <= _LEADING * size and 0.7 < above.size / run.size < 1.4
    beside = abs(run.y - above.y) <= 0.3 * size and -overlap <= size
    return near and (overlap > 0 or beside)


# -- lines whose letters all stand there


def _whole(left: dict[int, str], rows: list[Run]) -> dict[int, Balloon]:
    """Lines that are a balloon by themselves; takes their runs away."""
    groups = {id(group): group for group in _groups(rows)}
    found = {}
    for at, key in left.items():
        for name, group in groups.items():
            if balloon_of(group).key == key:
                found[at] = balloon_of(group)
                _take(rows, group)
                del groups[name]
                break
    return found


def _tiled(left: dict[int, str], rows: list[Run]) -> dict[int, Balloon]:
    """Lines made up of runs in any order, the longest first, each run the one nearest to the last."""
    found = {}
    for at, key in sorted(left.items(), key=lambda pair: -len(pair[1])):
        tiles = _tiles(key, rows)
        if tiles:
            found[at] = balloon_of(tiles)
            _take(rows, tiles)
    return found


def _tiles(key: str, rows: Sequence[Run]) -> list[Run]:
    keyed = [(run, lettered_key(run.text)) for run in rows]
    keyed = [(run, words) for run, words in keyed if words and words in key]
    steps = 0
    stack: list[tuple[int, list[Run]]] = [(0, [])]
    while stack and steps < _MOST_STEPS:
        steps += 1
        done, tiles = stack.pop()
        if done == len(key):
            return tiles
        fit = [(run, words) for run, words in keyed if key.startswith(words, done) and run not in tiles]
        last = tiles[-1] if tiles else None
        fit.sort(key=lambda pair: _way(last, pair[0]) if last else pair[0].y, reverse=True)
        stack += [(done + len(words), [*tiles, run]) for run, words in fit if last is None or _near(last, run)]
    return []


def _way(last: Run, run: Run) -> float:
    """How far the next row of a balloon is from here; back up is further than on."""
    down = run.y - last.y
    return (down if down >= -0.3 * last.size else -4 * down) + 0.5 * abs(
        run.x + run.width / 2 - last.x - last.width / 2
    )


def _near(last: Run, run: Run) -> bool:
    """Whether a run can go on with a balloon: beside it, or a few rows below."""
    return -8 * last.size <= run.y - last.y <= 8 * last.size


def _several(left: dict[int, str], rows: list[Run]) -> dict[int, Balloon]:
    """Lines that follow each other and stand in one balloon."""
    found: dict[int, Balloon] = {}
    places = sorted(left)
    for group in _groups(rows):
        balloon = balloon_of(group)
        for at, first in enumerate(places):
            joined, last = "", at
            while last < len(places) and len(joined) < len(balloon.key):
                joined += left[places[last]]
                last += 1
            if joined == balloon.key and not any(each in found for each in places[at:last]) and first not in found:
                found |= dict.fromkeys(places[at:last], balloon)
                _take(rows, group)
                break
    return found


def _take(rows: list[Run], taken: Sequence[Run]) -> None:
    for run in taken:
        rows.remove(run)


# -- the rest


def _reworded(left: dict[int, str], rest: Sequence[Balloon]) -> dict[int, Balloon]:
    """Lines that a balloon says in other words: the likest pair first, each once."""
    pairs = sorted(
        ((alike, -abs(at - b), at, b) for at, key in left.items() for b, balloon in enumerate(rest)
         if (alike := _alike(key, balloon.key)) >= _ALIKE),
        reverse=True,
    )  # fmt: skip
    found: dict[int, Balloon] = {}
    used: set[int] = set()
    for _, _, at, b in pairs:
        if at not in found and b not in used:
            found[at] = rest[b]
            used.add(b)
    return found


def _alike(one: str, other: str) -> float:
    if not other or min(len(one), len(other)) < _ALIKE / 2 * max(len(one), len(other)):
        return 0.0
    return SequenceMatcher(None, one, other, autojunk=False).ratio()


def out_of_order(placed: Sequence[tuple[int, Balloon]], *, rtl: bool) -> list[int]:
    """The fewest lines, in reading order of the script, whose balloons stand against it.

    Only what can't be read otherwise counts: a later line right above an earlier one in the same column, or level with
    it and on the side that is read first (common practice: top down, then across; no source).
    """
    clashes = {(a, b) for i, (a, one) in enumerate(placed) for b, other in placed[i + 1 :] if _before(other, one, rtl)}
    moved: list[int] = []
    while clashes:
        counts: dict[int, int] = {}
        for pair in clashes:
            for each in pair:
                counts[each] = counts.get(each, 0) + 1
        worst = max(counts, key=lambda each: (counts[each], each))
        moved.append(worst)
        clashes = {pair for pair in clashes if worst not in pair}
    return sorted(moved)


def _before(one: Balloon, other: Balloon, rtl: bool) -> bool:
    """Whether one balloon must be read before another."""
    (al, at, ar, ab), (bl, bt, br, bb) = one.box, other.box
    across, down = min(ar, br) - max(al, bl), min(ab, bb) - max(at, bt)
    if across > 0.3 * min(ar - al, br - bl):
        return ab <= bt
    level = down > 0.8 * max(ab - at, bb - bt)
    return level and (al >= br if rtl else ar <= bl)


def repeated(balloon: Balloon, lines: Sequence[Line]) -> Iterator[int]:
    """The lines, by their place in the list, whose words a balloon says."""
    return (at for at, line in enumerate(lines) if lettered_key(line.text) == balloon.key)
