"""Which notes of different readers are on one spot now."""

from __future__ import annotations

from itertools import combinations

from tests.bench.notes.asked import Book, Note
from tests.bench.notes.moments import holds

_FINE = ("phrase", "panel", "drawn panel", "spot")


def mark_neighbours(notes: list[Note], truth: Book) -> None:
    """Writes into every note whether another reader's is on its spot."""
    waiting = [note for note in notes if note.waits and note.kind in _FINE and note.now.spots != {None}]
    for one, other in combinations(waiting, 2):
        if one.round == other.round:
            continue
        together = _together(one, other, truth)
        for note in (one, other):
            note.beside = (
                True if True in (together, note.beside) else None if None in (together, note.beside) else False
            )


def _together(one: Note, other: Note, truth: Book) -> bool | None:
    if "spot" in (one.kind, other.kind):
        return False if one.kind != other.kind else None
    if not one.now.spots & other.now.spots:
        return False
    if len(one.now.spots) > 1 or len(other.now.spots) > 1:
        return None
    if one.kind == other.kind == "phrase":
        return _overlap(one, other, truth)
    return True


def _overlap(one: Note, other: Note, truth: Book) -> bool | None:
    """Whether two phrases have words in common; None where their words changed."""
    if one.row != other.row:
        return None if one.now.evidence != {"untouched"} or other.now.evidence != {"untouched"} else False
    words = truth.script[-1].rows[one.row].words
    if not (holds(words, one.quote) and holds(words, other.quote)):
        return True if one.quote == other.quote else None
    (a, b), (c, d) = ((words.find(note.quote), words.find(note.quote) + len(note.quote)) for note in (one, other))
    return a < d and c < b
