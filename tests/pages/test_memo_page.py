"""The memo as a page, looked at in a real browser."""

from __future__ import annotations

import io
import re
from datetime import date
from typing import Any

import pytest
from pypdf import PdfReader

from ledger.model.change import Comparison, DraftChange, LineChange, SceneChange
from ledger.model.entry import Alteration
from ledger.model.memo import MemoFacts
from ledger.model.note import Anchor, Followed, Note
from ledger.model.stale import Stale, StalePage
from ledger.render.memo.change_memo import memo_letter
from ledger.render.memo.page import memo_html
from ledger.render.page import environment, set_page
from tests.pages.conftest import Open
from tests.render.drafts import FLOOD, said, scene, whole

pytestmark = pytest.mark.needs_chromium

SCHEMES: dict[str, dict[str, Any]] = {
    "light": {}, "dark": {"color_scheme": "dark"}, "forced": {"forced_colors": "active"},
}  # fmt: skip
WIDTHS = (360, 768, 1280)
LONG = "Donaudampfschifffahrtsgesellschaftskapitaenswitwenrente" * 3

#: Whether a box scrolls within a hundred frames.
_SCROLLS = """(box) => new Promise((told) => {
  const look = (left) => (box.scrollLeft > 0 || !left ? told(left > 0) : requestAnimationFrame(() => look(left - 1)));
  look(100);
})"""

FACTS = MemoFacts(
    "The Salt Lantern", "script-3", "script-4", date(2026, 2, 11), date(2026, 3, 2), "E. Marsh", "gulls out",
    notes=(
        Followed(Note("marsh", 1, "open", "The door?", Anchor("p12.3", page="12", panel=3), "notes/marsh.md", 6, 6),
                 "p12.3", "p13.3", "reworded", ("open-but-changed",)),
    ),
    stale=Stale(
            tuple(StalePage("pencils", page, "script-3, now script-4: panel 2 is new") for page in ("1", "2", "7")),
            ("words only: page 9 of script was reworded after being drawn (pencils)",),
        ),
    slips=(
        Alteration(path="ledger/alteration-3.toml", number=3, date=date(2026, 2, 20), by="Ines <i@example.org>",
                   pages="3", alteration_class="EA", reason="the lamp must be lit", asked_by="E. Marsh"),
    ),
)  # fmt: skip


def everything() -> str:
    """A memo that has every part, and a scene nobody would want to break into lines."""
    hard = scene(LONG, said("20.1", "שרה", "שלום (abc) 123!"), said("", LONG, LONG), chapter=FLOOD, index=9)
    found = whole()
    new = SceneChange("new", (), (hard,), lines=tuple(LineChange("added", None, line) for line in hard.lines))
    draft = DraftChange((*found.draft.scenes, new), found.draft.cast, found.draft.pages)
    return memo_html(Comparison(found.old, found.new, draft, found.pictures), FACTS)


@pytest.mark.axe
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing(open_page: Open, axe: str, scheme: str) -> None:
    opened = open_page(everything(), **SCHEMES[scheme])
    opened.page.locator("details").evaluate_all("(parts) => parts.forEach((part) => { part.open = true; })")
    for width in WIDTHS:
        opened.resize(width)
        assert opened.faults(axe) == [], width


@pytest.mark.parametrize("large", [False, True])
def test_nothing_scrolls_sideways(open_page: Open, large: bool) -> None:
    opened = open_page(everything(), large=large)
    opened.page.locator("summary").click()
    for width in (320, *WIDTHS):
        opened.resize(width)
        assert opened.sideways() <= 0, width


def test_schemes_change_the_paper(open_page: Open) -> None:
    papers = {
        open_page(everything(), **scheme).page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
        for scheme in SCHEMES.values()
    }
    assert len(papers) == 3


def printed(open_page: Open, **context: Any) -> str:
    """The words of every sheet, blanks folded to one."""
    opened = open_page(everything(), color_scheme="dark", **context)
    sheets = PdfReader(io.BytesIO(opened.page.pdf(format="A4"))).pages
    assert all(sheet.extract_text().strip() for sheet in sheets)
    return re.sub(r"\s+", " ", " ".join(sheet.extract_text() for sheet in sheets))


