"""Places, pages that came and went, and other short words of the renderers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.change import LineChange, PageChange, PanelChange, SceneChange
from ledger.model.script import Line, Scene
from ledger.render.changes.page_runs import page_sentences, page_totals, panel_sentence
from ledger.render.changes.scene_lines import said, scene_heading, scene_text
from ledger.render.places import (
    line_place,
    line_ref,
    mouth,
    page_ref,
    pages_ref,
    scene_name,
    scene_place,
    scene_ref,
    side_text,
)
from tests.render.drafts import GULLS, OFFICE, STAIRS, office_split
from tests.render.drafts import said as spoken


def test_labels_of_pages() -> None:
    assert [page_ref(label) for label in ("12", "24-25", "f1", "b2", "cover")] == ["p12", "p24-25", "f1", "b2", "cover"]
    assert pages_ref(["13", "12", "15"]) == "p12-13,15"
    assert pages_ref(["cover"]) == "cover" and pages_ref([]) == ""


@pytest.mark.parametrize(
    ("name", "told"),
    [(".", "your files now"), ("", "your files now"), (":index", "what is about to be recorded"),
     ("entered", "the newest rounds"), ("script-3", "script-3"), ("old\ndraft\x07.md", "old draft\\x07.md")],
)  # fmt: skip
def test_sides_in_words(name: str, told: str) -> None:
    assert side_text(name) == told


def unpaged(row: int, path: str = "script/01.md") -> Line:
    return Line(path, row, row, "dialogue", "Wren", "Up.")


def test_places_of_lines() -> None:
    old, new = spoken("12.3", "Wren", "Up."), spoken("13.1", "Wren", "Up.")
    assert line_ref(spoken("12", "Wren", "Up.")) == "p12"
    assert line_place(LineChange("moved", old, new)) == "p12.3 → p13.1"
    assert line_place(LineChange("same", old, old)) == "p12.3"
    assert line_place(LineChange("cut", old, None)) == "p12.3"
    assert line_place(LineChange("reworded", unpaged(14), unpaged(20))) == "01.md:20"
    assert line_place(LineChange("cut", unpaged(14), None)) == "01.md:14"
    assert line_place(LineChange("moved", unpaged(14), new)) == "p13.1"


def test_places_of_scenes() -> None:
    assert scene_place(SceneChange("kept", (OFFICE,), (STAIRS,))) == "p1-2 → p3"
    loose = Scene(0, "", "", "script/01.md", 3, (unpaged(3),))
    other = loose._replace(path="script/02.md", line=9)
    assert scene_ref([loose, loose._replace(line=7), other]) == "01.md:3,7, 02.md:9"
    assert scene_place(SceneChange("kept", (loose,), (other,))) == "02.md:9"


@pytest.mark.parametrize(
    ("scene", "name"),
    [
        (Scene(0, "Chapter 1", "Stairs", "script/01.md", 3), "Stairs"),
        (Scene(0, "Chapter 1", "", "script/01.md", 3, (unpaged(3),), headed=False), "opening of Chapter 1"),
        (Scene(0, "Chapter 1", "", "script/01.md", 3, headed=False), "Chapter 1"),
        (Scene(0, "", "", "script/01.md", 3, headed=False), "opening of 01.md"),
        (Scene(0, "", "", "script/01.md", 3, headed=True), "opening of 01.md"),
    ],
)
def test_a_scene_without_a_title_is_named_by_where_it_stands(scene: Scene, name: str) -> None:
    assert scene_name(scene) == name


@pytest.mark.parametrize(
    ("role", "who", "cue", "told"),
    [("dialogue", "Wren", "", "Wren"), ("caption", "", "CAP", "CAPTION"), ("caption", "Wren", "CAP", "CAPTION (Wren)"),
     ("sfx", "", "", "SFX"), ("sfx", "Wren", "", "SFX (Wren)"), ("action", "Wren", "", "action"),
     ("dialogue", "", "RADIO", "RADIO"), ("dialogue", "", "", "a voice")],
)  # fmt: skip
def test_who_says_it(role: str, who: str, cue: str, told: str) -> None:
    assert mouth(Line("a.md", 1, 1, role, who, "x", cue=cue)) == told


# -- pages that came and went


def moved(first: int, last: int, step: int) -> list[PageChange]:
    return [PageChange("kept", str(n), str(n + step)) for n in range(first, last + 1)]


@pytest.mark.parametrize(
    ("pages", "told"),
    [
        ([], []), (moved(1, 9, 0), []),
        ([PageChange("added", None, "13")], ["page 13 is new"]),
        ([PageChange("added", None, "13"), PageChange("added", None, "14")], ["pages 13-14 are new"]),
        ([PageChange("added", None, "24-25")], ["pages 24-25 are new"]),
        ([PageChange("cut", "4", None)], ["page 4 of the old count was cut"]),
        ([PageChange("cut", "4", None), PageChange("cut", "9", None)], ["pages 4,9 of the old count were cut"]),
        (moved(13, 28, 1), ["pages 13-28 became 14-29: every side flips"]),
        (moved(13, 28, -2), ["pages 13-28 became 11-26: left and right stay as they were"]),
        (moved(13, 13, 1), ["page 13 became 14: its side flips"]),
        (moved(13, 13, 2), ["page 13 became 15: its side stays"]),
        (moved(5, 6, 1) + moved(1, 2, 2), ["pages 1-2 became 3-4: left and right stay as they were",
                                           "pages 5-6 became 6-7: every side flips"]),
        ([PageChange("kept", "f1", "f2"), PageChange("kept", "cover", "cover")], []),
    ],
)  # fmt: skip
def test_what_became_of_the_pages(pages: list[PageChange], told: list[str]) -> None:
    assert page_sentences(pages) == told


@given(st.lists(st.integers(1, 60), unique=True, max_size=12), st.integers(-5, 5).filter(bool))
def test_every_renumbered_page_is_told_once(numbers: list[int], step: int) -> None:
    changes = [PageChange("kept", str(n + 5), str(n + 5 + step)) for n in numbers]
    told = page_sentences(changes)
    named: list[int] = []
    for sentence in told:
        first, _, last = sentence.split(" became ")[0].split()[1].partition("-")
        named += range(int(first), int(last or first) + 1)
    assert sorted(named) == sorted(n + 5 for n in numbers)
    assert all(("flip" in sentence) == (step % 2 == 1) for sentence in told)


def test_panels_that_came_and_went() -> None:
    panels = [
        PanelChange("kept", 1, 1),
        PanelChange("added", None, 3),
        PanelChange("cut", 4, None),
        PanelChange("cut", 5, None),
    ]
    assert panel_sentence(panels) == "panel 3 is new, panels 4-5 of the old count were cut"
    assert panel_sentence(panels[:1]) == ""


def test_a_spread_counts_as_two() -> None:
    pages = [
        PageChange("added", None, "24-25"),
        PageChange("added", None, "f1"),
        PageChange("cut", "3", None),
        *moved(4, 5, 1),
    ]
    assert page_totals(pages) == "3 pages added, 1 cut, 2 renumbered"
    assert page_totals(pages[2:3]) == "1 page cut" and page_totals([]) == ""


# -- a scene line by line


def test_a_scene_in_which_nothing_asks_to_be_told_is_silent() -> None:
    kept = SceneChange("kept", (STAIRS,), (STAIRS,), lines=tuple(LineChange("same", x, x) for x in STAIRS.lines))
    assert scene_text(kept, polish=False, same=False) == ""
    assert "= Wren: Up. Now." in scene_text(kept, polish=False, same=True)
    assert scene_text(kept._replace(moved=True), polish=False, same=False) == '"The stairs" (p3): moved'


def test_small_changes_are_counted_unless_asked_for() -> None:
    line = spoken("1.1", "Wren", "You said the map was here, Tomas, and it was not here.")
    lines = tuple(
        LineChange("reworded", line, line._replace(text=line.text.replace("here.", f"here{sign}"))) for sign in "!?"
    )
    change = SceneChange("polished", (OFFICE,), (OFFICE,), lines=lines)
    assert scene_text(change, polish=False, same=False).endswith("  2 small changes of wording (--all shows them)")
    one = scene_text(change._replace(lines=lines[:1]), polish=False, same=False)
    assert one.endswith("  1 small change of wording (--all shows it)")
    assert "small change" not in scene_text(change, polish=True, same=False)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (SceneChange("cut", (GULLS,), ()), '"Gulls" (p4): cut'),
        (SceneChange("new", (), (GULLS,)), '"Gulls" (p4): new'),
        (
            SceneChange("rewritten", (GULLS,), (GULLS,), similarity=0.3),
            '"Gulls" (p4): rewritten, 30% of its words stayed',
        ),
        (SceneChange("merged", (GULLS, STAIRS), (GULLS,)), '"Gulls" + "The stairs" (p3-4 → p4): merged into "Gulls"'),
        (
            SceneChange("kept", (GULLS,), (GULLS._replace(title="Birds"),), moved=True, renamed=True),
            '"Gulls" → "Birds" (p4): moved, new title',
        ),
        (office_split(), '"Harbour office" (p1-2): split into "Harbour office" and "Behind the desk"'),
    ],
)
def test_what_happened_to_a_scene(change: SceneChange, told: str) -> None:
    assert scene_heading(change) == told


def test_what_happened_to_a_line() -> None:
    old, new = spoken("1.1", "Wren", "It was."), spoken("1.1", "Ada", "It was.")
    assert said(LineChange("cut", old, None)) == ["cut: Wren: It was."]
    assert said(LineChange("added", None, new)) == ["new: Ada: It was."]
    assert said(LineChange("reassigned", old, new)) == ["Wren's line, now Ada's: It was."]
    assert said(LineChange("moved", old, old)) == ["moved: Wren: It was."]
    assert said(LineChange("same", old, new)) == ["= Wren → Ada: It was."]
    assert said(LineChange("reworded", old, old._replace(text="Nobody came at all."))) == [
        "Wren: It was.",
        "→ Nobody came at all.",
    ]
