"""Places followed round by round and set against the first round beside the last: told as unplaced where they part."""

from __future__ import annotations

import pytest

from ledger.judge.notes.chains import Chain, read_chain, spelled
from ledger.judge.notes.evidence import follow_notes
from ledger.judge.notes.history import Moment, NoteHistory
from ledger.judge.notes.places import Place, find_place
from ledger.judge.notes.trails import Way, way_between
from ledger.model.change import SceneChange
from ledger.model.note import Followed
from ledger.read.anchors import read_anchor
from ledger.read.notes import read_notes
from tests.judge.test_evidence import FIRST, Kept, only, swapped, told

NOW = Moment("script", None)
SNAPS = "T: If the padlock snaps, we crawl home from the gravel pit."
GIVES_OUT = "T: We go on foot from the gravel pit once that padlock gives out."
BEFORE = swapped("T: I never promised you a boat.", SNAPS)
REWORDED = swapped("T: I never promised you a boat.", GIVES_OUT)
CUT = swapped("T: I never promised you a boat.", "Paper boats on the floor.")
ELSEWHERE = swapped("Rain on stone.", f"{GIVES_OUT}\n\nRain on stone.", CUT)


def place(anchor: str, text: str) -> Place:
    read = read_anchor(anchor)
    draft = Kept({"script": [text]}, {}).draft(NOW)
    found = find_place(read, draft) if read and draft else None
    assert found is not None
    return found


def test_a_phrase_reworded_in_one_round_and_carried_off_in_the_next_is_not_called_cut() -> None:
    """First and last draft beside each other have too little in common; the round between has enough with both."""
    note = '- [x] 1 ("padlock snaps, we crawl home") Hm.\n  - done: so'
    assert only(note, BEFORE, ELSEWHERE).evidence == "cut", "without a round between nothing leads there"
    found = only(note, BEFORE, REWORDED, ELSEWHERE)
    assert told(found) == ('p3.1 "padlock snaps, we crawl home"', None, "unplaced", ())
    assert found.candidates == ('p1.1 "We go on foot from the gravel pit once that padlock gives out."',)


def test_a_phrase_cut_in_one_round_is_not_taken_for_one_like_it_typed_in_a_later_one() -> None:
    like = swapped(
        "Three hours to high water.", "Three hours.\nT: If the anchor snaps, we crawl home from the shed.", CUT
    )
    note = '- [x] 1 ("padlock snaps, we crawl home") Hm.\n  - declined: no'
    assert only(note, BEFORE, like).evidence == "reworded", "one round: it may be the same line"
    found = only(note, BEFORE, CUT, like)
    assert (found.place_now, found.evidence) == (None, "unplaced")
    assert found.candidates == ('p4.1 "anchor snaps, we crawl home"',)


def test_words_cut_and_put_back_are_where_they_were() -> None:
    found = only('- [x] 1 ("padlock snaps") Hm.\n  - done: so', BEFORE, CUT, BEFORE)
    assert told(found)[1:] == ('p3.1 "padlock snaps"', "untouched", ("done-then-undone",))


@pytest.mark.parametrize("anchor", ["p2", "p3.1", '"I never promised"', 'scene "Harbour office"', "ch 2"])
def test_rounds_that_agree_change_nothing(anchor: str) -> None:
    more = swapped("Hold the rope", "Hold that rope")
    assert told(only(f"- [ ] 1 ({anchor}) Hm.", FIRST, more, FIRST)) == told(
        only(f"- [ ] 1 ({anchor}) Hm.", FIRST, FIRST)
    )


def test_a_stet_on_what_its_round_has_no_more_asks_for_a_look() -> None:
    without = FIRST[: FIRST.index("## The slip")]
    found = only("- [x] 1 (p4) Hm.\n  - stet in script-2: it stays", FIRST, without, without)
    assert (found.evidence, found.standing) == ("cut", ("stet-but-changed",))
    early = only("- [x] 1 (p4) Hm.\n  - stet in script-2: it stays", FIRST, FIRST, FIRST)
    assert (early.evidence, early.standing) == ("untouched", ())


ANCHORS = ["p2", "p2.2", '"You said the map"', 'scene "Harbour office"', "ch 2"]


