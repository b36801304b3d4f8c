"""The life of a page as HTML, looked at in a real browser: a book with two rounds of pencils, notes and a sign-off."""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from ledger.desk.page_life import page_life
from ledger.render.lives.page import life_html
from tests.judge.test_stale import four_panels, touched
from tests.pages.conftest import Open
from tests.pages.test_memo_page import SCHEMES, WIDTHS
from tests.pages.test_memo_pictures import pictures_of
from tests.pictures.drawn import saved
from tests.typed_book import TypedBook

pytestmark = pytest.mark.needs_chromium

TOML = """[book]
title = "The Ninth Supper <shared>"
pages = 2

[cast]
N = "Nell"
J = "Joren Pike"

[[pass]]
name = "script"
kind = "text"
files = "script/*.md"

[[pass]]
name = "pencils"
kind = "art"
files = "art/pencils/p{page}.png"
from = ["script"]
locks = ["structure"]

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{page}.png"
from = ["pencils", "script"]
"""
SCRIPT = """# One

## The slipway

[page 1]
[panel 1]
Rain on tin.

N: Is that you?
J: It's the rent.

[panel 2]
CAP: Later.

[panel 3]
N: Gone.

[panel 4]
A gull, and שלום on a wall.
"""
NOTES = "# Marsh\nfrom: E. Marsh\non: script-1\n\n- [ ] 1 (p1.3) Who is gone?\n"


@pytest.fixture(scope="module")
def life(tmp_path_factory: pytest.TempPathFactory) -> str:
    book = TypedBook(tmp_path_factory.mktemp("life"))
    book.write("book.toml", TOML)
    book.ledger("init", "--yes")
    book.write("script/01.md", SCRIPT)
    book.ledger("enter", "script", "-m", "first draft")
    book.write("art/pencils/p001.png", saved(four_panels()))
    book.ledger("enter", "pencils", "-m", "the slipway")
    book.write("art/inks/p001.png", saved(four_panels()))
    book.ledger("enter", "inks", "-m", "inked")
    book.ledger("lock", "pencils", "-m", "pencils are good")
    book.write("art/pencils/p001.png", touched(0.05, 0.51))
    book.ledger("enter", "pencils", "-m", "a black in the door")
    book.change("script/01.md", "J: It's the rent.", "J: It's the landlord.")
    book.ledger("enter", "script", "-m", "rent is too soft")
    book.write("notes/marsh.md", NOTES)
    book.write("art/inks/p001.png", touched(0.51))
    return life_html(page_life(book.top, "1", pictures=True))


def test_the_whole_life_stands_on_it(open_page: Open, life: str) -> None:
    page = open_page(life).page
    assert page.title() == "The Ninth Supper <shared>: the life of page 1"
    assert page.locator("h2").all_inner_texts() == [
        "What it rests on", "Pictures", "In the script", "The script when it came in", "The script now",
        "Rounds, sign-offs and slips", "Notes",
    ]  # fmt: skip
    text = page.locator("main").inner_text()
    for told in (
        "inks: rests on pencils-1, now pencils-2: panel 2 was redrawn.",
        "Signed off: pencils for structure (lock-pencils-1).",
        "became “It's the landlord.”",
        "lock-pencils-1 signed pencils off",
        "marsh/1 (p1.3): Who is gone?",
    ):
        assert told in text


def test_its_pictures_in_the_order_they_came(open_page: Open, life: str) -> None:
    page = open_page(life).page
    captions = page.locator("figcaption").all_inner_texts()
    assert [re.sub(r"\(.*?\)", "()", caption) for caption in captions] == [
        "pencils-1 (): the first picture.", "inks-1 (): the first picture.", "pencils-2 (): panel 2 was redrawn.",
        "inks (): panel 3 was redrawn.",
    ]  # fmt: skip
    assert "your files now" in captions[-1]
    alts = page.locator("img").evaluate_all("(all) => all.map((one) => one.alt)")
    assert alts[2].endswith("panel 2 framed")


@pytest.mark.axe
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing(open_page: Open, axe: str, life: str, scheme: str) -> None:
    opened = open_page(life, **SCHEMES[scheme])
    for width in WIDTHS:
        opened.resize(width)
        assert opened.faults(axe) == [], width


@pytest.mark.parametrize("large", [False, True])
def test_nothing_scrolls_sideways(open_page: Open, life: str, large: bool) -> None:
    opened = open_page(life, large=large)
    for width in (320, *WIDTHS):
        opened.resize(width)
        assert opened.sideways() <= 0, width


def test_the_keyboard_reaches_every_part(open_page: Open, life: str) -> None:
    page = open_page(life).page
    for part in page.locator("nav a").all_inner_texts():
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == part


def test_in_print_nothing_is_lost(open_page: Open, life: str) -> None:
    page = open_page(life, color_scheme="dark", java_script_enabled=False).page
    sheets = PdfReader(io.BytesIO(page.pdf(format="A4"))).pages
    text = re.sub(r"\s+", " ", " ".join(sheet.extract_text() for sheet in sheets))
    for heading in page.locator("h2").all_inner_texts():
        assert re.sub(r"\s+", " ", heading) in text
    assert sum(len(pictures_of(sheet)) for sheet in sheets) == page.locator("img").count()
    for sheet in sheets:
        assert all(bottom >= 0 for _, bottom, _, _ in pictures_of(sheet))
