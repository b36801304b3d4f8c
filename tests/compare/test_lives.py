"""A line followed through a row of drafts."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.compare import compare_drafts
from ledger.compare.lives import lives_of
from ledger.model.life import Life
from ledger.model.script import Draft
from tests.compare.typed import typed

CAST = {"W": "Wren", "T": "Tomas Arde"}
OFFICE = """## Harbour office

[page 1]
[panel]
Wren shoulders the door open. Paper everywhere.

W: You said the map was here.
T: It was, until the water had it.
"""
STAIRS = """
## The stairs

[page 2]
[panel]
They run up the wet stairs, the lamp swinging.

W: Before the water has the second landing.
"""


def lives(*texts: str, of: str) -> list[Life]:
    """The lives of the lines that hold these words in any of the drafts."""
    drafts = [typed(text, CAST) for text in texts]
    wanted = [(at, line) for at, draft in enumerate(drafts) for line in draft.lines if of in line.text]
    return lives_of(wanted, ways(drafts))


def ways(drafts: list[Draft]) -> list:
    """What happened from each draft to the next; None where they are equal, as the desk gives it."""
    return [None if a == b else compare_drafts(a, b) for a, b in pairwise(drafts)]


def told(life: Life) -> list[str]:
    """`0 came`, `2 reworded moved`."""
    return [f"{turn.at} {' '.join(turn.kinds)}" for turn in life.turns if turn.kinds]


def test_a_line_that_stays_came_and_nothing_else() -> None:
    [life] = lives(OFFICE, OFFICE, OFFICE, of="the map")
    assert told(life) == ["0 came"]
    assert [turn.at for turn in life.turns] == [0, 1, 2]
    assert (life.first, life.gone) == (life.last, False)


def test_it_is_reworded_given_away_and_cut() -> None:
    second = OFFICE.replace("the map was here", "the map was still here")
    third = second.replace("W: You said", "T: You said")
    fourth = third.replace("T: You said the map was still here.\n", "")
    [life] = lives(OFFICE, second, third, fourth, of="the map")
    assert told(life) == ["0 came", "1 reworded", "2 reassigned", "3 left"]
    assert (life.first.speaker, life.last.speaker, life.gone) == ("Wren", "Tomas Arde", True)


def test_words_of_any_draft_lead_to_the_same_life() -> None:
    second = OFFICE.replace("until the water had it", "before the tide")
    assert lives(OFFICE, second, of="before the tide") == lives(OFFICE, second, of="until the water")


def test_a_page_put_in_before_it_only_gives_it_another_number() -> None:
    later = OFFICE + "\n[page 2]\nThe boat, empty, knocking.\n" + STAIRS.replace("[page 2]", "[page 3]")
    [life] = lives(OFFICE + STAIRS, later, of="second landing")
    assert told(life) == ["0 came", "1 renumbered"]


def test_it_is_carried_to_another_scene() -> None:
    line = "T: It was, until the water had it.\n"
    [life] = lives(OFFICE + STAIRS, OFFICE.replace(line, "") + STAIRS + line, of="until the water")
    assert told(life) == ["0 came", "1 moved"]


def test_a_scene_takes_it_along() -> None:
    first = OFFICE + "\n## Gulls\n\n[page 2]\n[panel]\nGulls on the rail, all of them asleep.\n"
    first += STAIRS.replace("[page 2]", "[page 3]")
    parts = first.split("\n## ")
    [life] = lives(first, "\n## ".join([parts[0], parts[2], parts[1]]), of="Gulls on the rail")
    assert told(life) == ["0 came", "1 carried"]


def test_a_speaker_renamed_throughout() -> None:
    renamed = OFFICE.replace("T: ", "Abel: ").replace("[panel]\n", "[panel]\nABEL: I have it.\n")
    drafts = [typed(OFFICE, CAST), typed(renamed, {**CAST, "Abel": "Abel Arde"})]
    wanted = [(0, line) for line in drafts[0].lines if "It was" in line.text]
    [life] = lives_of(wanted, ways(drafts))
    assert told(life) == ["0 came", "1 renamed renumbered"] or told(life) == ["0 came", "1 renamed"]
    assert life.turns[1].renamed == ("Tomas Arde", "Abel Arde")


def test_a_line_that_was_cut_and_stands_again_has_one_life() -> None:
    without = OFFICE.replace("W: You said the map was here.\n", "")
    [life] = lives(OFFICE, without, without, OFFICE, of="the map")
    assert told(life) == ["0 came", "1 left", "3 came-back"]
    assert not life.gone
    assert life.line_at(2) is None


def test_a_short_line_comes_and_goes_as_another_one() -> None:
    short = OFFICE.replace("T: It was, until the water had it.", "T: It was.")
    without = short.replace("T: It was.\n", "")
    assert [told(life) for life in lives(short, without, without, short, of="It was.")] == [
        ["0 came", "1 left"],
        ["3 came"],
    ]


SAID = st.lists(
    st.tuples(
        st.sampled_from("WT"),
        st.sampled_from(["Yes.", "You said the map was here.", "Three hours to high water.", "No boat, no lamp."]),
    ),
    max_size=6,
)


@settings(max_examples=60, deadline=None)
@given(st.lists(SAID, min_size=1, max_size=5))
def test_every_line_of_every_draft_has_exactly_one_life(rows: list[list[tuple[str, str]]]) -> None:
    drafts = [typed("## Scene\n\n" + "".join(f"{who}: {words}\n" for who, words in row), CAST) for row in rows]
    every = [(at, line) for at, draft in enumerate(drafts) for line in draft.lines]
    lived = [
        (turn.at, turn.change.new) for life in lives_of(every, ways(drafts)) for turn in life.turns if turn.change.new
    ]
    assert sorted(lived, key=str) == sorted(every, key=str)
