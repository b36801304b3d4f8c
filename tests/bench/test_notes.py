"""The measure of notes: it reaches its goals on a few books, and no answer without thought does."""

from __future__ import annotations

from pathlib import Path

from ledger.model.note import STANDINGS
from tests.bench.notes.build import make_book
from tests.bench.notes.run import measured
from tests.bench.notes.score import GOALS, Score


def test_a_few_books_reach_every_goal() -> None:
    score = measured(range(3, 5))
    assert score.figures["notes"].all > 80
    assert score.falls_short() == [], "\n".join(score.wrong)


def test_an_answer_by_number_alone_falls_short_of_every_goal_but_alarms(tmp_path: Path) -> None:
    """A note left under the number it was made on, never changed: what a list of notes without a past shows."""
    score = Score()
    made = make_book(3, tmp_path / "book")
    told = {note["id"]: note for note in made.book.ledger("notes", "list", "--json").document["notes"]}
    for name, note in made.notes.items():
        then = told[name]["place_then"]
        score.add(name, note, {**told[name], "place_now": then, "evidence": "untouched", "standing": []})
    assert set(score.falls_short()) == set(GOALS) - {"false alarms"}


def test_the_truth_has_every_kind_state_and_fate(tmp_path: Path) -> None:
    notes = [note for seed in (0, 3, 4) for note in make_book(seed, tmp_path / str(seed)).notes.values()]
    assert {note.state for note in notes} == {"open", "query", "done", "stet", "declined", "carried"}
    assert {"phrase", "panel", "page", "scene", "chapter", "book", "nowhere", "spot", "drawn page", "drawn panel",
            "ambiguous phrase"} <= {note.kind for note in notes}  # fmt: skip
    fates = {fate for note in notes for fate in note.now.evidence if len(note.now.evidence) == 1}
    assert fates == {"untouched", "reworded", "redrawn", "moved", "cut", "unplaced"}
    asked = {word for note in notes for word in note.standing or ()}
    assert asked == set(STANDINGS) - {"two-on-one-spot"}
    assert any(note.beside for note in notes)
