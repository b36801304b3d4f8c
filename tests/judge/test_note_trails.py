"""Laws of following a place: what happens elsewhere leaves it alone, and the way back leads to where it began."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.compare import compare_drafts
from ledger.judge.notes.places import Place, find_place, joined, wording
from ledger.judge.notes.trail import Trail
from ledger.judge.notes.trails import Way, way_between
from ledger.model.book import Person
from ledger.model.change import DraftChange, LineChange
from ledger.model.script import Draft
from ledger.read.anchors import read_anchor
from ledger.read.script import read_script

CAST = (Person("W", "Wren"), Person("T", "Tomas"))

#: Panels that have nothing in common, two to a page.
PANELS = (
    "Rain on stone, nobody about.\n\nW: The lamp is out again tonight.",
    "T: Somebody must row across before the tide.",
    "W: You said the map was here.\nT: It was here on Sunday evening.",
    "T: I never promised anyone a boat.",
    "The door falls shut.\n\nCAP: Three hours to high water.",
    "W: Hold that rope and stop talking.\nSFX: KRRNK",
    "A gull walks along the counter as if it owned the place.",
    "T: My father kept the ledger in green ink.",
)


def script(panels: tuple[str, ...] | list[str]) -> Draft:
    """Two panels to a page, two pages to a scene."""
    rows = []
    for at, panel in enumerate(panels):
        if at % 4 == 0:
            rows.append(f"## Scene {'ABCDEFGH'[at // 4]}\n")
        if at % 2 == 0:
            rows.append(f"[page {at // 2 + 1}]\n")
        rows.append(f"[panel {at % 2 + 1}]\n{panel}\n")
    return read_script([("script/01.md", "\n".join(rows).encode())], CAST)


OLD = script(PANELS)
ANCHORS = (
    "p1.1", "p2.1", "p3.2", "p4.1", "p2", "p4", '"You said the map"', '"KRRNK"', '"green ink"', 'p2.2 "never promised"',
    'scene "Scene A"', 'scene "Scene B"',
)  # fmt: skip


def place_of(anchor: str, draft: Draft = OLD) -> Place:
    read = read_anchor(anchor)
    assert read is not None
    found = find_place(read, draft)
    assert found is not None, anchor
    return found


def trail(place: Place, old: Draft, new: Draft) -> Trail:
    way = way_between(old, new)
    return way.follow(place) if way else Trail(place)


@pytest.mark.parametrize("anchor", ANCHORS)
def test_nothing_changed_is_no_way_at_all(anchor: str) -> None:
    assert way_between(OLD, script(PANELS)) is None
    told = place_of(anchor).told()
    assert told is not None
    again = read_anchor(told)
    assert again is not None and find_place(again, OLD) == place_of(anchor)


@pytest.mark.parametrize("words", ["You said the map", "never promised anyone", "KRRNK", "green ink", "gull walks"])
@pytest.mark.parametrize("gone", range(len(PANELS)))
def test_a_phrase_does_not_care_what_happens_to_other_panels(words: str, gone: int) -> None:
    if words in PANELS[gone]:
        return
    for new in ([*PANELS[:gone], *PANELS[gone + 1 :]], [*PANELS[:gone], "Silence.", *PANELS[gone + 1 :]]):
        found = trail(place_of(f'"{words}"'), OLD, script(new))
        assert found.place is not None and not found.changed


@settings(max_examples=60, deadline=None)
@given(st.permutations(PANELS), st.sampled_from(['"You said the map"', '"never promised"', '"KRRNK"', '"green ink"']))
def test_a_phrase_is_found_wherever_its_panel_went(order: list[str], anchor: str) -> None:
    new = script(order)
    found = trail(place_of(anchor), OLD, new)
    assert found.place is not None and not found.changed
    assert found.place.told() == place_of(anchor, new).told()
    assert found.evidence in ("untouched", "moved")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.sampled_from([*PANELS, "Silence.", "W: Something else is said here."]), max_size=9),
    st.sampled_from(ANCHORS),
)
def test_following_never_fails_and_ends_in_the_new_draft(panels: list[str], anchor: str) -> None:
    new = script(panels)
    found = trail(place_of(anchor), OLD, new)
    if found.place is not None:
        assert set(found.place.lines) <= set(new.lines) or found.place == place_of(anchor)
        assert found.place.told() is not None


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(PANELS)), st.integers(1, 3), st.sampled_from(["p1.1", "p2.1", "p3.2", "p4.1"]))
def test_panels_put_in_renumber_and_change_nothing(at: int, count: int, anchor: str) -> None:
    added = [
        f"A {('pale', 'wet', 'slow')[n]} dog crosses the yard, {('once', 'twice', 'thrice')[n]}." for n in range(count)
    ]
    new = script([*PANELS[:at], *added, *PANELS[at:]])
    found = trail(place_of(anchor), OLD, new)
    assert found.place is not None and not found.changed
    assert joined(found.place.lines) == joined(place_of(anchor).lines)


def test_balloons_of_one_mouth_in_a_row_are_one() -> None:
    one = script(["W: You said the map was here. It is not."])
    two = script(["W: You said the map was here.\nW: It is not."])
    assert wording(one.lines, by_panel=True) == wording(two.lines, by_panel=True)
    assert trail(place_of("p1.1", one), one, two).evidence == "untouched"


def scenes(*groups: tuple[str, tuple[int, ...]]) -> Draft:
    """Scenes by title, each of these panels, one page to a scene."""
    rows = []
    for page, (title, held) in enumerate(groups, 1):
        rows.append(f"## {title}\n\n[page {page}]\n")
        rows += [f"[panel {at}]\n{PANELS[number]}\n" for at, number in enumerate(held, 1)]
    return read_script([("script/01.md", "\n".join(rows).encode())], CAST)


def test_a_scene_goes_on_where_most_of_its_lines_are_whatever_it_is_told_with() -> None:
    """Its end was made a scene of its own, all before it was joined to another scene."""
    old = scenes(("The quay", (0, 1, 2, 3, 4, 5)), ("The counter", (6, 7)))
    for first, second in (("Rain", "The counter"), ("The quay", "Green ink"), ("The counter", "The quay")):
        new = scenes((first, (5,)), (second, (6, 7, 0, 1, 2, 3, 4)))
        found = trail(place_of('scene "The quay"', old), old, new)
        assert found.place is not None and found.place.told() == f'p2.1 scene "{second}"'
        assert found.evidence == "moved", "every word of it is still said"


def test_a_scene_of_which_hardly_a_line_is_left_is_cut() -> None:
    old = scenes(("The quay", (0, 1, 2, 3, 4, 5)), ("The counter", (6, 7)))
    new = scenes(("The counter", (6, 7, 3)))
    assert trail(place_of('scene "The quay"', old), old, new).evidence == "cut"


def test_a_page_joined_to_another_one_is_not_as_it_was() -> None:
    """Its words are, but a stet on the page covers what stands beside them too."""
    old = scenes(("A", (0,)), ("B", (2, 4)), ("C", (5, 6, 7)))
    new = scenes(("A", (0,)), ("C", (5, 6, 7, 2, 4)))
    found = trail(place_of("p2", old), old, new)
    assert found.place is not None and found.place.told() == "p2" and found.evidence == "reworded"


def test_a_few_words_of_a_line_go_with_the_whole_line() -> None:
    """It was taken out of one scene and typed again in another, where the same words have stood all along elsewhere."""
    said = "W: You said the map was here, and it never was."
    before = _line_by_line(said, "T: No.", "T: Rain again.", "Nobody stirs.", said)
    after = _line_by_line("T: No.", "T: Rain again.", said, "Nobody stirs.", said)
    there = Way(before, after, _cut_and_typed_again(before, after))
    found = there.follow(place_of('p1 "the map"', before))
    assert found.evidence == "moved" and found.place is not None and found.place.told() == 'p3 "the map"'
    other = _line_by_line("T: No.", "T: Rain again.", said.replace("W:", "T:"), "Nobody stirs.", said)
    assert (
        Way(before, other, _cut_and_typed_again(before, other)).follow(place_of('p1 "the map"', before)).place is None
    )


def _line_by_line(*said: str) -> Draft:
    rows = (f"[page {page}]\n\n{words}\n" for page, words in enumerate(said, 1))
    return read_script([("script/01.md", "\n".join(["## One\n", *rows]).encode())], CAST)


def _cut_and_typed_again(before: Draft, after: Draft) -> DraftChange:
    """What a comparison says that takes the first line for cut and the third one now for new."""
    old, new = before.lines, after.lines
    pairs = [(None, new[2]), (old[0], None), *zip(old[1:], (new[0], new[1], new[3], new[4]), strict=True)]
    lines = tuple(LineChange("same" if a and b else "cut" if a else "added", a, b) for a, b in pairs)
    return compare_drafts(before, after)._replace(
        scenes=(compare_drafts(before, after).scenes[0]._replace(lines=lines),)
    )
