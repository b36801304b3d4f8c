"""What became of the places of notes, and which of them ask for a person (convention §5, Evidence; T-130 to T-136)."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pytest

from ledger.judge.notes.evidence import follow_notes
from ledger.judge.notes.history import Moment, NoteHistory
from ledger.judge.notes.pictures import Pictures
from ledger.model.book import Person
from ledger.model.note import Followed, NotesRound
from ledger.model.script import Draft
from ledger.model.snapshot import FileAt
from ledger.read.notes import read_notes
from ledger.read.script import read_script

CAST = (Person("W", "Wren"), Person("T", "Tomas"))

FIRST = """\
# Chapter 1: Out

## The mole

[page 1]

[panel 1]
Rain on stone. Nobody about.

[panel 2]
W: The lamp is out again tonight.
T: Then somebody must row across.

# Chapter 2: The tide gauge

## Harbour office, before dawn

[page 2]

[panel 1]
Wren shoulders the door open. Paper everywhere.

[panel 2]
W: You said the map was here.
T: It was here on Sunday evening.

[page 3]

[panel 1]
T: I never promised you a boat.

[panel 2]
The door falls shut behind them.

## The slip at low water

[page 4]

[panel 1]
CAP: Three hours to high water.

[panel 2]
W: Hold the rope and stop talking.
"""


@dataclass(frozen=True)
class Kept:
    """Rounds held in memory: pass -> contents, oldest first, the last one being what is there now."""

    texts: Mapping[str, Sequence[str]]
    art: Mapping[str, Sequence[Mapping[str, bytes]]]

    def about(self, notes: NotesRound) -> Moment | None:
        return self.moment(notes.on) if notes.on else None

    def moment(self, name: str) -> Moment | None:
        found = re.fullmatch(r"([a-z]+)-([0-9]+)", name)
        known = found is not None and int(found[2]) in self.numbers(found[1])
        return Moment(found[1], int(found[2])) if found and known else None

    def numbers(self, pass_name: str) -> Sequence[int]:
        return range(1, len(self.texts.get(pass_name) or self.art.get(pass_name) or [None]))

    def drawn(self, pass_name: str) -> bool:
        return pass_name in self.art

    def draft(self, moment: Moment) -> Draft | None:
        text = self.texts[moment.pass_name][-1 if moment.number is None else moment.number - 1]
        return read_script([("script/01.md", text.encode())], CAST)

    def pictures(self, moment: Moment) -> Pictures | None:
        kept = self.art[moment.pass_name][-1 if moment.number is None else moment.number - 1]
        return Pictures({p: FileAt(p, data.hex()) for p, data in kept.items()}, lambda file: kept[file.path])

    def script_under(self, moment: Moment) -> Moment | None:
        return Moment("script", min(moment.number or 1, len(self.numbers("script"))))


def followed(
    notes: str, *drafts: str, art: Mapping[str, Sequence[Mapping[str, bytes]]] | None = None
) -> list[Followed]:
    """Notes made on script-1; the last draft is the content now, those before it are rounds."""
    round_ = read_notes("notes/marsh-1.md", f"on: script-1\n\n{notes}\n".encode())
    return follow_notes([round_], NoteHistory(Kept({"script": drafts}, art or {})))


def only(notes: str, *drafts: str) -> Followed:
    (found,) = followed(notes, *drafts)
    return found


def told(found: Followed) -> tuple[str | None, str | None, str, tuple[str, ...]]:
    return found.place_then, found.place_now, found.evidence, found.standing


def swapped(old: str, new: str, text: str = FIRST) -> str:
    assert old in text
    return text.replace(old, new)


REWORDED = swapped("You said the map was here.", "You said the chart was here.")
STREET = "## A street\n\n[page 2]\n\n[panel 1]\nA cat crosses.\n\n[page 3]\n\n[panel 1]\nThe cat comes back.\n\n"
TWO_PAGES_BEFORE = swapped(
    "## Harbour office",
    STREET + "## Harbour office",
    re.sub(r"\[page ([2-4])\]", lambda m: f"[page {int(m[1]) + 2}]", FIRST),
)
MOLE = FIRST[FIRST.index("## The mole") : FIRST.index("# Chapter 2")]

ANCHORS = ["p2", "p2.2", 'p2.2 "You said the map"', '"You said the map"', 'scene "Harbour office"', "ch 2"]


# -- evidence


@pytest.mark.parametrize("anchor", ANCHORS)
def test_nothing_changed(anchor: str) -> None:
    assert only(f"- [ ] 1 ({anchor}) Hm.", FIRST, FIRST).evidence == "untouched"


@pytest.mark.parametrize("anchor", ANCHORS)
def test_a_word_changed(anchor: str) -> None:
    found = only(f"- [ ] 1 ({anchor}) Hm.", FIRST, REWORDED)
    assert (found.evidence, found.standing) == ("reworded", ("open-but-changed",))


@pytest.mark.parametrize(
    ("anchor", "then", "now"),
    [
        ("p2", "p2", "p4"),
        ("p2.2", "p2.2", "p4.2"),
        ('"You said the map"', 'p2.2 "You said the map"', 'p4.2 "You said the map"'),
        (
            'scene "Harbour office"',
            'p2.1 scene "Harbour office, before dawn"',
            'p4.1 scene "Harbour office, before dawn"',
        ),
    ],
)
def test_a_note_travels_with_its_place(anchor: str, then: str, now: str) -> None:
    """T-134: two pages put in before it; only the number is another."""
    found = only(f"- [ ] 1 ({anchor}) Hm.", FIRST, TWO_PAGES_BEFORE)
    assert told(found) == (then, now, "untouched", ())
    assert found.note.id == "marsh-1/1"


def test_a_chapter_travels_with_its_number() -> None:
    new = swapped("# Chapter 2", "# Prelude\n\n## A dream\n\nNothing but the sea, seen from far below.\n\n# Chapter 2")
    assert told(only("- [ ] 1 (ch 2) Slow.", FIRST, new)) == ("ch 2", "ch 3", "untouched", ())


def test_a_scene_travels_with_its_title() -> None:
    new = swapped("Harbour office, before dawn", "The tide office")
    found = only('- [ ] 1 (scene "Harbour office") Hm.', FIRST, new)
    assert told(found) == (
        'p2.1 scene "Harbour office, before dawn"', 'p2.1 scene "The tide office"', "untouched", (),
    )  # fmt: skip


def test_a_panel_that_only_got_another_number() -> None:
    new = swapped("[panel 2]\nW: You said", "[panel 2]\nThe lamp swings.\n\n[panel 3]\nW: You said")
    assert told(only("- [ ] 1 (p2.2) Hm.", FIRST, new)) == ("p2.2", "p2.3", "untouched", ())


def test_a_scene_carried_elsewhere_is_moved() -> None:
    new = (
        re.sub(r"\[page ([2-4])\]", lambda m: f"[page {int(m[1]) - 1}]", swapped(MOLE, ""))
        + "\n"
        + MOLE.replace("[page 1]", "[page 4]")
    )
    for anchor in ("p1.2", '"The lamp is out"', 'scene "The mole"'):
        found = only(f"- [x] 1 ({anchor}) Hm.", FIRST, new)
        assert (found.evidence, found.standing) == ("moved", ("done-but-untouched",)), anchor
        assert (found.place_now or "").startswith("p4")


def test_a_line_carried_to_another_panel_is_moved() -> None:
    new = swapped("T: It was here on Sunday evening.\n", "").replace(
        "The door falls shut", "T: It was here on Sunday evening.\n\nThe door falls shut"
    )
    found = only('- [ ] 1 ("here on Sunday") Hm.', FIRST, new)
    assert told(found) == ('p2.2 "here on Sunday"', 'p3.2 "here on Sunday"', "moved", ())


@pytest.mark.parametrize(
    ("anchor", "gone"),
    [
        ('"never promised"', "T: I never promised you a boat.\n"),
        ("p3.1", "[panel 1]\nT: I never promised you a boat.\n"),
        ('scene "The slip"', FIRST[FIRST.index("## The slip") :]),
        ("p4", FIRST[FIRST.index("## The slip") :]),
        ("ch 1", FIRST[: FIRST.index("# Chapter 2")]),
    ],
)
def test_what_was_cut(anchor: str, gone: str) -> None:
    found = only(f"- [ ] 1 ({anchor}) Hm.", FIRST, swapped(gone, ""))
    assert (found.place_now, found.evidence, found.standing) == (None, "cut", ("open-but-changed",))


def test_a_phrase_is_evidence_by_its_own_words_alone() -> None:
    """T-136: what is touched elsewhere in the panel, or in the same line, is no evidence for the phrase."""
    for new in (
        swapped("It was here on Sunday evening.", "It was gone by Monday."),
        swapped("You said the map was here.", "You said the map was gone for good."),
    ):
        assert only('- [x] 1 (p2.2 "You said the map") Hm.', FIRST, new).evidence == "untouched"


def test_a_phrase_in_another_mouth_is_touched() -> None:
    new = swapped("T: I never promised you a boat.", "W: I never promised you a boat.")
    assert only('- [x] 1 ("never promised") Hm.', FIRST, new).standing == ()
    assert only('- [x] 1 ("never promised") Hm.\n  - stet: his', FIRST, new).standing == ("stet-but-changed",)


def test_a_reworded_phrase_is_told_in_its_new_words() -> None:
    found = only('- [ ] 1 ("said the map") Hm.', FIRST, REWORDED)
    assert (found.place_then, found.place_now) == ('p2.2 "said the map"', 'p2.2 "said the chart"')
    new = swapped("I never promised you a boat.", "A boat was never promised to you.")
    found = only('- [ ] 1 ("I never promised you a boat.") Hm.', FIRST, new)
    assert found.place_now == 'p3.1 "A boat was never promised to you."'
    new = swapped("The lamp is out again tonight.", "The lamp is out. Tonight, of all nights.")
    assert only('- [ ] 1 ("again tonight") Hm.', FIRST, new).place_now == 'p1.2 "out. Tonight, of all nights."'


def test_a_line_with_none_of_the_words_is_another_line() -> None:
    """Convention §5: never silently wrong. What stands in a cut line's stead is not the phrase in other words."""
    new = swapped("I never promised you a boat.", "Please.")
    found = only('- [ ] 1 ("I never promised you a boat.") Hm.', FIRST, new)
    assert (found.place_now, found.evidence, found.standing) == (None, "cut", ("open-but-changed",))