@pytest.mark.parametrize("anchor", ANCHORS)
def test_a_chain_is_read_back_as_it_was_spelled(anchor: str) -> None:
    draft = Kept({"script": [FIRST]}, {}).draft(NOW)
    assert draft is not None
    numbers = {line: n for n, line in enumerate(draft.lines)}
    for chain in (
        Chain((place(anchor, FIRST),)),
        Chain((place(anchor, FIRST), place("p4.1", FIRST)), False),
        Chain(()),
    ):
        word = spelled(chain, draft, numbers)
        assert word.isascii() and " " not in word
        assert read_chain(word, draft, draft.lines, place(anchor, FIRST)) == chain


@pytest.mark.parametrize(
    "word", ["", "sure;page:99", "sure;phrase:x", "sure;odd", "later", "sure;panel:1", "open;chapter:9"]
)
def test_a_word_that_is_no_chain_of_this_draft_is_none(word: str) -> None:
    draft = Kept({"script": [FIRST]}, {}).draft(NOW)
    assert draft is not None
    assert read_chain(word, draft, draft.lines, place("p2", FIRST)) is None


@pytest.mark.parametrize("now", [ELSEWHERE, CUT])
def test_what_is_remembered_says_the_same(now: str) -> None:
    """Asked twice, and asked again with a round more, of one memory or of none."""
    notes = "\n".join(
        f"- [ ] {n} ({anchor}) Hm." for n, anchor in enumerate([*ANCHORS, '"padlock snaps, we crawl"'], 1)
    )
    round_ = read_notes("notes/marsh-1.md", f"on: script-1\n\n{notes}\n".encode())
    memory: dict[str, str] = {}
    for drafts, rounds in (
        ([BEFORE, REWORDED, now], 1),
        ([BEFORE, REWORDED, now], 1),
        ([BEFORE, REWORDED, now, now + "\nRain.\n"], 2),
        ([BEFORE, REWORDED, now, now + "\nSnow.\n"], 2),
        ([BEFORE, REWORDED, now, now + "\nSnow.\n", now + "\nSnow.\n"], 3),
    ):
        kept = Kept({"script": drafts}, {})

        def known_by(moment: Moment, drafts: list[str] = drafts) -> str:
            return drafts[-1 if moment.number is None else moment.number - 1]

        found: list[Followed] = follow_notes([round_], NoteHistory(kept, memory, known_by))
        assert found == follow_notes([round_], NoteHistory(kept))
        assert len([word for word in memory.values() if word.startswith("sure")]) == len(round_.notes) * rounds


FROST = (
    "T: When the frost comes another gavel goes missing in the weir, no matter how oily it looks. An oily briefcase is "
    "nothing Mara would hold on to, with the weir full of visitors."
)
WEIR = (
    "T: The weir loses one gavel a year, always in november, no matter how oily it looks. Tell me what Mara wants with "
    "a briefcase, and an oily one at that, while you were busy with that sponge."
)


def test_a_line_with_little_of_its_words_left_may_be_the_same() -> None:
    """Between what is surely reworded and what is surely cut, the place is told for a person to look at."""
    found = only(
        '- [x] 1 ("another gavel goes") Hm.\n  - done: so',
        swapped("T: I never promised you a boat.", FROST), swapped("T: I never promised you a boat.", WEIR),
    )  # fmt: skip
    assert (found.place_now, found.evidence, found.standing) == (None, "unplaced", ())
    assert [each.partition('"')[0] for each in found.candidates] == ["p3.1 "]


ROW = "T: Then somebody must row across."


@pytest.mark.parametrize(
    ("phrase", "new", "candidate"),
    [
        ("padlock snaps, we crawl", "T: If the anchor snaps, we crawl home from the shed.", "anchor snaps, we crawl"),
        ("snaps, we crawl home from", "CAP: Twice the rope snaps, we crawl home from nowhere and begin anew at noon.",
         "snaps, we crawl home from"),
    ],
)  # fmt: skip
def test_a_line_like_it_far_from_all_that_stood_beside_it_may_be_another(phrase: str, new: str, candidate: str) -> None:
    """One line was cut and one typed in the same round, three pages on: nothing but some of its words leads there."""
    note = f'- [x] 1 ("{phrase}") Hm.\n  - done: so'
    before, without = swapped(ROW, SNAPS), swapped(f"{ROW}\n", "")
    found = only(note, before, swapped("W: Hold the rope and stop talking.", f"W: Hold the rope.\n{new}", without))
    assert (found.place_now, found.evidence, found.standing) == (None, "unplaced", ())
    assert found.candidates == (f'p4.2 "{candidate}"',)
    near = only(note, before, swapped(ROW, new))
    assert near.evidence in ("reworded", "untouched") and near.place_now is not None, "in its place it is the same"


