"""Two readers on one spot: notes of different rounds, still open, that hang on the same panel, phrase or spot now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ledger.judge.note_pictures import Mark
from ledger.judge.note_places import Place, joined
from ledger.model.note import Followed
from ledger.model.words import normalise

#: How near two spots on one page picture are the same spot, in parts of its width and height (from trials, no source).
NEAR = 0.05

Row = tuple[Followed, Place | Mark | None]


def with_neighbours(rows: Sequence[Row]) -> list[Followed]:
    """The notes with `two-on-one-spot` in their standing, and the ids of the others there, where that is so."""
    waiting = [row for row in rows if row[0].note.state in ("open", "query") and _fine(row[1])]
    found = []
    for followed, spot in rows:
        beside: tuple[str, ...] = ()
        if any(followed is other for other, _ in waiting):
            beside = tuple(
                other.note.id
                for other, there in waiting
                if other.note.round != followed.note.round and _one_spot(spot, there)
            )
        found.append(
            replace(followed, standing=(*followed.standing, "two-on-one-spot"), beside=beside) if beside else followed
        )
    return found


def _fine(spot: Place | Mark | None) -> bool:
    """A note on a page, a scene or the book is on no one spot."""
    return spot is not None and spot.kind in ("panel", "phrase", "spot")


def _one_spot(one: Place | Mark | None, other: Place | Mark | None) -> bool:
    if one is None or other is None:
        return False
    if "spot" in (one.kind, other.kind):
        return one.page == other.page and _near(one.spot, other.spot)
    if isinstance(one, Place) and isinstance(other, Place) and one.kind == other.kind == "phrase":
        return _overlap(one, other)
    return one.page is not None and (one.page, _panel(one)) == (other.page, _panel(other)) and _panel(one) is not None


def _panel(spot: Place | Mark) -> int | None:
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
