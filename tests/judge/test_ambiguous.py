"""Words that stand in several places: never silently one of them (convention §5, `unplaced`)."""

from __future__ import annotations

import pytest

from tests.judge.test_evidence import FIRST, followed, only, swapped, told

#: "No." stands three times, twice in one panel and in two mouths; two scenes have one title.
TWICE = """\
# Chapter 1: Out

## The mole

[page 1]

[panel 1]
W: No.
T: No.
W: No doubt it floats.

[panel 2]
T: Then row.

## The mole

[page 2]

[panel 1]
T: No.
W: The boat, then.
"""
CHANGED = TWICE.replace("[panel 1]\nT: No.", "[panel 1]\nT: Yes.")


@pytest.mark.parametrize("reply", ["", "\n  - stet: so be it", "\n  - done: said once"])
def test_a_phrase_that_stands_more_than_once_is_unplaced_with_its_candidates(reply: str) -> None:
    found = only(f'- [{"x" if reply else " "}] 1 ("No") Hm.{reply}', TWICE, CHANGED)
    assert told(found) == (None, None, "unplaced", ())
    assert found.candidates == (
        'p1.1 "Wren: No."', 'p1.1 "Tomas: No."', 'p1.1 "Wren: No doubt it floats."', 'p2.1 "No"'
    )  # fmt: skip
    for candidate in found.candidates:
        assert only(f"- [ ] 1 ({candidate}) Hm.", TWICE, CHANGED).evidence != "unplaced", candidate


def test_with_its_page_the_same_phrase_is_one_place() -> None:
    found = only('- [ ] 1 (p2 "No.") Hm.', TWICE, CHANGED)
    assert told(found) == ('p2.1 "No."', 'p2.1 "Yes."', "reworded", ("open-but-changed",))
    assert found.candidates == ()
    assert only('- [ ] 1 (p1 "No.") Hm.', TWICE, CHANGED).candidates == ('p1.1 "Wren: No."', 'p1.1 "Tomas: No."')


def test_with_its_speaker_it_is_one_place() -> None:
    for words in ("W: No.", "Wren: No."):
        assert told(only(f'- [ ] 1 (p1 "{words}") Hm.', TWICE, CHANGED)) == (
            f'p1.1 "{words}"', f'p1.1 "{words}"', "untouched", ()
        )  # fmt: skip
    assert only('- [ ] 1 ("T: No.") Hm.', TWICE, CHANGED).candidates == ('p1.1 "T: No."', 'p2.1 "T: No."')


def test_whole_words_come_before_parts_of_words() -> None:
    """`map` is the word, not the beginning of `maple`; where only a part fits, the part is meant."""
    script = swapped("Rain on stone. Nobody about.", "Rain on a maple. Nobody about.")
    assert only('- [ ] 1 ("map") Hm.', script, script).place_then == 'p2.2 "map"'
    assert only('- [ ] 1 ("mapl") Hm.', script, script).place_then == 'p1.1 "mapl"'


def test_twice_in_one_balloon_is_one_place() -> None:
    script = swapped("The lamp is out again tonight.", "No, no, I say no again.")
    assert only('- [ ] 1 ("no") Hm.', script, script).place_then == 'p1.2 "no"'


def test_words_over_two_balloons_are_one_place() -> None:
    assert only('- [ ] 1 ("again tonight. Then somebody") Hm.', FIRST, FIRST).place_then == (
        'p1.2 "again tonight. Then somebody"'
    )


def test_a_title_that_two_scenes_have_is_unplaced_with_its_candidates() -> None:
    found = only('- [ ] 1 (scene "The mole") Hm.', TWICE, CHANGED)
    assert told(found) == (None, None, "unplaced", ())
    assert found.candidates == ('p1.1 scene "The mole"', 'p2.1 scene "The mole"')
    assert only('- [ ] 1 (p2 scene "The mole") Hm.', TWICE, CHANGED).evidence == "reworded"
    assert only('- [ ] 1 (p1 scene "The mole") Hm.', TWICE, CHANGED).evidence == "untouched"


def test_the_whole_title_comes_before_its_beginning() -> None:
    script = swapped("## The slip at low water", "## The mole at night")
    assert only('- [ ] 1 (scene "The mole") Hm.', script, script).place_then == 'p1.1 scene "The mole"'
    both = only('- [ ] 1 (scene "The m") Hm.', script, script)
    assert both.candidates == ('p1.1 scene "The mole"', 'p4.1 scene "The mole at night"')


def test_an_ambiguous_place_to_look_at_is_no_evidence() -> None:
    """`done in script-2 at "No."` points to several places: the note's own place alone counts."""
    reply = '- [x] 1 (p1.2) Hm.\n  - done in script-2 at "No.": there'
    assert only(reply, TWICE, CHANGED, CHANGED).standing == ("done-but-untouched",)


def test_a_word_that_is_cut_is_not_found_in_another_mouth_elsewhere() -> None:
    """A few words are anybody's: that somebody says "No." on a new page is no trail of the one that was cut."""
    new = CHANGED.replace("T: Yes.\n", "") + "\n[page 3]\n\n[panel 1]\nW: No.\n"
    assert only('- [ ] 1 (p2 "No.") Hm.', TWICE, new).evidence == "cut"


def test_words_typed_again_in_two_places_are_no_trail() -> None:
    gone = swapped("T: I never promised you a boat.\n", "")
    once = gone + "\n[page 5]\n\n[panel 1]\nT: They say I never promised you a boat.\n"
    found = only('- [ ] 1 ("I never promised you a boat") Hm.', FIRST, once)
    assert (found.evidence, found.place_now) == ("moved", 'p5.1 "I never promised you a boat"')
    note = '- [ ] 1 (p3.1 "I never promised you a boat") Hm.'
    new = FIRST.replace("T: I never promised you a boat.", "T: Rain, rain and more rain.")
    new += "\n[page 5]\n\n[panel 1]\nW: Sing of it, I never promised you a boat, and sing again.\n"
    new += "\n[panel 2]\nW: Nobody heard a word. I never promised you a boat, says the liar.\n"
    assert only(note, FIRST, new).evidence in ("cut", "reworded")


def test_a_balloon_split_or_joined_leaves_its_phrases_untouched() -> None:
    split = swapped("W: You said the map was here.", "W: You said the map\nW: was here.")
    for words in ("You said the map", "map was here", "the map was"):
        assert only(f'- [ ] 1 (p2.2 "{words}") Hm.', FIRST, split).evidence == "untouched", words
    joined = swapped("W: The lamp is out again tonight.\nT: Then", "W: The lamp is out again tonight. Then")
    assert only('- [ ] 1 ("lamp is out") Hm.', FIRST, joined).evidence == "untouched"


def test_the_words_around_a_place_then_and_now() -> None:
    new = swapped("You said the map was here.", "You said the chart was here.")
    (found,) = followed('- [ ] 1 ("the map") Hm.', FIRST, new)
    assert (found.words_then, found.words_now) == (
        "Wren: You said the map was here.", "Wren: You said the chart was here."
    )  # fmt: skip
    (found,) = followed("- [ ] 1 (p2.2) Hm.", FIRST, new)
    assert found.words_then == "Wren: You said the map was here. / Tomas: It was here on Sunday evening."
    long = swapped("You said the map was here.", "a b c d " * 40 + "the map was " + "e f g h " * 40)
    (found,) = followed('- [ ] 1 ("the map was") Hm.', long, long)
    assert len(found.words_now) <= 144 and "the map was" in found.words_now
    assert found.words_now.startswith("…") and found.words_now.endswith("…")
