"""The sheet that lies beside a delivery, looked at in a real browser."""

from __future__ import annotations

import io
from datetime import date
from typing import Any

import pytest
from PIL import Image, ImageDraw
from pypdf import PdfReader

from ledger.model.book import PageSize
from ledger.model.delivery import Altered, Bundle, Delivered, Extent, OpenNote, Signed, SinceLast
from ledger.model.finding import Finding
from ledger.model.plate import Shown
from ledger.render.lending.delivery_sheet import HTML, MARKDOWN, delivery_sheets
from tests.pages.conftest import Open

pytestmark = pytest.mark.needs_chromium

SCHEMES: dict[str, dict[str, Any]] = {
    "light": {}, "dark": {"color_scheme": "dark"}, "forced": {"forced_colors": "active"},
}  # fmt: skip
WIDTHS = (360, 768, 1280)
HOSTILE = "<script>alert(1)</script> # *stars* \x1b[31m \u202etfel | [x](y)"


def small() -> Shown:
    picture = Image.new("L", (64, 96), 255)
    ImageDraw.Draw(picture).rectangle((6, 6, 58, 60), outline=0)
    out = io.BytesIO()
    picture.save(out, "WEBP")
    return Shown(out.getvalue(), 64, 96)


def bundle() -> Bundle:
    """Twelve pages of two passes, with something in every part."""
    pages = tuple(
        Delivered(name, str(page), f"data/{name}/p{page:03}.png", f"art/{name}/p{page:03}.png", "0" * 40, "ab" * 32,
                  70_000 + page, (2751, 4176), "rgb", 8, (400.0, 400.0), small() if page % 3 else None)
        for name in ("colours", "letters") for page in range(1, 7)
    )  # fmt: skip
    return Bundle(
        f"The Weir {HOSTILE}", "delivery-3", date(2026, 11, 20), "Ida Kestrel <ida@example.org>",
        ("colours", "letters"), "1-6", 2, pages, Extent(6, 160, 2, 16, 8),
        (Signed("colours", "colours-4", "lock-colours-1", HOSTILE), Signed("letters", "letters-1", "")),
        (Altered("EA", "alteration-3", "3", HOSTILE, "E. Marsh"), Altered("AA", "reopen-1", None, "rain", None, True)),
        (OpenNote("marsh/4", "p4.2", HOSTILE, "E. Marsh", "query"), OpenNote("marsh/5", "", "All of it?", "")),
        "delivery-2", (SinceLast("colours", "4", "redrawn"),), 11,
        (Finding("not-as-signed", "query", f"letters were never signed off {HOSTILE}", None, None, "1"),),
    )  # fmt: skip


def sheet() -> str:
    return delivery_sheets(bundle())[HTML].decode("utf-8")


@pytest.mark.axe
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing(open_page: Open, axe: str, scheme: str) -> None:
    opened = open_page(sheet(), **SCHEMES[scheme])
    for width in WIDTHS:
        opened.resize(width)
        assert opened.faults(axe) == [], width


@pytest.mark.parametrize("large", [False, True])
def test_nothing_scrolls_sideways(open_page: Open, large: bool) -> None:
    opened = open_page(sheet(), large=large)
    for width in WIDTHS:
        opened.resize(width)
        assert opened.sideways() <= 0, width


def test_the_table_is_seen_whole_on_a_screen(open_page: Open) -> None:
    """Long names and all: only where there is no room for it, as on a telephone, its box scrolls."""
    pages = tuple(
        each._replace(path=f"data/{each.pass_name}/{at:03}-p{2 * at:03}-{2 * at + 1:03}.png")
        for at, each in enumerate(bundle().delivered, 7)
    )
    opened = open_page(delivery_sheets(bundle()._replace(delivered=pages))[HTML].decode("utf-8"))
    for width in (768, 1000, 1280):
        opened.resize(width)
        beyond = opened.page.evaluate("[...document.querySelectorAll('.wide')].map(e => e.scrollWidth - e.clientWidth)")
        assert beyond == [0, 0], width


def test_the_binder_is_told_trim_bleed_and_the_way_of_reading() -> None:
    made = bundle()._replace(reading="rtl", page=PageSize((168.3, 258.8), 3.2))
    said = delivery_sheets(made)[MARKDOWN].decode("utf-8")
    assert "A trimmed page: 168.3 x 258.8 mm, with 3.2 mm of bleed on every side." in said
    assert "The book is read from right to left." in said
    bare = delivery_sheets(made._replace(reading="ltr", page=PageSize((168.3, 258.8))))[MARKDOWN].decode("utf-8")
    assert "mm, with no bleed." in bare and "The book is read from left to right." in bare


def test_every_page_every_sum_and_every_word_is_there(open_page: Open) -> None:
    page = open_page(sheet()).page
    said = page.inner_text("body")
    assert said.count("ab" * 6) == 12 and page.locator("img").count() == 8
    for facts in ("2751 x 4176", "174.7 x 265.2", "RGB, 8 bits", "400", "70,001", "manifest-sha256.txt"):
        assert facts in said, facts
    assert "<script>alert(1)</script> # *stars*" in said and "\x1b" not in said
    assert "Open notes: 2" in said and "EA (editor's): 1" in said
    assert "not legal or contract advice" in said
    assert page.title().startswith("The Weir")


def test_printed_nothing_is_lost(open_page: Open) -> None:
    printed = PdfReader(io.BytesIO(open_page(sheet()).page.pdf(format="A4")))
    said = "".join("".join(each.extract_text() for each in printed.pages).split())
    assert said.count("ab" * 6) == 12 and said.count("174.7x265.2") == 12
    for heading in ("Sincethelastdelivery", "Alterationsafterthesign-off", "Opennotes:2", "Thepages", "SHA-256begins"):
        assert heading in said


def test_words_of_the_book_are_words_in_markdown_too() -> None:
    said = delivery_sheets(bundle())[MARKDOWN].decode("utf-8")
    assert "<script>" not in said.replace("\\<script", "") and "\x1b" not in said
    assert "\n# \\*stars" not in said and said.count("ab" * 6) == 12
    assert "| colours/p001.png | page 1 | 2751 x 4176 | 174.7 x 265.2 | RGB, 8 bits | 400 | 70,001 |" in said


def test_the_table_is_one_to_who_does_not_see_it(open_page: Open) -> None:
    page = open_page(sheet()).page
    tables = page.get_by_role("table")
    assert tables.count() == 2
    assert [each.strip() for each in tables.first.get_by_role("columnheader").all_inner_texts()] == [
        "File", "Page", "Pixels", "mm at its ppi", "Mode", "ppi", "Bytes", "SHA-256 begins", "Small",
    ]  # fmt: skip
    assert tables.first.get_by_role("rowheader").all_inner_texts()[:2] == ["colours/p001.png", "colours/p002.png"]
    assert tables.first.get_by_role("img").first.get_attribute("alt") == "page 1 of colours, small"


def test_a_page_that_states_no_resolution_has_no_size_on_paper() -> None:
    plain = bundle()
    plain = plain._replace(delivered=tuple(each._replace(ppi=None, mode="1", depth=1) for each in plain.delivered))
    said = delivery_sheets(plain)[MARKDOWN].decode("utf-8")
    assert "| 2751 x 4176 | not stated | black and white (1 bit) | not stated |" in said
