"""The changed pages in a memo, looked at in a real browser and on paper."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from PIL import ImageDraw
from pypdf import PdfReader

from ledger.desk.memos import memo
from tests.judge.test_stale import four_panels, touched
from tests.pages.conftest import Open
from tests.pages.test_memo_page import SCHEMES, WIDTHS
from tests.pictures.drawn import coloured, inked, saved

pytestmark = pytest.mark.needs_chromium


def relaid() -> bytes:
    """The page of four panels with the upper two become one."""
    page = four_panels()
    pen = ImageDraw.Draw(page)
    pen.rectangle((20, 30, 580, 450), fill=1)
    pen.rectangle((36, 45, 564, 441), outline=0, width=4)
    pen.line((60, 300, 500, 200), fill=0, width=6)
    return saved(page)


def folder(place: Path, pages: dict[str, bytes]) -> str:
    place.mkdir()
    for name, data in pages.items():
        (place / f"{name}.png").write_bytes(data)
    return str(place)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A memo of two folders: redrawn pages, one laid out anew, new and gone ones, a spread, one that can't be read."""
    top = tmp_path_factory.mktemp("memo")
    spread = saved(coloured(6, (800, 600)))
    old = {"p001": saved(four_panels()), "p002": saved(inked(2)), "p003": saved(four_panels()), "p005": saved(inked(5))}
    new = {"p001": touched(0.05, 0.51), "p002": saved(inked(7)), "p003": relaid(), "p004": saved(inked(4)),
           "p006-007": spread, "p008": b"PAGE EIGHT"}  # fmt: skip
    return memo(top, [folder(top / "old", old), folder(top / "new", new)], page=True)


def pictures(open_page: Open, html: str, **context: Any) -> list[dict[str, Any]]:
    """Every picture of the page as the browser shows it."""
    look = """(all) => all.map((one) => { const box = one.getBoundingClientRect();
      return {alt: one.alt, left: box.left, top: box.top, right: box.right, wide: one.naturalWidth}; })"""
    found: list[dict[str, Any]] = open_page(html, **context).page.locator("img").evaluate_all(look)
    return found


def test_old_and_new_stand_side_by_side(open_page: Open, told: str) -> None:
    seen = pictures(open_page, told)
    assert all(picture["wide"] > 0 for picture in seen), "every picture is there without a request"
    by_alt = {picture["alt"].rpartition("/")[0] or picture["alt"]: picture for picture in seen}
    assert len(by_alt) >= 5
    before, now = seen[0], seen[1]
    assert before["top"] == now["top"]
    assert before["right"] < now["left"]


def test_on_a_phone_they_stand_under_each_other(open_page: Open, told: str) -> None:
    before, now, *_ = pictures(open_page, told, width=360)
    assert before["left"] == now["left"]
    assert now["top"] > before["top"]


def test_each_picture_says_what_it_shows(open_page: Open, told: str) -> None:
    page = open_page(told).page
    alts = page.locator("img").evaluate_all("(all) => all.map((one) => one.alt)")
    assert all(alts)
    assert ["panel 2 framed" in alt for alt in alts[:2]] == [True, True]
    captions = page.locator("figcaption").all_inner_texts()
    assert [caption.partition(": ")[2] for caption in captions] == [
        "panel 2 was redrawn.", "panels 1 and 2 were redrawn.", "the page was laid out anew.", "the page is new.",
        "the page is no longer there.", "the page is new.", "the page is new.",
    ]  # fmt: skip


def test_frames_are_explained_and_nothing_blinks(open_page: Open, told: str) -> None:
    page = open_page(told).page
    text = page.locator("section", has_text="Pictures").inner_text()
    assert "nothing blinks" in text
    assert "a dashed line and a ring where it was touched up" in text
    assert page.evaluate("document.getAnimations().length") == 0


def test_a_picture_that_cant_be_shown_is_said(open_page: Open, told: str) -> None:
    figure = open_page(told).page.locator("figure").last
    assert "can't be shown" in figure.inner_text()
    assert figure.locator("img").count() == 0


@pytest.mark.axe
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing(open_page: Open, axe: str, told: str, scheme: str) -> None:
    opened = open_page(told, **SCHEMES[scheme])
    for width in WIDTHS:
        opened.resize(width)
        assert opened.faults(axe) == [], width


@pytest.mark.parametrize("large", [False, True])
def test_nothing_scrolls_sideways(open_page: Open, told: str, large: bool) -> None:
    opened = open_page(told, large=large)
    for width in (320, *WIDTHS):
        opened.resize(width)
        assert opened.sideways() <= 0, width


@pytest.mark.parametrize("script", [True, False])
def test_in_print_no_picture_is_cut(open_page: Open, told: str, script: bool) -> None:
    """Every picture stands whole on one sheet, under its caption, and none is taller than the paper."""
    page = open_page(told, java_script_enabled=script).page
    sheets = PdfReader(io.BytesIO(page.pdf(format="A4"))).pages
    assert sum(len(pictures_of(sheet)) for sheet in sheets) == page.locator("img").count()
    for sheet in sheets:
        for left, bottom, wide, high in pictures_of(sheet):
            assert left >= 0
            assert bottom >= 0
            assert left + wide <= float(sheet.mediabox.width)
            assert bottom + high <= float(sheet.mediabox.height)


def pictures_of(sheet: Any) -> list[Sequence[float]]:
    """Left, bottom, width and height in points of every picture on a printed sheet."""
    found = []

    def seen(operator: bytes, operands: Any, matrix: Sequence[float], _text: Any) -> None:
        name = operands[0] if operator == b"Do" else None
        if name is not None and sheet["/Resources"]["/XObject"][name]["/Subtype"] == "/Image":
            left, right = sorted((matrix[4], matrix[4] + matrix[0]))
            bottom, top = sorted((matrix[5], matrix[5] + matrix[3]))
            found.append((left, bottom, right - left, top - bottom))

    sheet.extract_text(visitor_operand_before=seen)
    return found
