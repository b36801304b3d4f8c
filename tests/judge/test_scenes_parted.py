"""Notes on scenes that were split, merged, moved and renamed, and on pages that went into others (convention §5)."""

from __future__ import annotations

import re

from tests.judge.test_evidence import FIRST, only, swapped, told

SPLIT = swapped("[page 3]\n", "## The back room\n\n[page 3]\n")
MERGED = swapped("## The slip at low water\n\n", "")
SLIP = FIRST[FIRST.index("## The slip") :]
OFFICE = FIRST[FIRST.index("## Harbour office") : FIRST.index("## The slip")]


def test_a_scene_that_was_split_goes_on_with_the_part_that_holds_most_of_it() -> None:
    found = only('- [x] 1 (scene "Harbour office") Hm.', FIRST, SPLIT)
    assert told(found) == (
        'p2.1 scene "Harbour office, before dawn"', 'p2.1 scene "Harbour office, before dawn"', "untouched",
        ("done-but-untouched",),
    )  # fmt: skip
    for anchor in ("p3.1", '"never promised"'):
        assert only(f"- [ ] 1 ({anchor}) Hm.", FIRST, SPLIT).evidence == "untouched", anchor


def test_a_scene_that_was_merged_into_another_is_told_by_its_title() -> None:
    found = only('- [ ] 1 (scene "The slip") Hm.', FIRST, MERGED)
    assert (found.place_now or "").endswith('scene "Harbour office, before dawn"')
    assert (found.evidence, found.standing) == ("untouched", ())


def test_a_word_changed_in_a_part_is_a_word_of_the_scene() -> None:
    new = swapped("I never promised you a boat.", "I never promised you an oar.", SPLIT)
    assert only('- [x] 1 (scene "Harbour office") Hm.\n  - stet: so it is', FIRST, new).standing == (
        "stet-but-changed",
    )


def test_a_scene_moved_and_renamed_in_one_go_is_moved() -> None:
    new = FIRST[: FIRST.index("## Harbour office")] + SLIP.replace("## The slip at low water", "## Ebb") + "\n" + OFFICE
    new = _numbered(new)
    found = only('- [ ] 1 (scene "The slip") Hm.', FIRST, new)
    assert told(found) == ('p4.1 scene "The slip at low water"', 'p2.1 scene "Ebb"', "moved", ())


def test_a_part_of_a_scene_that_was_carried_far_away_is_moved() -> None:
    """The scene is told as split, not as moved; its part stands before the scene it followed."""
    back = FIRST[FIRST.index("[page 3]") : FIRST.index("## The slip")]
    new = _numbered(swapped(back, "").replace("# Chapter 1: Out\n", f"# Chapter 1: Out\n\n## The back room\n\n{back}"))
    found = only("- [ ] 1 (p3.1) Hm.", FIRST, new)
    assert (found.place_now, found.evidence, found.standing) == ("p1.1", "moved", ())
    assert only("- [x] 1 (p3.1) Hm.", FIRST, new).standing == ("done-but-untouched",)


def test_a_page_whose_panels_went_to_another_page_is_followed_there() -> None:
    """Page 3 was joined to page 2: the note is where its words are, not on the page that has its number now."""
    new = swapped("[page 3]\n\n[panel 1]\nT: I never", "[panel 3]\nT: I never")
    new = new.replace("[panel 2]\nThe door falls", "[panel 4]\nThe door falls").replace("[page 4]", "[page 3]")
    found = only("- [ ] 1 (p3) Hm.", FIRST, new)
    assert (found.place_then, found.place_now) == ("p3", "p2")


def test_a_line_reworded_and_given_to_somebody_else_is_touched() -> None:
    new = swapped("T: I never promised you a boat.", "W: Well, I never promised you a boat.")
    assert only('- [x] 1 ("never promised") Hm.\n  - stet: his', FIRST, new).standing == ("stet-but-changed",)


def _numbered(script: str) -> str:
    """The script with its pages counted anew."""
    count = iter(range(1, 99))
    return re.sub(r"\[page \d\]", lambda _: f"[page {next(count)}]", script)