def test_a_phrase_that_left_its_line_for_one_elsewhere_has_no_place() -> None:
    """Its line is there in other words, and its words stand in a new line: it may be either."""
    new = swapped("I never promised you a boat.", "I never promised you anything.")
    new += "\n[panel 3]\nT: As I said, you never promised you a boat or a map.\n"
    found = only('- [x] 1 ("never promised you a boat") Hm.', FIRST, new)
    assert (found.place_now, found.evidence, found.standing) == (None, "unplaced", ())
    assert len(found.candidates) == 2
    assert all(said.startswith(("p3.1 ", "p4.3 ")) for said in found.candidates)


@pytest.mark.parametrize("anchor", ["p9", "p2.7", '"no such words"', 'scene "Nowhere"', "ch 9", "hm"])
def test_a_place_not_there_on_its_own_round(anchor: str) -> None:
    for tick, reply, standing in (
        ("x", "", ()), ("x", "\n  - stet: so be it", ()), (" ", "\n  - query: where?", ("query-unanswered",)),
    ):  # fmt: skip
        found = only(f"- [{tick}] 1 ({anchor}) Hm.{reply}", FIRST, REWORDED)
        assert told(found) == (None, None, "unplaced", standing)


def test_a_note_on_the_whole_book_has_no_place() -> None:
    assert told(only("- [x] 1 Too long.", FIRST, REWORDED)) == (None, None, "untouched", ())
    assert only("- [ ] 1 Too long.\n  - query: by how much?", FIRST, REWORDED).standing == ("query-unanswered",)


