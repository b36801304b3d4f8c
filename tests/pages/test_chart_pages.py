"""Wallchart and openings as pages, looked at in a real browser."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from PIL import Image, ImageDraw
from pypdf import PdfReader

from ledger.model.finding import Finding
from ledger.model.plate import Shown
from ledger.model.stale import Stale, StalePage
from ledger.plan.block import block_of
from ledger.plan.openings import Spreads, openings
from ledger.plan.wall import STATES, Cell, Row, Wall
from ledger.render.arithmetic.chart_pages import spreads_html, wallchart_html
from tests.pages.conftest import Open
from tests.plan.typed import book, draft, script_text

pytestmark = pytest.mark.needs_chromium

SCHEMES: dict[str, dict[str, Any]] = {
    "light": {}, "dark": {"color_scheme": "dark"}, "forced": {"forced_colors": "active"},
}  # fmt: skip
WIDTHS = (360, 768, 1280)


def small() -> Shown:
    picture = Image.new("L", (64, 96), 255)
    ImageDraw.Draw(picture).rectangle((6, 6, 58, 60), outline=0)
    out = io.BytesIO()
    picture.save(out, "WEBP")
    return Shown(out.getvalue(), 64, 96)


PICTURES = {"pencils": {str(page): small() for page in range(1, 21)}, "inks": {"4": small(), "7": small()}}


def wallchart() -> str:
    names = ("thumbs", "pencils", "inks", "tones", "flats", "colours", "letters", "proofs")
    rows = tuple(
        Row(str(page), {n: Cell(STATES[(page + at) % 5], page % 3) for at, n in enumerate(names)}, page % 7 == 0)
        for page in range(1, 41)
    )
    stale = Stale((StalePage("inks", "4", "script-3, now script-5: panel 2 is new"),))
    return wallchart_html(Wall("The Weir <b>&</b>", names, rows, stale, "Chapter 2"), PICTURES)


def spreads(reading: str = "ltr") -> str:
    told = draft(script_text(20, (4, 11), {8: 1, 13: 1}))
    of = book(pages=20, front_matter=2, reading=reading, signature=8)
    found = Finding("spread-side", "query", "pages 11-12 are no opening", "script/01.md", 3, "11-12")
    return spreads_html(Spreads("The Weir", reading, block_of(told, of), openings(told, of), True, (found,)), PICTURES)


PAGES = {"wallchart": wallchart, "spreads": spreads}


@pytest.mark.axe
@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_nothing(open_page: Open, axe: str, name: str, scheme: str) -> None:
    opened = open_page(PAGES[name](), **SCHEMES[scheme])
    for width in WIDTHS:
        opened.resize(width)
        assert opened.faults(axe) == [], width


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("name", PAGES)
def test_nothing_scrolls_sideways(open_page: Open, name: str, large: bool) -> None:
    opened = open_page(PAGES[name](), large=large)
    for width in (320, *WIDTHS):
        opened.resize(width)
        assert opened.sideways() <= 0, width


def test_every_cell_says_its_state_in_words(open_page: Open) -> None:
    page = open_page(wallchart()).page
    cells = page.locator("td").all_inner_texts()
    assert len(cells) == 40 * 9
    assert all(text.strip() for text in cells)
    colours = page.locator("td").evaluate_all(
        "(all) => [...new Set(all.map((c) => getComputedStyle(c).backgroundColor))]"
    )
    assert len(colours) <= 6
    assert page.locator("h1").inner_text() == "The Weir <b>&</b>: wallchart"


def test_left_and_right_change_places_in_rtl(open_page: Open) -> None:
    sides = {
        reading: open_page(spreads(reading)).page.locator(".opening >> nth=3").locator(".side").all_inner_texts()
        for reading in ("ltr", "rtl")
    }
    assert [re.sub(r"\s+", " ", text).strip() for text in sides["ltr"]] == ["page 4", "page 5"]
    assert sides["rtl"] == list(reversed(sides["ltr"]))


@pytest.mark.parametrize("name", PAGES)
def test_on_paper_every_heading_is_there(open_page: Open, name: str) -> None:
    opened = open_page(PAGES[name]())
    heads = opened.page.locator("h1, h2").all_inner_texts()
    printed = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(opened.page.pdf(format="A4"))).pages)
    for head in heads:
        assert " ".join(head.split()) in " ".join(printed.split())
