"""Pages that rest on what has changed since, in a book of four pages."""

from __future__ import annotations

import pytest
from PIL import Image, ImageDraw

from ledger.judge.resting import findings
from ledger.judge.resting.made_from import AND, blob_id, made_from
from ledger.model.finding import Finding
from ledger.read.state import BookState
from tests.judge.rounds import Book
from tests.pictures.drawn import inked, saved
from tests.usual_passes import usual_passes

TOML = """
[book]
title = "The Ninth Supper"
pages = 4
[cast]
N = "Nell"
J = "Joren Pike"
""" + usual_passes("script", "pencils", "inks", "letters", suffix="*")
SCRIPT = """\
[page 1]
[panel 1]
Rain on tin.

N: Is that you?
J: It's the rent.

[panel 2]
CAP: Later.

[page 2]
[panel 1]
The slipway, empty.

N: Gone.
"""
LINES = {number: saved(inked(number)) for number in range(1, 9)}


def stale_pages(state: BookState, kinds: dict[tuple[str, str], str] | None = None) -> tuple[Finding, ...]:
    return findings.stale_findings(findings.stale(state, kinds))


def book(script: str = SCRIPT) -> Book:
    """Script entered, both pages pencilled and inked from it."""
    made = Book(TOML).put({"script/01.md": script})
    made.enter("script")
    made.put({"art/pencils/p001.png": LINES[1], "art/pencils/p002.png": LINES[2]}).enter("pencils")
    made.put({"art/inks/p001.png": LINES[3], "art/inks/p002.png": LINES[4]}).enter("inks")
    return made


def told(made: Book, *, unseen: bool = False) -> list[Finding]:
    found = list(stale_pages(made.state(unseen=unseen)))
    assert {finding.rule for finding in found} <= {"page-stale"}
    assert {finding.level for finding in found} <= {"query"}
    return found


def stale(made: Book) -> list[str]:
    """The exports that are stale."""
    return [finding.path for finding in told(made) if finding.path]


def rewritten(made: Book, old: str, new: str) -> Book:
    text = made.files["script/01.md"].decode()
    assert old in text
    made.put({"script/01.md": text.replace(old, new)})
    return made


def test_nothing_changed_nothing_stale() -> None:
    assert told(book()) == []
    assert told(book(), unseen=True) == []


def test_a_book_without_rounds_has_no_stale_pages() -> None:
    assert told(Book(TOML).put({"script/01.md": SCRIPT, "art/inks/p001.png": LINES[1]})) == []


CHANGES = {
    "a panel added": ("CAP: Later.", "CAP: Later.\n\n[panel 3]", "panel 3 is new"),
    "a line cut": ("J: It's the rent.\n", "", "panel 1 has a line fewer"),
    "a line added": ("N: Gone.", "N: Gone.\nJ: Gone?", "panel 1 has a line more"),
    "another mouth": ("J: It's", "N: It's", "panel 1 has a new speaker (Nell)"),
    "two lines exchanged": (
        "N: Is that you?\nJ: It's the rent.", "J: It's the rent.\nN: Is that you?", "lines of panel 1 changed places",
    ),
    "action": ("Rain on tin.", "Snow on tin.", "the action of panel 1 is rewritten"),
}  # fmt: skip


@pytest.mark.parametrize("what", CHANGES)
def test_what_a_drawing_has_to_follow(what: str) -> None:
    old, new, words = CHANGES[what]
    page = 2 if what == "a line added" else 1
    found = told(rewritten(book(), old, new))
    assert [finding.path for finding in found] == [f"art/pencils/p00{page}.png", f"art/inks/p00{page}.png"]
    assert found[0].message == (f"page {page} of pencils rests on script-1, changed since (in no round yet): {words}")
    assert found[0].page == str(page)
    assert found[0].remedy == (
        "make it again and enter it; if it holds as it is: "
        f'inkledger enter pencils --pages {page} --stands -m "why"'
    )  # fmt: skip


def test_an_earlier_script_that_is_not_here_still_says_that_something_changed() -> None:
    made = rewritten(book(), "Rain", "Snow")
    made.state()
    del made.drawer.held[blob_id(SCRIPT.encode())]
    (finding, _) = stale_pages(made.state())
    assert finding.message.endswith(
        "changed since (in no round yet): its panels, lines, speakers or action have changed"
    )


def test_reworded_balloons_are_told_once_and_make_no_drawing_stale() -> None:
    found = told(rewritten(rewritten(book(), "Is that you?", "Who is it?"), "Gone.", "All gone."))
    (finding,) = found
    assert finding.path is finding.page is None
    assert finding.message == (
        "words only: pages 1-2 of script were reworded after pencils, inks; the drawings stand as they are"
    )


def test_reworded_balloons_make_stale_what_locks_wording() -> None:
    made = book().put({"art/letters/p001.png": LINES[5], "art/letters/p002.png": LINES[6]})
    made.enter("letters")
    found = told(rewritten(made, "Is that you?", "Who is it?"))
    assert [finding.path for finding in found] == ["art/letters/p001.png", None]
    assert found[0].message == (
        "page 1 of letters rests on script-1, changed since (in no round yet): the words of panel 1, nothing else"
    )


