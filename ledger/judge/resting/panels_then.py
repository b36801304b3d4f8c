"""The panels of a script page then and now: which is which, and what of each a drawing has to follow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ledger.judge.resting.fingerprint import Fingerprints
from ledger.model.pages import pages_text
from ledger.model.script import Line
from ledger.model.words import normalise

#: What a line that is no dialogue is called.
_ROLES = {"caption": "a caption", "sfx": "a sound", "dialogue": "a balloon"}


class WrittenPanel(NamedTuple):
    """A panel of a script page, what stands in it made ready to be compared.

    `name` continues a sentence: "panel 2", of a spread of two pages "panel 2 of page 13"; lines before the first panel
    mark are "the page". `mouths` are role and speaker of every lettered line, `words` their words, `action` the rest.
    """

    name: str
    mouths: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    action: tuple[str, ...]

    @classmethod
    def of(cls, name: str, lines: Iterable[Line]) -> WrittenPanel:
        """The panel of these lines."""
        kept = list(lines)
        lettered = [line for line in kept if line.lettered]
        return cls(
            name, tuple((line.role, line.speaker) for line in lettered),
            tuple(normalise(line.text) for line in lettered),
            tuple(normalise(line.text) for line in kept if not line.lettered),
        )  # fmt: skip

    @property
    def holds(self) -> bool:
        """Whether anything stands in it."""
        return bool(self.words or self.action)

    def same_as(self, other: WrittenPanel) -> bool:
        """Whether the same stands in both."""
        return self[1:] == other[1:]


def written_panels(prints: Fingerprints, label: str) -> list[WrittenPanel]:
    """The panels of a page, or of a spread's pages, in reading order."""
    pages = prints.pages(label)
    found = []
    for page in pages:
        of = f" of page {page.label}" if len(pages) > 1 else ""
        lines = [line for line in prints.lines(label) if line.page == page.label]
        loose = [line for line in lines if line.panel is None]
        if loose or not page.panels:
            found.append(WrittenPanel.of(f"page {page.label}" if of else "the page", loose))
        for panel in page.panels:
            mine = (line for line in lines if line.panel == panel.number)
            found.append(WrittenPanel.of(f"panel {panel.number}{of}", mine))
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
    return [*told, *_actions(pairs), *_carried(pairs)]


def panels_reworded(then: Sequence[WrittenPanel], now: Sequence[WrittenPanel]) -> list[str]:
    """Panels, by their names now, in which words differ."""
    return [new.name for old, new in _paired(then, now) if old and new and old.words != new.words]


def together(names: Sequence[str]) -> str:
    """`panels 1 and 4`, `panels 1-3,5`, `panel 1 of page 12 and panel 1 of page 13`."""
    numbers = [name.removeprefix("panel ") for name in names]
    plain = len(names) > 1 and all(number.isdecimal() for number in numbers)
    if plain and len(names) > 3:
        return f"panels {pages_text(numbers)}"
    parts = numbers if plain else list(names)
    return ("panels " if plain else "") + " and ".join(each for each in (", ".join(parts[:-1]), parts[-1]) if each)


def _changed(old: WrittenPanel, new: WrittenPanel) -> Iterator[str]:
    before, after = old.mouths, new.mouths
    if len(before) == len(after) and before != after:
        yield _other_mouths(new.name, before, after)
    elif len(before) != len(after):
        count = abs(len(after) - len(before))
        lines = "a line" if count == 1 else f"{count} lines"
        yield f"{new.name} has {lines} {'more' if len(after) > len(before) else 'fewer'}"


def _actions(pairs: Sequence[tuple[WrittenPanel | None, WrittenPanel | None]]) -> Iterator[str]:
    """What became of the action, panels of which the same is to be said together."""
    became: dict[str, list[str]] = {}
    for old, new in pairs:
        if old is not None and new is not None and old.action != new.action:
            how = "new" if not old.action else "gone" if not new.action else "rewritten"
            became.setdefault(how, []).append(new.name)
    for how, names in became.items():
        yield f"the action of {together(names)} is {how}"


def _other_mouths(name: str, before: Sequence[tuple[str, str]], after: Sequence[tuple[str, str]]) -> str:
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
        yield f"{together(moved)} changed places"


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
        twin = next((b for b in sorted(free, key=lambda b: b != a) if panel.holds and panel.same_as(now[b])), None)
        if twin is not None:
            free.discard(twin)
            yield a, twin


def _same_there(at: int, then: Sequence[WrittenPanel], now: Sequence[WrittenPanel]) -> bool:
    return at < len(now) and then[at].same_as(now[at])


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
    equal = (
        Counter(zip(old.mouths, old.words, strict=True)) & Counter(zip(new.mouths, new.words, strict=True))
    ).total()
    equal += (Counter(old.action) & Counter(new.action)).total()
    mouths = (Counter(old.mouths) & Counter(new.mouths)).total()
    return 4 * equal + mouths + 0.5 + 0.1 * (len(old.words) == len(new.words))