def test_a_script_without_page_marks() -> None:
    bare = re.sub(r"\[(page|panel) \d\]\n\n?", "", FIRST)
    found = only('- [ ] 1 ("You said the map") Hm.', bare, bare)
    assert told(found) == ('"You said the map"', '"You said the map"', "untouched", ())
    assert only('- [ ] 1 (scene "The mole") Hm.', bare, bare).place_then == 'scene "The mole"'


# -- standing


def test_done_but_untouched() -> None:
    """T-132."""
    assert only("- [x] 1 (p2.2) Hm.", FIRST, FIRST).standing == ("done-but-untouched",)
    assert only("- [x] 1 (p2.2) Hm.", FIRST, REWORDED).standing == ()
    assert only("- [x] 1 (p2.2) Hm.", FIRST, swapped("I never", "We never")).standing == ("done-but-untouched",)


def test_done_then_undone() -> None:
    """T-133: the last difference alone looks clean."""
    found = only("- [x] 1 (p2.2) Hm.", FIRST, REWORDED, FIRST, FIRST)
    assert (found.evidence, found.standing) == ("untouched", ("done-then-undone",))


def test_done_in_a_round_asks_about_that_round_alone() -> None:
    note = "- [x] 1 (p2.2) Hm.\n  - done in script-{}: cut"
    assert only(note.format(2), FIRST, REWORDED, FIRST, FIRST).standing == ("done-then-undone",)
    assert only(note.format(3), FIRST, REWORDED, FIRST, FIRST).standing == ("done-but-untouched",)