@pytest.mark.parametrize("script", [True, False])
def test_print_has_every_heading_and_what_was_folded(open_page: Open, script: bool) -> None:
    text = printed(open_page, java_script_enabled=script)
    at = 0
    for heading in re.findall(r"<h[23][^>]*>(.*?)</h[23]>", everything()):
        plain = re.sub(r"<[^>]+>", "", heading)
        assert plain in text[at:], f"{plain} is lost in print"
        at += text[at:].index(plain) + len(plain)
    assert "No boat, no lamp - nobody." in text, "the small change stands in a folded part"


def test_printing_leaves_folded_what_was_folded(open_page: Open) -> None:
    page = open_page(everything()).page
    page.pdf()
    assert page.locator("details[open]").count() == 0


def test_the_keyboard_reaches_everything_that_acts(open_page: Open) -> None:
    page = open_page(everything()).page
    parts = page.locator("nav a").all_inner_texts()
    assert len(parts) == 9
    for part in parts:
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == part
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.tagName") == "SUMMARY"
    page.keyboard.press("Enter")
    assert page.locator("details[open]").count() == 1
    hands = (
        "[...document.querySelectorAll('*')].filter((one) => getComputedStyle(one).cursor == 'pointer' && one != one"
    )
    assert page.evaluate(f"{hands}.closest('a, a *')).length") == 0


def test_a_part_is_found_by_its_link(open_page: Open) -> None:
    page = open_page(everything()).page
    page.get_by_role("link", name="Notes").click()
    assert page.get_by_role("heading", name="Notes").is_visible()
    assert page.evaluate("document.querySelector(':target').textContent") == "Notes"


def test_no_word_is_lost_without_script(open_page: Open) -> None:
    with_script, without = (
        open_page(everything(), java_script_enabled=on).page.locator("main").text_content() for on in (True, False)
    )
    assert with_script == without


def test_nothing_moves(open_page: Open) -> None:
    page = open_page(everything(), reduced_motion="reduce").page
    assert page.evaluate("document.getAnimations().length") == 0


def test_words_that_left_are_struck_out_and_words_that_came_underlined(open_page: Open) -> None:
    page = open_page(everything(), **SCHEMES["forced"]).page
    lines = "(ones) => [...new Set(ones.map((one) => getComputedStyle(one).textDecorationLine))]"
    assert page.locator("del").evaluate_all(lines) == ["line-through"]
    assert page.locator("ins").evaluate_all(lines) == ["underline"]
    assert page.locator("del").first.inner_text() == "map"
    assert page.locator("ins").first.inner_text() == "chart"


def test_words_from_right_to_left_turn_nothing_else_round(open_page: Open) -> None:
    page = open_page(everything()).page
    row = page.locator(".lines p", has_text="שרה")
    left = "(one) => one.getBoundingClientRect().left"
    place, name = row.locator(".place").evaluate(left), row.locator("strong").evaluate(left)
    words = row.locator("span > bdi").evaluate(left)
    assert place < name < words


def test_a_wide_table_scrolls_in_its_own_box(open_page: Open) -> None:
    """What the pages with tables build on."""
    cells = "".join(f"<td>page {number}</td>" for number in range(60))
    html = set_page(environment().from_string(
        "{% extends 'base.html' %}{% from 'parts.html' import wide %}{% block title %}Chart{% endblock %}"
        "{% block body %}<main><h1>Chart</h1>{% call wide('Pages') %}<table><tr>"
        f"{cells}</tr></table>{{% endcall %}}</main>{{% endblock %}}"
    ))  # fmt: skip
    opened = open_page(html, width=360)
    assert opened.sideways() <= 0
    opened.page.keyboard.press("Tab")
    box = opened.page.get_by_role("region", name="Pages")
    assert box.evaluate("(one) => one == document.activeElement")
    opened.page.keyboard.press("ArrowRight")
    assert box.evaluate(_SCROLLS)


def test_the_letter_says_no_more_than_its_values(open_page: Open) -> None:
    """Every part of the values has its heading, in their order."""
    page = open_page(memo_html(whole(), FACTS)).page
    assert page.locator("h2").all_inner_texts() == [part.title for part in memo_letter(whole(), FACTS).sections]
