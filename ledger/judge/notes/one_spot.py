"""Two readers on one spot: notes of different rounds, still open, that hang on the same panel, phrase or spot now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import NamedTuple

from ledger.judge.notes.pictures import Mark
from ledger.judge.notes.places import Place, joined
from ledger.model.note import MOST_CANDIDATES, Followed
from ledger.model.words import normalise

#: How near two spots on one page picture are the same spot, in parts of its width and height (from trials, no source).
NEAR = 0.05

#: A place of a draft, or one on a page picture.
Spot = Place | Mark


class Row(NamedTuple):
    """A note with its place now, or those that it may be at."""

    followed: Followed
    spot: Spot | None
    may_be: tuple[Spot, ...] = ()

    @property
    def spots(self) -> tuple[Spot, ...]:
        """Where it is or may be, as far as that is one spot."""
        return tuple(spot for spot in ((self.spot,) if self.spot else self.may_be) if _fine(spot))


def with_neighbours(rows: Sequence[Row]) -> list[Followed]:
    """The notes with `two-on-one-spot` in their standing, and the ids of the others there, where that is so.

    Another that may be there, and nobody can say, is told too. Of the others the first MOST_CANDIDATES are named.
    """
    waiting = {at for at, row in enumerate(rows) if row.followed.note.state in ("open", "query") and row.spots}
    near: dict[object, dict[str, list[int]]] = {}
    for at in sorted(waiting):
        for key in dict.fromkeys(key for spot in rows[at].spots for key in _keys(spot)):
            near.setdefault(key, {}).setdefault(rows[at].followed.note.round, []).append(at)
    return [_beside(at, rows, near) if at in waiting and row.spot else row.followed for at, row in enumerate(rows)]


def _keys(spot: Spot | None) -> Iterator[object]:
    """What two places on one spot have in common: their page, or a line."""
    if spot is not None and spot.page is not None:
        yield spot.page if spot.kind == "spot" else (spot.page, _panel(spot))
    if isinstance(spot, Place) and spot.kind == "phrase":
        yield from ((line.path, line.line) for line in spot.lines)


def _beside(at: int, rows: Sequence[Row], near: Mapping[object, Mapping[str, Sequence[int]]]) -> Followed:
    followed, spot, _ = rows[at]
    others = {
        other
        for key in _keys(spot)
        for name, there in near[key].items()
        if name != followed.note.round
        for other in islice(
            (each for each in there if any(_one_spot(spot, its) for its in rows[each].spots)), MOST_CANDIDATES
        )
    }
    if not others:
        return followed
    beside = tuple(rows[other].followed.note.id for other in sorted(others)[:MOST_CANDIDATES])
    return followed._replace(standing=(*followed.standing, "two-on-one-spot"), beside=beside)


def _fine(spot: Spot | None) -> bool:
    """A note on a page, a scene or the book is on no one spot."""
    return spot is not None and spot.kind in ("panel", "phrase", "spot")


def _one_spot(one: Spot | None, other: Spot | None) -> bool:
    if one is None or other is None:
        return False
    if "spot" in (one.kind, other.kind):
        return one.page == other.page and _near(one.spot, other.spot)
    if isinstance(one, Place) and isinstance(other, Place) and one.kind == other.kind == "phrase":
        return _overlap(one, other)
    return one.page is not None and (one.page, _panel(one)) == (other.page, _panel(other)) and _panel(one) is not None


def _panel(spot: Spot) -> int | None:
    """The panel; a page without panel marks is its own first one."""
    return 1 if spot.panel is None and isinstance(spot, Place) and not spot.marked else spot.panel


def _near(one: tuple[float, float] | None, other: tuple[float, float] | None) -> bool:
    return one is not None and other is not None and all(abs(a - b) <= NEAR for a, b in zip(one, other, strict=True))


def _overlap(one: Place, other: Place) -> bool:
    """Whether two phrases have words in common where they stand."""
    if set(one.lines).isdisjoint(other.lines):
        return False
    if one.lines != other.lines:
        return True
    text = joined(one.lines)
    (a, b), (c, d) = _span(text, one), _span(text, other)
    return a < d and c < b


def _span(text: str, place: Place) -> tuple[int, int]:
    words = normalise(place.quote or "")
    start = text.find(words)
    return (start, start + len(words)) if start >= 0 else (0, len(text))