def test_done_at_another_place() -> None:
    note = "- [x] 1 (p1.2) Hm.\n  - done in script-2 at {}: there"
    assert only(note.format("p2.2"), FIRST, REWORDED, REWORDED).standing == ()
    assert told(only(note.format("p2.2"), FIRST, REWORDED, REWORDED))[1:3] == ("p2.2", "reworded")
    assert only(note.format("p3.1"), FIRST, REWORDED, REWORDED).standing == ("done-but-untouched",)
    assert only(note.format("p2.2"), FIRST, REWORDED, FIRST).standing == ("done-then-undone",)


def test_stet() -> None:
    """T-130: the words it covers must not change after it."""
    note = "- [x] 1 (p2.2) Hm.\n  - stet: so she talks"
    assert only(note, FIRST, FIRST).standing == ()
    assert only(note, FIRST, REWORDED).standing == ("stet-but-changed",)
    assert only(note, FIRST, REWORDED, FIRST).standing == ()


def test_stet_covers_the_words_of_the_round_it_names() -> None:
    note = "- [x] 1 (p2.2) Hm.\n  - stet in script-2: so she talks"
    assert only(note, FIRST, REWORDED, REWORDED).standing == ()
    assert only(note, FIRST, REWORDED, FIRST).standing == ("stet-but-changed",)


def test_a_query_wants_an_answer() -> None:
    """T-131: an edit is none."""
    note = "- [ ] 1 (p2.2) Hm.\n  - query: why?"
    assert only(note, FIRST, REWORDED).standing == ("query-unanswered",)
    assert only(f"{note}\n  - answer: because", FIRST, FIRST).standing == ()
    assert only(f"{note}\n  - answer: because", FIRST, REWORDED).standing == ("open-but-changed",)


def test_declined_and_carried_ask_for_nobody() -> None:
    for reply in ("declined: no", "carried to inks: later"):
        assert only(f"- [ ] 1 (p2.2) Hm.\n  - {reply}", FIRST, REWORDED).standing == ()


