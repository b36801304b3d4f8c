"""What a comparison looks like on a terminal."""

from __future__ import annotations

from ledger.model.change import CastChange, Comparison, DraftChange, LineChange, PictureChange, SceneChange, Side
from ledger.model.finding import Finding
from ledger.render.changes.text import compare_text
from ledger.render.plain import columns, visible
from tests.render.drafts import ROOF, STAIRS, said, scene, whole


def first_screen(text: str) -> str:
    return "\n".join(text.split("\n")[:24])


def test_totals_and_weighty_scenes_come_first() -> None:
    screen = first_screen(compare_text(whole()))
    assert "script-3 → your files now" in screen
    assert "words 4,210 → 4,388 (+178), scenes 21 → 22, pages 48 → 49, panels 231 → 240" in screen
    for row in (
        'split   p1-2  "Harbour office" into "Harbour office" + "Behind the desk"',
        'cut     p4    "Gulls", Chapter 1: The tide gauge',
        'new     p6    "The lamp", Chapter 2: The flood',
        'moved   p5    "Roof", Chapter 2: The flood → Chapter 1: The tide gauge',
        "Renamed throughout: Tom is now Tomas Arde.",
        "Pages 2-3 became 3-4: every side flips.",
    ):
        assert row in screen


def test_lines_tell_what_changed_in_them() -> None:
    text = compare_text(whole())
    assert "  p1.2  Wren: You said the <map → chart> was <+ still> here." in text
    assert "  p1.3  Tomas Arde's line, now Ada's: It was." in text
    assert "  p2.2  new: Ada: He moved it last night." in text
    assert "  p4.1  cut: action: Gulls on the rail." in text
    assert "  redrawn: p3 (panel 2)" in text


def test_small_polish_is_counted_until_it_is_asked_for() -> None:
    assert "1 small change of wording (--all shows it)" in compare_text(whole())
    unfolded = compare_text(whole(), everything=True)
    assert "small change" not in unfolded
    assert "nobody." in unfolded


def test_lines_that_stayed_are_shown_on_request() -> None:
    assert "Three hours to high water." not in compare_text(whole())
    assert "CAPTION: Three hours to high water." in compare_text(whole(), all_lines=True)


def test_nothing_changed_is_one_sentence() -> None:
    kept = SceneChange("kept", (STAIRS,), (STAIRS,), lines=(LineChange("same", STAIRS.lines[0], STAIRS.lines[0]),))
    text = compare_text(Comparison(Side("script-3", 9, 1), Side("script-4", 9, 1), DraftChange((kept,))))
    assert text.endswith("\n\nNothing has changed.")


def test_a_shifted_title_is_no_silence() -> None:
    renamed = SceneChange("kept", (STAIRS,), (STAIRS._replace(title="Up the stairs"),), renamed=True)
    text = compare_text(Comparison(Side("a", 9, 1), Side("b", 9, 1), DraftChange((renamed,))))
    assert '"The stairs" → "Up the stairs" (p3): new title' in text


def many(count: int) -> Comparison:
    """A draft of which so many scenes with long titles were cut, one a page."""
    title = "Scene {}, in which the tide comes in over the wall"
    scenes = [scene(title.format(n), said(f"{n}.1", "Wren", "No.")) for n in range(1, count + 1)]
    cut = [SceneChange("cut", (each,), ()) for each in scenes]
    return Comparison(Side("script-1", 900, count), Side("script-2", 0, 0), DraftChange(tuple(cut)))


def test_many_weighty_scenes_still_fit_the_first_screen() -> None:
    for count in (5, 18, 30, 60, 150):
        screen = first_screen(compare_text(many(count)))
        for number in range(1, count + 1):
            assert f"p{number} " in screen or f"p{number}," in screen or f"p{number}\n" in screen, (count, number)


def test_hundreds_of_scenes_are_told_by_their_pages() -> None:
    screen = first_screen(compare_text(many(700)))
    assert "cut:    700 scenes, p1-700" in screen


def test_a_character_renamed_throughout_floods_nothing() -> None:
    old = said("1.1", "", "Tomas waits. Nobody but Tomas is out.", "action")
    line = LineChange("reworded", old, old._replace(text="Ilan waits. Nobody but Ilan is out."))
    other = LineChange("reworded", old, old._replace(text="Ilan waits. Wren and Ilan are out."))
    change = SceneChange("polished", (STAIRS,), (STAIRS,), similarity=0.9, lines=(line, other))
    cast = CastChange(renamed=(("Tomas Arde", "Ilan Arde"),))
    comparison = Comparison(Side("a", 9, 1), Side("b", 9, 1), DraftChange((change,), cast))
    text = compare_text(comparison)
    assert "Renamed throughout: Tomas Arde is now Ilan Arde." in text
    assert "1 small change of wording" in text
    assert text.count("Ilan waits.") == 1
    assert "<Tomas → Ilan> waits. Nobody but <Tomas → Ilan> is out." in compare_text(comparison, everything=True)


def test_no_row_is_wider_than_the_terminal() -> None:
    wide = ROOF._replace(title="潮位計 " * 30, chapter="Kapitel " * 30)
    change = SceneChange("new", (), (wide,), lines=(LineChange("added", None, said("5.1", "Wren", "w" * 300)),))
    shown = compare_text(Comparison(Side("a", 9, 1), Side("b", 9, 1), DraftChange((change,))))
    every = "\n".join([shown, compare_text(many(60)), compare_text(whole())])
    assert max(columns(row) for row in every.split("\n")) <= 80


def test_words_from_a_file_cannot_steer_the_terminal() -> None:
    evil = STAIRS._replace(title="\x1b[2J", lines=(said("1.1", "W\x07", "\x1b[31mred"),))
    change = SceneChange("new", (), (evil,), lines=(LineChange("added", None, evil.lines[0]),))
    text = compare_text(Comparison(Side("a", 9, 1), Side("b", 9, 1), DraftChange((change,))))
    assert visible(text) == text
    assert "\\x1b[31mred" in text


def test_findings_stand_at_the_end() -> None:
    found = Finding("export-unreadable", "query", "half a picture", "art/inks/p003.png", page="3")
    text = compare_text(whole()._replace(findings=(found,)))
    assert "look: export-unreadable" in text.split("Pictures of inks")[1]


def test_between_two_passes_it_is_said_what_was_judged() -> None:
    across = Comparison(Side("pencils", pages=4), Side("inks", pages=4), across=True)
    text = compare_text(across)
    assert "No page is laid out anew." in text
    assert "Between two passes only the layout is judged" in text
    assert "Nothing has changed." not in text
    told = compare_text(across._replace(pictures=(PictureChange("inks", "3", "layout"),)))
    assert "No page is laid out anew." not in told
    assert "only the layout is judged" in told
    assert "only the layout" not in compare_text(across._replace(across=False))