@pytest.mark.parametrize("new", ["[page 1]\n\n<!-- see map -->", "PAGE ONE"])
def test_notation_makes_nothing_stale(new: str) -> None:
    assert told(rewritten(book(), "[page 1]", new)) == []


def test_another_picture_upstream() -> None:
    made = book().put({"art/pencils/p002.png": LINES[7]})
    (finding,) = told(made)
    assert finding.message == (
        "page 2 of inks rests on pencils-1, changed since (in no round yet): panels 1 and 2 were redrawn"
    )
    assert [f.path for f in told(made, unseen=True)] == ["art/inks/p002.png"]


def touched(top: float, left: float = 0.06) -> bytes:
    """The first page with a black laid over a part of it, in a grid of four panels."""
    page = four_panels()
    width, height = page.size
    spot = (width * (left + 0.08), height * (top + 0.1), width * (left + 0.3), height * (top + 0.25))
    ImageDraw.Draw(page).rectangle(spot, fill=0)
    return saved(page)


def four_panels() -> Image.Image:
    page = Image.new("1", (600, 900), 1)
    pen = ImageDraw.Draw(page)
    for top in (0.05, 0.51):
        for left in (0.06, 0.51):
            box = (600 * left, 900 * top, 600 * (left + 0.43), 900 * (top + 0.44))
            pen.rectangle(box, outline=0, width=4)
            pen.ellipse((box[0] + 40, box[1] + 60, box[0] + 160, box[1] + 200), outline=0, width=3)
            pen.line((box[0] + 20, box[3] - 30, box[2] - 20, box[3] - 90), fill=0, width=3)
    return page


@pytest.mark.parametrize(("reading", "panel"), [("ltr", 2), ("rtl", 1)])
def test_the_panels_that_were_drawn_anew_are_named_the_way_the_book_is_read(reading: str, panel: int) -> None:
    made = Book(TOML.replace("pages = 4", f'pages = 4\nreading = "{reading}"')).put({"script/01.md": SCRIPT})
    made.enter("script")
    made.put({"art/pencils/p001.png": saved(four_panels())}).enter("pencils")
    made.put({"art/inks/p001.png": LINES[3]}).enter("inks")
    made.put({"art/pencils/p001.png": touched(0.05, 0.51)}).enter("pencils")
    kinds: dict[tuple[str, str], str] = {}
    (finding,) = stale_pages(made.state(), kinds)
    assert finding.message == f"page 1 of inks rests on pencils-1, now pencils-2: panel {panel} was redrawn"
    assert stale_pages(made.state(), kinds) == (finding,), "remembered with its panels"
    assert [kept.partition(":")[2] for kept in kinds.values()] == [str(panel)]


@pytest.mark.parametrize("kept", ["redrawn:", "redrawn:x,-1,\u00b2", f"redrawn:{'9' * 5000}"])
def test_a_damaged_memory_names_no_panel(kept: str) -> None:
    made = book().put({"art/pencils/p002.png": LINES[7]})
    (finding,) = stale_pages(made.state(), {(blob_id(LINES[2]), blob_id(LINES[7])): kept})
    assert finding.message.endswith("the page was redrawn")


def test_what_was_found_the_other_way_round_is_not_believed() -> None:
    made = book().put({"art/pencils/p002.png": LINES[7]})
    kinds: dict[tuple[str, str], str] = {}
    stale_pages(made.state(), kinds)
    made.put({"book.toml": TOML.replace("pages = 4", 'pages = 4\nreading = "rtl"')})
    stale_pages(made.state(), kinds)
    assert len(kinds) == 2


def test_the_same_picture_saved_again_upstream() -> None:
    again = saved(inked(2), "TIFF", compression="group4")
    made = book().gone("art/pencils/p002.png").put({"art/pencils/p002.tif": again})
    assert told(made) == []
    assert told(made, unseen=True) == []


def test_an_upstream_picture_that_is_gone() -> None:
    (finding,) = told(book().gone("art/pencils/p001.png"))
    assert finding.message == (
        "page 1 of inks rests on pencils-1, changed since (in no round yet): pencils no longer has a picture of it"
    )


def test_an_earlier_upstream_picture_that_is_not_here() -> None:
    made = book().put({"art/pencils/p002.png": LINES[7]})
    made.state()
    del made.drawer.held[blob_id(LINES[2])]
    (finding,) = stale_pages(made.state())
    assert "can't be had to say how" in finding.message


def test_several_pictures_are_looked_at_together_and_each_once(monkeypatch: pytest.MonkeyPatch) -> None:
    made = book().put({"art/pencils/p001.png": LINES[5], "art/pencils/p002.png": LINES[2][:200]})
    kinds: dict[tuple[str, str], str] = {}
    monkeypatch.setattr("ledger.pictures.guarded.became", None)
    said = [finding.message for finding in stale_pages(made.state(), kinds)]
    assert [message.rpartition(": ")[2] for message in said] == [
        "panels 1 and 2 were redrawn", "its picture has changed, and the earlier one can't be had to say how",
    ]  # fmt: skip
    assert list(kinds.values()) == ["redrawn:1,2"]


