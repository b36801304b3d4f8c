"""Panels of drawn pages, and what became of them; the pages are laid out in code, so where panels lie is known."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from PIL import Image

from ledger.pictures.pair import across_passes, verdict
from ledger.pictures.panels import WHOLE_PAGE, find_panels
from tests.bench.pages.draw import Patch, draw_page
from tests.bench.pages.plan import Plan, fractions, make_plan, panels_of
from tests.bench.pages.score import overlap

PLAN = replace(make_plan("grid", random.Random(4)), rtl=False)
PAGE = draw_page(PLAN, "tones")


def moved(page: Image.Image, across: int) -> Image.Image:
    return page.transform(page.size, Image.Transform.AFFINE, (1, 0, -across, 0, 1, 0), fillcolor=255)


@pytest.mark.parametrize("kind", ["grid", "slanted", "bleed", "spread", "splash"])
@pytest.mark.parametrize("rtl", [False, True])
def test_panels_stand_where_they_were_drawn_in_reading_order(kind: str, rtl: bool) -> None:
    plan: Plan = replace(make_plan(kind, random.Random(4)), rtl=rtl)
    found = find_panels(draw_page(plan, "tones"), rtl=rtl)
    drawn = [fractions(panel, plan.size) for panel in panels_of(plan)]
    assert len(found) == len(drawn)
    assert all(overlap(a, b) > 0.9 for a, b in zip(found, drawn, strict=True))


@pytest.mark.parametrize("tone", [0, 128, 255])
def test_an_even_page_is_one_panel(tone: int) -> None:
    assert find_panels(Image.new("L", (500, 750), tone)) == (WHOLE_PAGE,)


def test_a_shift_or_another_scale_is_none() -> None:
    scaled = PAGE.resize((round(PAGE.width * 1.03), round(PAGE.height * 1.03)))
    for other in (moved(PAGE, 2), scaled, PAGE.point(lambda tone: round(20 + tone * 0.9))):
        assert verdict(PAGE, other).kind == "same"


def test_a_page_that_was_moved_further_is_not_the_same() -> None:
    assert verdict(PAGE, moved(PAGE, 12)).kind != "same"


def test_a_touched_panel_is_named_and_no_other() -> None:
    told = verdict(PAGE, draw_page(PLAN, "tones", {1: Patch(5, 0.25)}))
    assert told.kind == "touch-up"
    assert [panel.index for panel in told.panels if panel.changed] == [2]
    assert len(told.panels) == len(panels_of(PLAN))


def test_two_passes_laid_out_alike() -> None:
    assert across_passes(PAGE, draw_page(PLAN, "lines")) is None