def test_seen_rests_the_standing_until_the_place_changes_again() -> None:
    note = "- [ ] 1 (p2.2) Hm.\n  - seen in script-2: good so far"
    assert only(note, FIRST, REWORDED, REWORDED).standing == ()
    again = swapped("the chart", "the old chart", REWORDED)
    assert only(note, FIRST, REWORDED, again).standing == ("open-but-changed",)
    done = "- [x] 1 (p2.2) Hm.\n  - done: no need\n  - seen in script-2: right"
    assert only(done, FIRST, FIRST, FIRST).standing == ()
    assert (
        only(
            done.replace("  - seen in script-2: right", "  - seen in script-1: right"), FIRST, REWORDED, FIRST
        ).standing
        == ()
    )
    assert only("- [x] 1 (p2.2) Hm.\n  - seen in script-2: ok\n  - done: so", FIRST, FIRST, FIRST).standing == (
        "done-but-untouched",
    )


# -- two readers


def two(first: str, second: str, now: str = FIRST) -> list[Followed]:
    rounds = [
        read_notes(f"notes/{name}.md", f"on: script-1\n\n{note}\n".encode())
        for name, note in (("ida-1", first), ("marsh-1", second))
    ]
    return follow_notes(rounds, NoteHistory(Kept({"script": [FIRST, now]}, {})))


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("- [ ] 1 (p2.2) a", "- [ ] 1 (p2.2) b"),
        ("- [ ] 1 (p2.2) a", "- [ ] 1 (p2.2) b\n  - query: why?"),
        ("- [ ] 1 (p2.2) a", '- [ ] 1 ("You said the map") b'),
        ('- [ ] 1 ("said the map was") a', '- [ ] 1 ("the map was here") b'),
    ],
)
def test_two_readers_on_one_spot(first: str, second: str) -> None:
    """T-135: both stay open, both are named."""
    one, other = two(first, second)
    assert "two-on-one-spot" in one.standing
    assert "two-on-one-spot" in other.standing
    assert (one.beside, other.beside) == (("marsh-1/1",), ("ida-1/1",))


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("- [ ] 1 (p2) a", "- [ ] 1 (p2) b"),
        ("- [ ] 1 (p2.2) a", "- [ ] 1 (p2) b"),
        ("- [ ] 1 a", "- [ ] 1 b"),
        ('- [ ] 1 (scene "The mole") a', '- [ ] 1 (scene "The mole") b'),
        ("- [ ] 1 (p2.2) a", "- [x] 1 (p2.2) b"),
        ("- [ ] 1 (p2.2) a", "- [ ] 1 (p2.1) b"),
        ('- [ ] 1 ("You said") a', '- [ ] 1 ("was here") b'),
    ],
)
def test_not_on_one_spot(first: str, second: str) -> None:
    assert not [each for each in two(first, second) if "two-on-one-spot" in each.standing]


def test_notes_of_one_round_are_not_two_readers() -> None:
    found = followed("- [ ] 1 (p2.2) a\n- [ ] 2 (p2.2) b", FIRST, FIRST)
    assert all(not each.standing for each in found)


@dataclass(frozen=True)
class AtTwo(Kept):
    """The same rounds, asked about the second: it is the content now, and the rounds after it play no part."""

    def numbers(self, pass_name: str) -> Sequence[int]:
        return [number for number in super().numbers(pass_name) if number <= 2]

    def draft(self, moment: Moment) -> Draft | None:
        return super().draft(Moment(moment.pass_name, moment.number or 2))

    def moment(self, name: str) -> Moment | None:
        """Every round is known by name, one after the second too."""
        return Kept(self.texts, self.art).moment(name)


