"""Two wordings of one line: what is polish, what only carries a new name, and how the change is shown."""

from __future__ import annotations

import pytest

from ledger.model.change import LineChange
from ledger.render.changes.wording import is_polish, is_small, marked, marks_read_well
from tests.render.drafts import said

LONG = "We should have gone up to the lamp long before the water came in over the steps."


def change(old: str, new: str, kind: str = "reworded") -> LineChange:
    line = said("1.1", "Wren", old)
    return LineChange(kind, line, line._replace(text=new))


@pytest.mark.parametrize(
    ("new", "polish"),
    [
        (LONG.replace("came", "come"), True),
        (LONG.replace("steps.", "steps!"), True),
        (LONG.replace("should have", "should not have"), False),
        (LONG.replace("the lamp", "Ines"), False),
        (LONG.replace("gone up", "gone up 12 steps"), False),
        ("We left the lamp to the water, and the steps to whoever wanted them.", False),
    ],
)
def test_polish_says_the_same_in_slightly_other_words(new: str, polish: bool) -> None:
    assert is_polish(change(LONG, new)) is polish


def test_only_a_reworded_line_can_be_polish() -> None:
    assert not is_polish(change(LONG, LONG, "moved"))
    assert not is_polish(LineChange("cut", said("1.1", "Wren", LONG), None))


@pytest.mark.parametrize(
    ("old", "new", "small"),
    [
        ("Tomas waits.", "Ilan waits.", True),
        ("Tomas Arde waits for Arde.", "Ilan Reed waits for Reed.", True),
        ("Thomas waits.", "Ilan waits.", False),
        ("Tomas waits.", "Ilan sleeps.", False),
        ("Nobody waits.", "Nobody waits long.", False),
    ],
)
def test_a_line_that_only_carries_a_new_name_is_small(old: str, new: str, small: bool) -> None:
    assert is_small(change(old, new), [("Tomas Arde", "Ilan Reed")]) is small


def test_what_changed_is_marked_in_the_line() -> None:
    assert marked("You said the map was here.", "You said the chart was still here.") == (
        "You said the <map → chart> was <+ still> here."
    )
    assert marked("Not here and not now.", "Not here now.") == "Not here <- and not> now."
    assert marked("No -- wait...", "NO — wait…") == "NO — wait…", "signs and case alone are no change"


def test_two_wordings_stand_apart_where_marks_would_not_read_well() -> None:
    assert marks_read_well("You said the map was here.", "You said the chart was here.")
    assert not marks_read_well("Nothing is straight up here.", "Nothing up here is straight.")
    assert not marks_read_well("It was.", "Nobody knows what it was.")
