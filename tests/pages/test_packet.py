"""Reading packets in a real browser, by keyboard alone: from opening to `notes import`."""

from __future__ import annotations

import io
import re
from itertools import pairwise
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page
from pypdf import PdfReader

from ledger.desk.lending.packets import PacketWish, packet
from ledger.read.notes import read_notes
from ledger.render.lending.packet_page import packet_html
from tests.pages.conftest import Open
from tests.pages.test_memo_page import SCHEMES, WIDTHS
from tests.pages.test_memo_pictures import pictures_of
from tests.typed_book import TypedBook, typed_book

pytestmark = pytest.mark.needs_chromium

#: What a reader or a script may hold that is anything but words to somebody.
HOSTILE = "</script><script>document.title='owned'</script><img src=x onerror=alert(1)> \u202e\u2066turned & \"quoted\""
#: The worst for a notes file: rows that would read as notes, replies, fields, headings, code or comments.
ROWS = ["- [x] 9 (p1) not a note", "  - done: not a reply", "from: nobody", "# no heading", "", "```", "<!-- no",
        "> no quote", "-- ", "\\ a backslash", HOSTILE]  # fmt: skip
REFUSES = "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError'); }})"


@pytest.fixture(scope="module")
def entered(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = typed_book(tmp_path_factory.mktemp("packet") / "book")
    hostile = HOSTILE.replace('"', "'").replace("\u202e", "\\u202e").replace("\u2066", "\\u2066")
    book.change("book.toml", 'title = "The Ninth Supper"', f'title = "Supper {hostile}"')
    book.change("script/01.md", "N: Push.", f"N: Push {HOSTILE}")
    book.ledger("enter", "script", "-m", "first draft")
    for page in range(1, 5):
        book.draw("pencils", f"{page:03d}", page * 5)
    book.ledger("enter", "pencils", "-m", "drawn")
    return book


@pytest.fixture(scope="module")
def script(entered: TypedBook) -> str:
    return packet_html(packet(entered.top, PacketWish("script", words=f"Dear Marsh,\n{HOSTILE}")).packet)


@pytest.fixture(scope="module")
def pencils(entered: TypedBook) -> str:
    return packet_html(packet(entered.top, PacketWish("pencils")).packet)


def shown(page: Page) -> list[str]:
    """Names of the pages that are shown, in the order in which they are read."""
    return page.locator(".page:visible").evaluate_all("(all) => all.map((one) => one.getAttribute('aria-label'))")


def tab_to(page: Page, name: str, role: str = "button") -> None:
    """Presses Tab until what bears this name has the focus."""
    wanted = page.get_by_role(role, name=name, exact=True)  # type: ignore[arg-type]
    for _ in range(60):
        page.keyboard.press("Tab")
        if wanted.count() and wanted.evaluate("(one) => one === document.activeElement"):
            return
    raise AssertionError(f"Tab does not reach {name!r}")


def again(page: Page) -> None:
    """Opens the packet once more in its window, until it is usable."""
    page.reload()
    page.wait_for_selector("html[data-ready]")


def type_note(page: Page, where: str, text: str, **fields: str) -> None:
    """Writes a note by keyboard: `where` ends the button's name, `fields` are the others by their labels."""
    tab_to(page, f"Add a note to {where}")
    page.keyboard.press("Enter")
    page.keyboard.insert_text(text)
    for label, value in fields.items():
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.labels[0].textContent.trim()").startswith(label)
        page.keyboard.type(value)
    tab_to(page, "Keep note")
    page.keyboard.press("Enter")


def give_name(page: Page, name: str) -> None:
    tab_to(page, "Your name", "textbox")
    page.keyboard.insert_text(name)
    page.keyboard.press("Enter")


def save(page: Page, to: Path) -> str:
    """Presses "Save notes"; gives what was saved."""
    tab_to(page, "Save notes")
    with page.expect_download() as coming:
        page.keyboard.press("Enter")
    packet_name = page.evaluate("document.documentElement.dataset.packet")
    assert coming.value.suggested_filename == f"{packet_name}.notes.md"
    coming.value.save_as(to)
    return to.read_text("utf-8")


@pytest.mark.parametrize("refuse", [False, True], ids=["kept", "refused"])
def test_from_opening_to_import(
    open_page: Open, entered: TypedBook, pencils: str, tmp_path: Path, refuse: bool
) -> None:
    page = open_page(pencils, init=REFUSES if refuse else "").page
    assert page.evaluate("'ready' in document.documentElement.dataset")
    give_name(page, "E. Marsh")
    assert shown(page) == ["Page 1"]
    page.keyboard.press("ArrowRight")
    assert shown(page) == ["Page 2", "Page 3"]
    type_note(page, "page 2", "Her hand?", Across="42", Down="31")
    type_note(page, "page 3", "\n".join(ROWS))
    said = page.locator("#refused")
    assert said.is_visible() == refuse and (not refuse or "Save them" in said.inner_text())
    saved = save(page, tmp_path / "saved.notes.md")
    assert "from: E. Marsh\non: pencils-1\ndate: 20" in saved and "\nread: 1-3\n" in saved
    book = entered.copied(tmp_path / "book")
    assert book.ledger("notes", "import", str(tmp_path / "saved.notes.md")).out.count("E. Marsh")
    path = next((book.top / "notes").glob("*.md"))
    notes = read_notes("notes/a.md", path.read_bytes()).notes
    assert [(note.anchor.typed, note.state) for note in notes] == [("p2 @0.42,0.31", "open"), ("p3", "open")]
    came = notes[1].text.replace("\u202e", "")
    assert came == "\n".join(row.rstrip() for row in ROWS).replace("\u202e", "")
    before = path.read_bytes()
    assert "here already" in book.ledger("notes", "import", str(tmp_path / "saved.notes.md")).out or (
        path.read_bytes() == before
    )
    assert path.read_bytes() == before and page.title().startswith("Supper")


def test_words_and_panels_of_a_script(open_page: Open, entered: TypedBook, script: str, tmp_path: Path) -> None:
    page = open_page(script).page
    give_name(page, HOSTILE)
    tab_to(page, "Add a note to page 1")
    page.keyboard.press("Enter")
    page.keyboard.insert_text("Too blunt?")
    page.keyboard.press("Tab")
    page.keyboard.type("panel 1")
    page.keyboard.press("Tab")
    page.keyboard.insert_text("the wrong words")
    tab_to(page, "Keep note")
    page.keyboard.press("Enter")
    assert "don't stand" in page.get_by_role("alert").inner_text()
    page.keyboard.press("Control+a")
    page.keyboard.insert_text("It's the rent.")
    tab_to(page, "Keep note")
    page.keyboard.press("Enter")
    saved = save(page, tmp_path / "saved.md")
    assert '- [ ] 1 (p1.1 "It\'s the rent.") Too blunt?\n' in saved
    book = entered.copied(tmp_path / "book")
    book.ledger("notes", "import", str(tmp_path / "saved.md"))
    listed = book.ledger("notes", "list", "--json").document["notes"]
    assert [(each["place_now"], each["evidence"]) for each in listed] == [('p1.1 "It\'s the rent."', "untouched")]
    assert page.title().startswith("Supper </script><script>")


def test_what_is_kept_is_there_after_a_reload(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    give_name(page, "Bo")
    type_note(page, "page 1", HOSTILE, Across="10", Down="90")
    again(page)
    assert page.get_by_role("textbox", name="Your name").count() == 0
    row = page.get_by_role("region", name="Page 1").get_by_role("listitem")
    assert HOSTILE in row.inner_text() and page.locator(".page:visible .ruled").count() == 1
    assert page.get_by_role("textbox").count() == 0


def test_escape_gives_the_focus_back_and_loses_no_word(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    tab_to(page, "Add a note to page 1")
    page.keyboard.press("Enter")
    page.keyboard.insert_text("half a thou")
    page.keyboard.press("ArrowRight")
    assert shown(page) == ["Page 1"], "while somebody types the arrows turn nothing"
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.textContent") == "Add a note to page 1"
    page.keyboard.press("Enter")
    assert page.get_by_role("textbox", name="Note", exact=True).input_value() == "half a thou"


def test_a_click_on_the_picture_is_a_spot(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    picture = page.get_by_role("img", name="Page 1 of pencils")
    box = picture.bounding_box()
    assert box is not None
    picture.click(position={"x": box["width"] / 2, "y": box["height"] / 4})
    assert abs(float(page.get_by_role("spinbutton", name="Across").input_value()) - 50) <= 3
    assert abs(float(page.get_by_role("spinbutton", name="Down").input_value()) - 25) <= 3
    assert page.get_by_role("textbox", name="Note", exact=True).evaluate("(box) => box === document.activeElement")


def test_an_edit_outlives_a_click_and_escape(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    type_note(page, "page 1", "Her hand?", Across="10", Down="90")
    tab_to(page, "Change note 1")
    page.keyboard.press("Enter")
    page.keyboard.press("End")
    page.keyboard.insert_text(" Her left one?")
    page.get_by_role("img", name="Page 1 of pencils").click(position={"x": 25, "y": 20})
    page.keyboard.press("Escape")
    tab_to(page, "Change note 1")
    page.keyboard.press("Enter")
    assert page.get_by_role("textbox", name="Note", exact=True).input_value() == "Her hand? Her left one?"
    assert abs(float(page.get_by_role("spinbutton", name="Across").input_value()) - 50) <= 3


def test_the_same_packet_open_twice_keeps_the_notes_of_both(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    other = page.context.new_page()
    other.goto(page.url)
    type_note(page, "page 1", "Here.")
    type_note(other, "page 1", "There.")
    for each in (page, other):
        each.get_by_text("There.").wait_for()
        assert each.locator(".notes .words").all_inner_texts() == ["Here.", "There."]
    other.close()
    again(page)
    assert page.locator(".notes .words").all_inner_texts() == ["Here.", "There."]


def test_copied_notes_are_the_saved_ones(open_page: Open, pencils: str, tmp_path: Path) -> None:
    page = open_page(pencils, permissions=["clipboard-read", "clipboard-write"]).page
    type_note(page, "page 1", "Her hand?")
    saved = save(page, tmp_path / "saved.md")
    tab_to(page, "Copy notes")
    page.keyboard.press("Enter")
    page.get_by_text("The notes are copied").wait_for()
    assert page.evaluate("navigator.clipboard.readText()") == saved


@pytest.mark.parametrize(("reading", "front", "first", "forward"), [
    ("ltr", 0, ["right", "left", "right", "left"], "ArrowRight"),
    ("rtl", 0, ["left", "right", "left", "right"], "ArrowLeft"),
    ("ltr", 1, ["left", "right", "left", "right"], "ArrowRight"),
])  # fmt: skip
def test_pages_lie_on_their_true_sides(
    open_page: Open, entered: TypedBook, tmp_path: Path, reading: str, front: int, first: list[str], forward: str
) -> None:
    book = entered.copied(tmp_path / "book")
    book.change("book.toml", 'reading = "ltr"', f'reading = "{reading}"\nfront_matter = {front}')
    page = open_page(packet_html(packet(book.top, PacketWish("pencils")).packet)).page
    sides = []
    for _ in range(3):
        for name in shown(page):
            box = page.get_by_role("region", name=name, exact=True).bounding_box()
            assert box is not None
            sides.append("left" if box["x"] + box["width"] / 2 < 640 else "right")
        page.keyboard.press(forward)
    assert sides[:4] == first
    back = "ArrowLeft" if forward == "ArrowRight" else "ArrowRight"
    for _ in range(4):
        page.keyboard.press(back)
    assert "Page 1" in shown(page)


def test_chapter_and_scene_are_named_above_their_first_panel(open_page: Open, script: str) -> None:
    page = open_page(script).page
    heads = [each.locator(":is(.chapter, .scene, h3)").all_text_contents() for each in page.locator(".page").all()]
    assert heads == [["Chapter 1: The slipway", "The boat shed", "Panel 1", "Panel 2"],
                     ["The far room", "Panel 1", "Panel 2"], ["Panel 1"], ["Panel 1"]]  # fmt: skip


def test_without_script_everything_is_read(open_page: Open, script: str) -> None:
    page = open_page(script, java_script_enabled=False).page
    assert page.locator(".page:visible").count() == 4
    assert page.locator("button:enabled:visible").count() == 0
    assert "need script" in page.locator("main").inner_text()


@pytest.mark.axe
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing(open_page: Open, axe: str, script: str, pencils: str, scheme: str) -> None:
    for html, fields in ((script, {}), (pencils, {"Across": "10", "Down": "90"})):
        opened = open_page(html, **SCHEMES[scheme])
        type_note(opened.page, "page 1", "Her hand?", **fields)
        tab_to(opened.page, "Add a note to page 1")
        opened.page.keyboard.press("Enter")
        for width in WIDTHS:
            opened.resize(width)
            assert opened.faults(axe) == [], width


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("kind", ["script", "pencils"])
def test_nothing_scrolls_sideways(open_page: Open, request: pytest.FixtureRequest, kind: str, large: bool) -> None:
    opened = open_page(request.getfixturevalue(kind), large=large)
    type_note(opened.page, "page 1", "W" * 90)
    tab_to(opened.page, "Add a note to page 1")
    opened.page.keyboard.press("Enter")
    for width in WIDTHS:
        opened.resize(width)
        assert opened.sideways() <= 0, width


def sheets_of(page: Page) -> list[str]:
    """The words of every printed sheet."""
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert all(sheet.mediabox.width > sheet.mediabox.height for sheet in printed)
    return [re.sub(r"\s+", " ", sheet.extract_text()) for sheet in printed]


def test_in_print_one_spread_to_a_sheet(open_page: Open, script: str, pencils: str) -> None:
    for html in (script, pencils):
        page = open_page(html).page
        type_note(page, "page 1", "Her hand?")
        front, *sheets = sheets_of(page)
        assert "Supper" in front and len(sheets) == 3
        for sheet, names in zip(sheets, (["Page 1"], ["Page 2", "Page 3"], ["Page 4"]), strict=True):
            assert all(name in sheet for name in names)
        assert "Her hand?" in sheets[0]


def test_pictures_in_print_are_whole(open_page: Open, pencils: str) -> None:
    page = open_page(pencils, java_script_enabled=False).page
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert [len(pictures_of(sheet)) for sheet in printed] == [0, 1, 2, 1]
    assert all(bottom >= 0 for sheet in printed for _, bottom, _, _ in pictures_of(sheet))


def test_below_the_pages_the_next_ones_are_turned_to(open_page: Open, pencils: str) -> None:
    """On a phone the arrow keys are not there, and two pages are taller than the glass: the next begin at their top."""
    page = open_page(pencils).page
    page.set_viewport_size({"width": 360, "height": 240})
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    page.get_by_role("button", name="Turn over").click()
    assert shown(page) == ["Page 2", "Page 3"]
    top = page.get_by_role("region", name="Page 2").bounding_box()
    assert top is not None and 0 <= top["y"] < 60
    page.get_by_role("button", name="Turn back").click()
    assert shown(page) == ["Page 1"]
    page.get_by_role("button", name="Turn back").press("Enter")
    assert shown(page) == ["Page 1"] and "first pages" in (page.locator("#told").text_content() or "")


def test_words_that_stand_several_times_on_a_page_are_asked_about(open_page: Open, tmp_path: Path) -> None:
    """Such a note would come back with no one place."""
    book = typed_book(tmp_path / "book")
    book.change("script/01.md", "N: They never came back for supper.", "N: Push.\nSFX: KRRNK")
    book.ledger("enter", "script", "-m", "twice")
    page = open_page(packet_html(packet(book.top, PacketWish("script")).packet)).page
    page.keyboard.press("ArrowRight")
    type_note(page, "page 2", "Again?", About="", Words="Push.")
    assert "several lines" in (page.locator(".wrong").text_content() or "")
    page.get_by_role("combobox", name="About").select_option("panel 2")
    page.get_by_role("button", name="Keep note").click()
    assert "panel 2" in (page.locator(".notes li").text_content() or "")


def test_a_button_that_leads_nowhere_looks_so_and_says_why(open_page: Open, pencils: str) -> None:
    """Marked by its border as well as by its colour; it keeps the focus of who came by keyboard."""
    page = open_page(pencils).page
    buttons = {name: page.get_by_role("button", name=name) for name in ("Previous pages", "Next pages", "Turn back")}

    def dead() -> list[str]:
        found = [name for name, button in buttons.items() if button.get_attribute("aria-disabled") == "true"]
        styles = {
            name: button.evaluate("(b) => getComputedStyle(b).borderTopStyle") for name, button in buttons.items()
        }
        assert {name for name in buttons if styles[name] == "dashed"} == set(found)
        return found

    assert dead() == ["Previous pages", "Turn back"]
    tab_to(page, "Next pages")
    for _ in range(2):
        page.keyboard.press("Enter")
    assert dead() == ["Next pages"] and shown(page) == ["Page 4"]
    page.keyboard.press("Enter")
    assert page.locator("#told").inner_text() == "These are the last pages." and shown(page) == ["Page 4"]
    assert buttons["Next pages"].evaluate("(button) => button === document.activeElement")


def test_where_the_reader_is_stays_in_sight(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    page.keyboard.press("ArrowRight")
    type_note(page, "page 2", "Her hand?")
    assert "Note 1 is kept" in page.locator("#told").inner_text()
    assert page.locator("#where").text_content() == "Page 2 and Page 3. Opening 2 of 3."
    page.keyboard.press("ArrowRight")
    assert page.locator("#where").text_content() == "Page 4. Opening 3 of 3."
    assert page.locator("#told").inner_text() == ""


def test_any_page_is_gone_to_at_once(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    chooser = page.get_by_role("combobox", name="Go to")
    page.keyboard.press("ArrowRight")
    type_note(page, "page 3", "Too near.")
    assert chooser.locator("option").all_text_contents() == ["Page 1", "Page 2 and Page 3: 1 note", "Page 4"]
    chooser.select_option("Page 4")
    assert shown(page) == ["Page 4"]
    chooser.focus()
    page.keyboard.press("ArrowLeft")
    assert shown(page) == ["Page 2", "Page 3"] and chooser.input_value() == "1"


def test_a_reader_who_goes_on_has_written_the_note(open_page: Open, pencils: str, tmp_path: Path) -> None:
    """By turning with a button, by beginning another note, by saving: nothing is lost for want of "Keep note"."""
    page = open_page(pencils).page
    page.get_by_role("button", name="Add a note to page 1").click()
    page.keyboard.insert_text("First.")
    page.get_by_role("button", name="Next pages").click()
    assert shown(page) == ["Page 2", "Page 3"] and "Note 1 is kept" in page.locator("#told").inner_text()
    page.get_by_role("button", name="Add a note to page 2").click()
    page.keyboard.insert_text("Second.")
    page.get_by_role("button", name="Add a note to page 3").click()
    assert page.locator(".notes .words").all_text_contents() == ["First.", "Second."]
    page.keyboard.insert_text("Third.")
    saved = save(page, tmp_path / "saved.md")
    assert all(f"{n} (p{n}) {word}." in saved for n, word in enumerate(("First", "Second", "Third"), 1))


def test_a_note_that_can_not_be_kept_holds_the_reader_where_it_is(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    page.get_by_role("button", name="Add a note to page 1").click()
    page.keyboard.insert_text("Where?")
    page.get_by_role("spinbutton", name="Across").fill("300")
    page.get_by_role("button", name="Next pages").click()
    assert shown(page) == ["Page 1"] and "from 0 to 100" in page.get_by_role("alert").inner_text()
    assert page.get_by_role("combobox", name="Go to").input_value() == "0"


def test_what_was_typed_and_closed_is_told_of(open_page: Open, pencils: str, tmp_path: Path) -> None:
    page = open_page(pencils).page
    tab_to(page, "Add a note to page 1")
    page.keyboard.press("Enter")
    page.keyboard.insert_text("half a thou")
    page.keyboard.press("Escape")
    told = "What you typed on page 1 and closed is no note"
    assert told in page.locator("#told").inner_text()
    type_note(page, "page 1", "ght.")
    page.keyboard.press("ArrowRight")
    tab_to(page, "Add a note to page 2")
    page.keyboard.press("Enter")
    page.keyboard.insert_text("Never mind")
    page.keyboard.press("Escape")
    save(page, tmp_path / "saved.md")
    assert "What you typed on page 2 and closed is no note" in page.locator("#told").inner_text()
    assert page.locator(".notes .words").all_text_contents() == ["half a thought."]


def test_what_has_not_left_the_browser_is_counted(open_page: Open, pencils: str, tmp_path: Path) -> None:
    """In a private window as in any other: a page can't tell which it is in, so it says what holds of both."""
    page = open_page(pencils).page
    count = page.locator("#count")
    assert count.inner_text() == ""
    type_note(page, "page 1", "One.")
    assert count.inner_text().startswith("1 note, not yet saved or copied.") and "private window" in count.inner_text()
    save(page, tmp_path / "saved.md")
    assert "bear no name" in page.locator("#told").inner_text() and "downloads" in page.locator("#told").inner_text()
    assert count.inner_text() == "1 note, saved or copied."
    type_note(page, "page 1", "Two.")
    again(page)
    assert count.inner_text().startswith("2 notes, 1 of them not yet saved or copied.")


def test_a_spot_is_shown_before_the_note_is_kept(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    picture = page.get_by_role("img", name="Page 1 of pencils")
    picture.click(position={"x": 25, "y": 20})
    box, aim = picture.bounding_box(), page.locator(".aim").bounding_box()
    assert box and aim
    assert (
        abs(aim["x"] + aim["width"] / 2 - box["x"] - 25) < 2 and abs(aim["y"] + aim["height"] / 2 - box["y"] - 20) < 2
    )
    page.get_by_role("spinbutton", name="Across").fill("")
    assert page.locator(".aim").count() == 0


def test_numbers_of_notes_at_one_height_do_not_cover_each_other(open_page: Open, pencils: str) -> None:
    page = open_page(pencils).page
    for down in ("50", "51", "52"):
        type_note(page, "page 1", "Here.", Across="10", Down=down)
    boxes = [tag.bounding_box() for tag in page.locator(".page:visible .tag").all()]
    edges = sorted((box["x"], box["x"] + box["width"]) for box in boxes if box)
    assert len(edges) == 3 and all(before[1] <= after[0] for before, after in pairwise(edges))


def test_what_another_window_wrote_over_is_put_back(open_page: Open, pencils: str) -> None:
    """A window that did not yet know of a note writes what it has; the note is there after a reload all the same."""
    page = open_page(pencils).page
    type_note(page, "page 1", "Here.")
    other = page.context.new_page()
    other.goto(page.url)
    other.evaluate(
        """() => {
          const key = `inkledger ${document.documentElement.dataset.packet}`;
          const kept = JSON.parse(localStorage.getItem(key));
          localStorage.setItem(key, JSON.stringify({ ...kept, notes: [] }));
        }"""
    )
    for _ in range(200):
        kept = page.evaluate("localStorage.getItem(`inkledger ${document.documentElement.dataset.packet}`)")
        if "Here." in kept:
            break
        page.wait_for_timeout(50)
    other.close()
    again(page)
    assert page.locator(".notes .words").all_inner_texts() == ["Here."]


def full_pages(book: TypedBook, panels: int, words: int) -> str:
    """The packet of a script of three pages with so many panels of so many words of action and two balloons each."""
    said = "the harbour at night and nobody on the stair but her, counting each step aloud and twice over"
    acted = " ".join([said] * 9).split()[:words]
    panel = f"{' '.join(acted)}.\n\nN: {said[:70]}.\nJ: {said[20:]}.\n\n"
    page = "".join(f"[panel {number}]\n{panel}" for number in range(1, panels + 1))
    book.write("script/01.md", "# Chapter 1: Night\n\n## The stair\n\n" + "".join(
        f"[page {number}]\n{page}" for number in range(1, 4)
    ))  # fmt: skip
    book.ledger("enter", "script", "-m", "long", code=None)
    return packet_html(packet(book.top, PacketWish("script")).packet)


@pytest.mark.parametrize(("panels", "words", "set_as"), [(5, 15, ""), (7, 35, "close"), (9, 35, "close")])
def test_a_full_page_of_script_is_printed_on_one_sheet(
    open_page: Open, entered: TypedBook, tmp_path: Path, panels: int, words: int, set_as: str
) -> None:
    """Two of them side by side, in letters that can be read on paper."""
    opened = open_page(full_pages(entered.copied(tmp_path / "book"), panels, words)).page
    assert opened.locator(".opening").last.get_attribute("class") == f"opening {set_as}".strip()
    _, first, second = sheets_of(opened)
    assert "Page 1" in first and "Page 2" in second and "Page 3" in second
    assert second.count("Panel") == 2 * panels


def test_what_no_sheet_holds_is_broken_between_panels(open_page: Open, entered: TypedBook, tmp_path: Path) -> None:
    """Nothing is set smaller than eight points for it."""
    opened = open_page(full_pages(entered.copied(tmp_path / "book"), 9, 110)).page
    sizes: set[float] = set()

    def measured(text: str, page: list[float], row: list[float], _: object, size: float) -> None:
        if text.strip():
            sizes.add(round(size * abs(page[3] * row[3]), 1))

    _, *sheets = PdfReader(io.BytesIO(opened.pdf(prefer_css_page_size=True))).pages
    first, rest, second, more = (" ".join(sheet.extract_text(visitor_text=measured).split()) for sheet in sheets)
    assert "Page 1" in first and "Page 2" in second and "Page 3" in second and "Page" not in rest + more
    assert re.match(r"(\d+ / \d+ )?(Panel [5-9] )+the harbour", rest) and "Panel 9" in rest and "Panel 9" not in first
    assert min(sizes) >= 8


def test_the_first_picture_is_seen_at_once_and_its_round_said_in_words(
    open_page: Open, entered: TypedBook, tmp_path: Path
) -> None:
    """On a phone too, where what is to be known before reading takes a third of the glass at most."""
    book = entered.copied(tmp_path / "book")
    configured = (book.top / "book.toml").read_text("utf-8")
    book.write("book.toml", re.sub("(?m)^title = .*", 'title = "Supper"', configured))
    page = open_page(packet_html(packet(book.top, PacketWish("pencils", reader="E. Marsh")).packet)).page
    assert page.locator("h1").inner_text().split("\n")[-1].startswith("Pencils, round 1 (")
    assert page.title() == "Supper: pencils, round 1, to read"
    assert "pencils-1" not in page.locator("body").inner_text()
    for width, most in ((360, 270), (768, 170), (1280, 130)):
        page.set_viewport_size({"width": width, "height": 800})
        top = page.locator(".opening:visible").bounding_box()
        assert top and top["y"] <= most, width
    told = page.get_by_text("How?")
    assert "send back the file" in page.locator("summary").inner_text()
    assert not page.get_by_text("“Copy notes” copies").is_visible()
    told.click()
    assert page.get_by_text("“Copy notes” copies").is_visible()


def test_a_damaged_store_loses_no_note_and_bars_no_way(open_page: Open, pencils: str, tmp_path: Path) -> None:
    """The page does not stop at whatever stands under its key; what still can be read is a note."""
    page = open_page(pencils).page
    note = '{"id": "a", "text": "t", "place": "p1"'
    for kept, there in (
        ("{", []), ("null", []), ("[]", []), ('"x"', []), ('{"notes": 5, "gone": {}, "read": 5, "name": 7}', []),
        (f'{{"notes": [{note}}}]}}', ["t"]),
        (f'{{"notes": [{note}, "spot": "z", "panel": {{}}, "quote": 5, "changed": "q"}}], "saved": "x"}}', ["t"]),
        (f'{{"notes": [{note}, "spot": [9, 9]}}, null, 7, {{}}]}}', ["t"]),
    ):  # fmt: skip
        page.evaluate(
            "(kept) => localStorage.setItem(`inkledger ${document.documentElement.dataset.packet}`, kept)", kept
        )
        again(page)
        assert page.locator(".notes .words").all_inner_texts() == there, kept
        type_note(page, "page 1", "after")
        saved = save(page, tmp_path / "saved.md")
        assert [row for row in saved.split("\n") if row.startswith("- ")] == [
            f"- [ ] {number} (p1) {text}" for number, text in enumerate([*there, "after"], 1)
        ], kept


def test_where_nothing_is_kept_leaving_is_asked_about(open_page: Open, pencils: str) -> None:
    """Until the notes are saved; also where the storage is merely full."""
    page = open_page(pencils).page
    page.evaluate("localStorage.setItem('other', 'x'.repeat(5 * 1024 * 1024 - 20000))")
    type_note(page, "page 1", "long " * 8000)
    assert "does not keep your notes" in page.locator("#refused").inner_text()
    with page.expect_event("dialog") as asked:
        page.close(run_before_unload=True)
    assert asked.value.type == "beforeunload"
    asked.value.dismiss()
    assert page.locator(".notes .words").count() == 1


@pytest.mark.parametrize("size", [(600, 900), (1200, 600)], ids=["upright", "lying"])
def test_notes_are_printed_beside_their_picture(
    open_page: Open, entered: TypedBook, tmp_path: Path, size: tuple[int, int]
) -> None:
    """A page with many notes stands on its sheet with the one beside it, and no picture is pushed off the paper."""
    book = entered.copied(tmp_path / "book")
    for number in range(1, 5):
        Image.effect_noise(size, 10 + number).save(book.top / f"art/pencils/p00{number}.png")
    book.ledger("enter", "pencils", "-m", "another size")
    page = open_page(packet_html(packet(book.top, PacketWish("pencils")).packet)).page
    page.keyboard.press("ArrowRight")
    for number in range(6):
        for where in ("page 2", "page 3"):
            type_note(page, where, f"Note {number}: her hand seems too large.", Across="40", Down=str(10 + 12 * number))
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert [len(pictures_of(sheet)) for sheet in printed] == [0, 1, 2, 1]
    assert all(f"Note {number}:" in printed[2].extract_text() for number in range(6))
    (first, second), paper = sorted(pictures_of(printed[2])), float(printed[2].mediabox.width)
    assert first[0] >= 0 and first[0] + first[2] <= paper / 2 <= second[0] and second[0] + second[2] <= paper
    assert min(first[2], second[2]) > paper / 5
