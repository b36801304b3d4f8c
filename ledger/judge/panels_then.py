"""The panels of a script page then and now: which is which, and what of each a drawing has to follow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from ledger.judge.fingerprint import Fingerprints
from ledger.model.script import Line
from ledger.model.words import normalise

#: What a line that is no dialogue is called.
_ROLES = {"caption": "a caption", "sfx": "a sound", "dialogue": "a balloon"}


class WrittenPanel(NamedTuple):
    """A panel of a script page; `name` continues a sentence: "panel 2", of a spread of two pages "panel 2 of page 13".

    Lines before the first panel mark are `name` "the page".
    """

    name: str
    lines: tuple[Line, ...]

    @property
    def lettered(self) -> tuple[Line, ...]:
        """Its balloons, captions and sounds."""
        return tuple(line for line in self.lines if line.lettered)

    @property
    def action(self) -> list[str]:
        """Its action, as it counts in a comparison."""
        return [normalise(line.text) for line in self.lines if not line.lettered]

    @property
    def mouths(self) -> list[tuple[str, str]]:
        """Role and speaker of every lettered line."""
        return [(line.role, line.speaker) for line in self.lettered]


def written_panels(prints: Fingerprints, label: str) -> list[WrittenPanel]:
    """The panels of a page, or of a spread's pages, in reading order."""
    pages = prints.pages(label)
    found = []
    for page in pages:
        of = f" of page {page.label}" if len(pages) > 1 else ""
        lines = [line for line in prints.lines(label) if line.page == page.label]
        loose = tuple(line for line in lines if line.panel is None)
        if loose or not page.panels:
            found.append(WrittenPanel(f"page {page.label}" if of else "the page", loose))
        for panel in page.panels:
            mine = tuple(line for line in lines if line.panel == panel.number)
            found.append(WrittenPanel(f"panel {panel.number}{of}", mine))
    return found


def panels_told(then: Sequence[WrittenPanel], now: Sequence[WrittenPanel]) -> list[str]:
    """What changed that a drawing follows, panel by panel in the order of the page as it is now.

    Panels carry the numbers they have now; one that is gone, the number it had.
    """
    pairs = _paired(then, now)
    told = []
    for old, new in pairs:
        if old is None and new is not None:
            told.append(f"{new.name} is new")
        elif new is None and old is not None:
            told.append(f"{old.name} of the old count was cut")
        elif old is not None and new is not None:
            told += _changed(old, new)
    return [*told, *_carried(pairs)]


def panels_reworded(then: Sequence[WrittenPanel], now: Sequence[WrittenPanel]) -> list[str]:
    """Panels, by their names now, in which words differ."""
    return [new.name for old, new in _paired(then, now) if old and new and _words(old) != _words(new)]


def _words(panel: WrittenPanel) -> list[str]:
    return [normalise(line.text) for line in panel.lettered]


def _changed(old: WrittenPanel, new: WrittenPanel) -> Iterator[str]:
    before, after = old.mouths, new.mouths
    if len(before) == len(after) and before != after:
        yield _other_mouths(new.name, before, after)
    elif len(before) != len(after):
        count = abs(len(after) - len(before))
        lines = "a line" if count == 1 else f"{count} lines"
        yield f"{new.name} has {lines} {'more' if len(after) > len(before) else 'fewer'}"
    if old.action != new.action:
        how = "new" if not old.action else "gone" if not new.action else "rewritten"
        yield f"the action of {new.name} is {how}"


def _other_mouths(name: str, before: list[tuple[str, str]], after: list[tuple[str, str]]) -> str:
    if Counter(before) == Counter(after):
        return f"lines of {name} changed places"
    role, speaker = next(now for then, now in zip(before, after, strict=True) if then != now)
    if Counter(mouth for _, mouth in before) != Counter(mouth for _, mouth in after):
        return f"{name} has a new speaker" + (f" ({speaker})" if speaker else "")
    return f"a line of {name} is {_ROLES.get(role, role)} now"


