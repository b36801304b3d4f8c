"""Sheets of a proof are known again as the page that was delivered."""

from __future__ import annotations

import random
from io import BytesIO

from PIL import Image

from ledger.pictures.known_again import shown, tones, trims
from tests.bench.pages.draw import STYLES, draw_page
from tests.bench.pages.plan import KINDS, make_plan


def _page(seed: int) -> Image.Image:
    plan = make_plan(KINDS[seed % len(KINDS)], random.Random(seed))
    return draw_page(plan, STYLES[seed % len(STYLES)]).convert("RGB")


def _proof(page: Image.Image) -> Image.Image:
    """A quarter of the size, trimmed by about three hundredths, grey, JPEG."""
    wide, high = page.size
    cut = page.crop((wide * 3 // 100, high * 2 // 100, wide * 97 // 100, high * 97 // 100))
    kept = BytesIO()
    cut.resize((cut.width // 4, cut.height // 4)).convert("L").save(kept, "JPEG", quality=50)
    return Image.open(kept)


def test_trimmed_grey_small_sheets_are_known_again_and_strange_ones_are_not() -> None:
    drawn = [_page(seed) for seed in range(10)]
    pages = [(str(at), trims(page)) for at, page in enumerate(drawn)]
    assert [shown(pages, tones(_proof(page))) for page in drawn] == [str(at) for at in range(10)]
    assert shown(pages[1:], tones(_proof(drawn[0]))) is None


def test_of_two_equal_pages_none_is_named() -> None:
    same = trims(_page(3))
    assert shown([("1", same), ("2", same)], tones(_proof(_page(3)))) is None
    assert shown([], tones(_page(3))) is None


def test_white_paper_is_no_page() -> None:
    white = Image.new("L", (200, 300), 255)
    assert shown([("1", trims(white)), ("2", trims(_page(2)))], tones(white)) is None