@pytest.mark.parametrize(
    ("note", "standing"),
    [
        ("- [x] 1 (p2.2) a\n  - done in script-3 at p3.2: so", "done-but-untouched"),
        ("- [x] 1 (p2.2) a\n  - done in script-3: so", "done-but-untouched"),
        ("- [ ] 1 (p3.2) a\n  - seen in script-3: fine", "open-but-changed"),
        ("- [x] 1 (p3.2) a\n  - stet in script-3: stays", "stet-but-changed"),
        ("- [x] 1 (p3.2) a\n  - stet in script-2: stays", None),
    ],
)
def test_a_round_after_those_asked_about_plays_no_part(note: str, standing: str | None) -> None:
    """Evidence at script-2 of replies that name script-3."""
    slams = swapped("The door falls shut", "The door slams shut")
    kept = AtTwo({"script": [FIRST, slams, swapped("slams", "bangs", REWORDED.replace("falls", "slams")), FIRST]}, {})
    round_ = read_notes("notes/marsh-1.md", f"on: script-1\n\n{note}\n".encode())
    (found,) = follow_notes([round_], NoteHistory(kept))
    assert found.standing == ((standing,) if standing else ())


# -- pictures


def drawn(notes: str, *rounds: Mapping[str, bytes]) -> list[Followed]:
    """Notes made on inks-1."""
    round_ = read_notes("notes/marsh-1.md", f"on: inks-1\n\n{notes}\n".encode())
    return follow_notes([round_], NoteHistory(Kept({"script": [FIRST, FIRST]}, {"inks": rounds})))


def test_a_page_picture() -> None:
    before = {"1": b"one", "2": b"two", "3": b"three"}
    found = drawn(
        "- [ ] 1 (p1) a\n- [ ] 2 (p2.1) b\n- [ ] 3 (p3 @0.4,0.3) c\n- [ ] 4 (p9) d",
        before, {"1": b"one", "2": b"two again", "4": b"three"},
    )  # fmt: skip
    assert [told(each) for each in found] == [
        ("p1", "p1", "untouched", ()),
        ("p2.1", "p2.1", "redrawn", ("open-but-changed",)),
        ("p3 @0.4,0.3", "p4 @0.4,0.3", "untouched", ()),
        (None, None, "unplaced", ()),
    ]
    (gone,) = drawn("- [ ] 1 (p1) a", before, {"2": b"two"})
    assert told(gone) == ("p1", None, "cut", ("open-but-changed",))


def test_words_on_a_page_picture_are_looked_up_in_its_script() -> None:
    (found,) = drawn('- [ ] 1 ("You said the map") a', {"1": b"one"}, {"1": b"one"})
    assert found.place_now == 'p2.2 "You said the map"'


def test_a_note_on_the_script_answered_in_a_drawing() -> None:
    note = "- [x] 1 (p2.2) Show the map.\n  - done in inks-2: drawn in"
    again = [{"2": b"two"}, {"2": b"two again"}, {"2": b"two again"}]
    (found,) = followed(note, FIRST, FIRST, art={"inks": again})
    assert told(found) == ("p2.2", "p2.2", "redrawn", ())
    (found,) = followed(note, FIRST, FIRST, art={"inks": [{"2": b"two"}] * 3})
    assert found.standing == ("done-but-untouched",)
    (found,) = followed(note, FIRST, FIRST, art={"inks": [*again[:2], {"2": b"two"}]})
    assert found.standing == ("done-then-undone",)


def test_the_drawing_is_looked_for_under_the_number_its_script_gave_it() -> None:
    note = "- [x] 1 (p2.2) Show the map.\n  - done in inks-2: drawn in"
    inks = [{"4": b"a street"}, {"4": b"the office"}, {"4": b"the office"}]
    (found,) = followed(note, FIRST, TWO_PAGES_BEFORE, TWO_PAGES_BEFORE, art={"inks": inks})
    assert told(found) == ("p2.2", "p4.2", "redrawn", ())


def test_two_readers_on_one_spot_of_a_picture() -> None:
    rounds = [
        read_notes(f"notes/{name}.md", f"on: inks-1\n\n- [ ] 1 (p1 @{spot}) a\n".encode())
        for name, spot in (("bo", "0.9,0.3"), ("ida", "0.42,0.31"), ("marsh", "0.44,0.3"))
    ]
    found = follow_notes(rounds, NoteHistory(Kept({"script": [FIRST]}, {"inks": [{"1": b"one"}] * 2})))
    assert [each.beside for each in found] == [(), ("marsh/1",), ("ida/1",)]