def _carried(pairs: Sequence[tuple[WrittenPanel | None, WrittenPanel | None]]) -> Iterator[str]:
    """Panels that stand the other way round than they did."""
    places = [(old.name, new.name) for old, new in pairs if old is not None and new is not None]
    order = sorted(range(len(places)), key=lambda at: _number(places[at][0]))
    if order != list(range(len(places))):
        moved = [new for at, (_, new) in enumerate(places) if order[at] != at]
        yield f"{' and '.join((', '.join(moved[:-1]), moved[-1]) if moved[:-1] else moved)} changed places"


def _number(name: str) -> tuple[int, ...]:
    return tuple(int(word) for word in reversed(name.split()) if word.isdigit())


def _paired(
    then: Sequence[WrittenPanel], now: Sequence[WrittenPanel]
) -> list[tuple[WrittenPanel | None, WrittenPanel | None]]:
    """Every panel with its partner: those of the same content wherever they stand, the others in order."""
    pairs = {a: b for a, b in _twins(then, now) if len(then) == len(now)}
    left = [a for a in range(len(then)) if a not in pairs]
    right = [b for b in range(len(now)) if b not in pairs.values()]
    pairs |= _in_order([then[a] for a in left], [now[b] for b in right], left, right)
    back = {b: a for a, b in pairs.items()}
    rows: list[tuple[WrittenPanel | None, WrittenPanel | None]] = [
        (then[back[b]] if b in back else None, panel) for b, panel in enumerate(now)
    ]
    for a in reversed([a for a in range(len(then)) if a not in pairs]):
        before = max((pairs[each] for each in range(a) if each in pairs), default=-1)
        rows.insert(before + 1, (then[a], None))
    return rows


def _twins(then: Sequence[WrittenPanel], now: Sequence[WrittenPanel]) -> Iterator[tuple[int, int]]:
    """Panels of the same content, first those that kept their place."""
    free = set(range(len(now)))
    for a, panel in sorted(enumerate(then), key=lambda each: not _same_there(each[0], then, now)):
        twin = next((b for b in sorted(free, key=lambda b: b != a) if panel.lines and _alike(panel, now[b])), None)
        if twin is not None:
            free.discard(twin)
            yield a, twin


def _same_there(at: int, then: Sequence[WrittenPanel], now: Sequence[WrittenPanel]) -> bool:
    return at < len(now) and _alike(then[at], now[at])


def _alike(old: WrittenPanel, new: WrittenPanel) -> bool:
    return (old.mouths, old.action, _words(old)) == (new.mouths, new.action, _words(new))


def _in_order(
    then: Sequence[WrittenPanel], now: Sequence[WrittenPanel], left: Sequence[int], right: Sequence[int]
) -> dict[int, int]:
    """Pairs in order such that what they have in common weighs most."""
    if len(then) == len(now):
        return dict(zip(left, right, strict=True))
    best: dict[tuple[int, int], tuple[float, tuple[tuple[int, int], ...]]] = {}
    for a in range(len(then), -1, -1):
        for b in range(len(now), -1, -1):
            if a == len(then) or b == len(now):
                best[a, b] = (0.0, ())
                continue
            weight, found = best[a + 1, b + 1]
            taken = (weight + _common(then[a], now[b]), ((left[a], right[b]), *found))
            best[a, b] = max(taken, best[a + 1, b], best[a, b + 1], key=lambda each: each[0])
    return dict(best[0, 0][1])


def _common(old: WrittenPanel, new: WrittenPanel) -> float:
    """How much two panels have in common: equal lines most, then who speaks, a little for being panels at all."""
    lines = Counter((line.role, normalise(line.text)) for line in old.lines)
    equal = (lines & Counter((line.role, normalise(line.text)) for line in new.lines)).total()
    mouths = (Counter(old.mouths) & Counter(new.mouths)).total()
    return 4 * equal + mouths + 0.5 + 0.1 * (len(old.lines) == len(new.lines))