def test_a_line_said_anew_by_another_where_the_first_stood_is_not_called_cut() -> None:
    """Reworded, given to another mouth and set in another panel at once: no line is paired with it, yet one beside what
    stood beside it says much the same. Far from there it is another line."""
    said = (
        "searched the harpoon, and I held my tongue, and I was wrong. We went free of charge, Mara, for that harpoon."
    )
    first = (
        "The way the harpoon was searched: I blamed Mara for that. For that harpoon, three. And I was free of charge."
    )
    before = swapped(ROW, f"T: {first}")
    drafts = before, swapped("[page 2]", f"[panel 3]\nW: Mara {said}\n\n[page 2]", swapped(f"{ROW}\n", ""))
    way = way_between(*(Kept({"script": [text]}, {}).draft(NOW) for text in drafts))
    line = place('"I blamed Mara"', before)
    assert way is not None
    apart = Way(way.old, way.new, way.change._replace(scenes=tuple(_unpaired(s, line) for s in way.change.scenes)))
    trail = apart.follow(line)
    assert (trail.evidence, [each.page for each in trail.may_be]) == ("unplaced", ["1"])


def test_a_line_with_little_in_common_may_be_the_one_that_stood_there() -> None:
    """Where it stood somebody else says something with a third of its words: cut, or written anew? Nobody can tell."""
    before = swapped(
        "T: I never promised you a boat.", "T: It smells of herring and tar in the counting house, even on a Monday."
    )
    after = swapped(
        "T: I never promised you a boat.",
        "W: Do you smell it? All the counting house is herring and wet coats, the whole day long.",
    )
    apart = swapped(
        "T: I never promised you a boat.", "W: Do you hear them? Every bell of the town rings, and nobody pulls a rope."
    )
    note = '- [x] 1 ("and tar in the counting house") Hm.\n  - stet: it stays'
    found = only(note, before, after)
    assert (found.evidence, found.standing) == ("unplaced", ())
    assert only(note, before, apart).evidence == "cut"


def _unpaired(scene: SceneChange, place: Place) -> SceneChange:
    """A group of scenes in which a line was found nowhere."""
    return scene._replace(lines=tuple(change for change in scene.lines if change.old not in place.lines))


def test_what_rested_in_a_round_where_nobody_could_say_where_it_was_does_not_rest_now() -> None:
    note = '- [ ] 1 ("another gavel goes") Hm.\n  - seen in script-2: fine'
    frost, weir = (swapped("T: I never promised you a boat.", line) for line in (FROST, WEIR))
    assert only(note, frost, weir, CUT).standing == ("open-but-changed",)
    assert only(note, frost, CUT, CUT).standing == (), "it was cut when it was seen, and is cut"


def test_another_reader_who_may_be_on_one_spot_is_told() -> None:
    """One phrase is where it was; another on the same line is known for certain no more."""
    both = swapped("T: I never promised you a boat.", f"{FROST}\n{SNAPS}")
    now = swapped("T: I never promised you a boat.", f"{WEIR}\n{SNAPS}")
    rounds = [
        read_notes(f"notes/{name}.md", f"on: script-1\n\n- [ ] 1 ({anchor}) Hm.\n".encode())
        for name, anchor in (("ida-1", '"another gavel goes"'), ("marsh-1", "p3.1"), ("osk-1", "p2.1"))
    ]
    lost, there, elsewhere = follow_notes(rounds, NoteHistory(Kept({"script": [both, now]}, {})))
    assert (lost.evidence, lost.standing, lost.beside) == ("unplaced", (), ())
    assert "two-on-one-spot" in there.standing and there.beside == ("ida-1/1",)
    assert elsewhere.standing == ()