def test_several_reasons_stand_in_one_finding() -> None:
    made = rewritten(book().put({"art/pencils/p001.png": LINES[7]}), "[panel 2]\nCAP: Later.\n", "")
    made.enter("pencils", "1")
    (finding,) = told(made)
    assert finding.message == (
        "page 1 of inks rests on pencils-1, now pencils-2: panels 1 and 2 were redrawn; "
        "and on script-1, changed since (in no round yet): panel 2 of the old count was cut"
    )


def test_a_page_cut_from_the_script() -> None:
    found = told(rewritten(book(), "[page 2]\n[panel 1]\nThe slipway, empty.\n\nN: Gone.\n", ""))
    assert [finding.message for finding in found] == [
        "page 2 of pencils rests on script-1, changed since (in no round yet): script no longer has the page",
        "page 2 of inks rests on script-1, changed since (in no round yet): script no longer has the page",
    ]


def test_a_page_that_got_another_number_is_named() -> None:
    made = rewritten(book(), "[page 2]", "[page 2]\n[panel 1]\nA gull.\n\n[page 3]")
    assert told(made)[0].message == (
        "page 2 of pencils rests on script-1, changed since (in no round yet): "
        "what it was made from is page 3 of script now"
    )


def test_a_page_made_again_and_entered_is_no_longer_stale() -> None:
    made = rewritten(book(), "Rain", "Snow").put({"art/pencils/p001.png": LINES[7]})
    made.enter("pencils", "1")
    assert stale(made) == ["art/inks/p001.png"]
    made.put({"art/inks/p001.png": LINES[8]}).enter("inks", "1")
    assert stale(made) == []


def test_a_new_picture_that_is_not_entered_yet_is_told_to_be_entered() -> None:
    made = rewritten(book(), "Rain", "Snow").put({"art/pencils/p001.png": LINES[7]})
    for finding in (told(made)[0], told(made, unseen=True)[0]):
        assert finding.remedy == (
            "its picture is a new one: if that follows the change, enter it: inkledger enter pencils --pages 1"
        )


def test_a_page_that_was_looked_at_and_stands() -> None:
    made = rewritten(book(), "Rain", "Snow")
    made.enter("pencils", "1", stands="the weather is off panel")
    assert stale(made) == ["art/inks/p001.png"]
    rewritten(made, "Snow", "Hail")
    assert "art/pencils/p001.png" in stale(made)


def test_a_picture_older_than_the_script_it_is_entered_with() -> None:
    made = rewritten(book(), "Rain", "Snow")
    made.enter("script")
    made.put({"art/pencils/p002.png": LINES[7]}).enter("pencils")
    found = [finding for finding in told(made) if finding.path == "art/pencils/p001.png"]
    assert [finding.message for finding in found] == [
        "page 1 of pencils rests on script-1, now script-2: the action of panel 1 is rewritten "
        "(this picture is from pencils-1)"
    ]


def test_what_it_was_made_from_can_be_stated() -> None:
    earlier = Book(TOML).put({"script/01.md": SCRIPT})
    made = rewritten(book(), "Rain", "Snow").put({"art/pencils/p001.png": LINES[7]})
    made.enter("pencils", "1", of=earlier)
    assert "art/pencils/p001.png" in stale(made)


def test_pages_whose_export_is_gone_are_left_out() -> None:
    made = rewritten(book(), "Rain", "Snow").gone("art/pencils/p001.png").gone("art/inks/p001.png")
    assert stale(made) == []


def test_an_unreadable_script_is_a_changed_one_not_a_crash() -> None:
    made = book().put({"script/01.md": b"\xff\xfe\x00"})
    assert stale(made) != []


def test_what_a_page_is_made_from() -> None:
    state = book().state()
    inks, script = state.book.pass_named("inks"), state.book.pass_named("script")
    assert inks is not None
    assert script is not None
    made = made_from(state, inks, ["1", "9"])
    assert set(made) == {"1"}
    assert made["1"]["pencils"] == blob_id(LINES[1])
    assert len(made["1"]["script"].split("-")) == 2
    assert made_from(state, script, ["1"]) == {}


def test_a_spread_rests_on_both_its_halves() -> None:
    made = book().put({"art/inks/p001-002.png": saved(inked(8))}).gone("art/inks/p001.png").gone("art/inks/p002.png")
    made.enter("inks")
    inks = made.state().book.pass_named("inks")
    assert inks is not None
    assert made_from(made.state(), inks, ["1-2"])["1-2"]["pencils"] == f"{blob_id(LINES[1])}{AND}{blob_id(LINES[2])}"
    assert stale(made) == []
    (finding,) = told(made.put({"art/pencils/p002.png": LINES[7]}))
    assert finding.message == (
        "the spread 1-2 of inks rests on pencils-1, changed since (in no round yet): the page was redrawn"
    )
