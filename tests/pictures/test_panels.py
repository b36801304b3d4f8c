"""Panels of drawn pages, and what became of them; the pages are laid out in code, so where panels lie is known."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import pytest
from PIL import Image, ImageDraw, ImageFilter

from ledger.pictures.layout.panels import WHOLE_PAGE, Box, find_panels, lay_out
from ledger.pictures.rounds.pair import across_passes, verdict
from ledger.pictures.rounds.passes import laid_anew
from tests.bench.pages.draw import Patch, draw_page, pencilled
from tests.bench.pages.plan import Plan, fractions, make_plan, panels_of, relaid
from tests.bench.pages.score import overlap

PLAN = replace(make_plan("grid", random.Random(4)), rtl=False)
PAGE = draw_page(PLAN, "tones")
SIZE = (900, 1350)


def moved(page: Image.Image, across: int) -> Image.Image:
    return page.transform(page.size, Image.Transform.AFFINE, (1, 0, -across, 0, 1, 0), fillcolor=255)


def sheet(tone: int = 255, size: tuple[int, int] = SIZE) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    page = Image.new("L", size, tone)
    return page, ImageDraw.Draw(page)


def scribbled(pen: ImageDraw.ImageDraw, box: tuple[int, int, int, int], seed: int) -> None:
    """A figure and some strokes inside a box."""
    dice = random.Random(seed)
    left, top, right, bottom = box
    middle = dice.randrange(left + (right - left) // 3, right - (right - left) // 3)
    pen.ellipse((middle - 25, top + 30, middle + 25, top + 80), outline=0, width=4)
    pen.polygon(
        [(middle - 20, top + 80), (middle + 20, top + 80), (middle + 35, bottom - 9), (middle - 40, bottom - 9)]
    )
    for _ in range(12):
        x, y = dice.randrange(left + 9, right - 60), dice.randrange(top + 9, bottom - 40)
        pen.line((x, y, x + dice.randrange(8, 50), y + dice.randrange(4, 30)), fill=0, width=3)


def framed(pen: ImageDraw.ImageDraw, box: tuple[int, int, int, int], seed: int, tone: int = 255) -> None:
    pen.rectangle(box, fill=tone, outline=0, width=5)
    scribbled(pen, box, seed)


def found_where(page: Image.Image, drawn: list[tuple[int, int, int, int]], *, rtl: bool = False) -> bool:
    """Whether these boxes are found in this order, and no others."""
    found = find_panels(page, rtl=rtl)
    parts = [(a / page.width, b / page.height, (c - a) / page.width, (d - b) / page.height) for a, b, c, d in drawn]
    return len(found) == len(parts) and all(overlap(a, b) > 0.9 for a, b in zip(found, parts, strict=True))


@pytest.mark.parametrize("kind", ["grid", "slanted", "bleed", "inset", "crossing", "spread", "black", "splash"])
@pytest.mark.parametrize("rtl", [False, True])
def test_panels_stand_where_they_were_drawn_in_reading_order(kind: str, rtl: bool) -> None:
    plan: Plan = replace(make_plan(kind, random.Random(4)), rtl=rtl)
    found = find_panels(draw_page(plan, "tones", crossings=1), rtl=rtl)
    drawn = [fractions(panel, plan.size) for panel in panels_of(plan)]
    assert len(found) == len(drawn)
    assert all(overlap(a, b) > 0.9 for a, b in zip(found, drawn, strict=True))


@pytest.mark.parametrize("tone", [0, 128, 255])
def test_an_even_page_is_one_panel(tone: int) -> None:
    assert find_panels(Image.new("L", (500, 750), tone)) == (WHOLE_PAGE,)


NINE = [(60 + 265 * n, 60 + 415 * m, 60 + 265 * n + 250, 60 + 415 * m + 400) for m in range(3) for n in range(3)]


@pytest.mark.parametrize("rtl", [False, True])
def test_nine_equal_panels_are_read_row_by_row(rtl: bool) -> None:
    page, pen = sheet()
    for seed, box in enumerate(NINE):
        framed(pen, box, seed)
    rows = [NINE[n : n + 3][:: -1 if rtl else 1] for n in (0, 3, 6)]
    assert found_where(page, [box for row in rows for box in row], rtl=rtl)


def test_a_tall_panel_comes_before_the_two_beside_it() -> None:
    page, pen = sheet()
    boxes = [(60, 60, 380, 1290), (400, 60, 840, 640), (400, 660, 840, 1290)]
    for seed, box in enumerate(boxes):
        framed(pen, box, seed)
    assert found_where(page, boxes)


def test_balloons_over_gutters_hide_none_of_them() -> None:
    page, pen = sheet()
    for seed, box in enumerate(NINE):
        framed(pen, box, seed)
    for x, y in ((318, 200), (583, 300), (450, 468), (318, 700), (200, 883), (583, 1100)):
        pen.ellipse((x - 80, y - 45, x + 80, y + 45), fill=255, outline=0, width=4)
        pen.line((x - 50, y, x + 50, y), fill=0, width=3)
    assert found_where(page, NINE)


def test_a_gutter_ends_behind_a_balloon_and_a_shelf_at_a_frame() -> None:
    page, pen = sheet()
    boxes = [(60, 60, 840, 400), (60, 420, 440, 700), (460, 420, 840, 700), (60, 720, 840, 1290)]
    for seed, box in enumerate(boxes):
        framed(pen, box, seed, 190)
    for y, reach in ((397, 37), (565, 66)):
        pen.ellipse((370, y - reach, 530, y + reach), fill=255, outline=0, width=4)
    # As wide as a gutter, seen as far, and closed by a frame above.
    pen.rectangle((600, 720, 620, 1000), fill=255, outline=0, width=4)
    assert found_where(page, boxes)


def test_a_shelf_from_frame_to_frame_parts_no_panel() -> None:
    page, pen = sheet()
    boxes = [(60, 60, 840, 660), (60, 680, 840, 1290)]
    for seed, box in enumerate(boxes):
        framed(pen, box, seed)
    pen.rectangle((60, 1000, 840, 1016), fill=255, outline=0, width=4)
    assert found_where(page, boxes)


@pytest.mark.parametrize("over", [9, 14])
def test_pencil_frames_that_run_on_over_their_corners_close_no_gutter(over: int) -> None:
    page, pen = sheet()
    boxes = [(60, 60, 840, 640), (60, 664, 420, 1290), (444, 664, 840, 1290)]
    for seed, box in enumerate(boxes):
        left, top, right, bottom = box
        for y in (top, bottom):
            pen.line((left - over, y, right + over, y), fill=150, width=3)
        for x in (left, right):
            pen.line((x, top - over, x, bottom + over), fill=150, width=3)
        scribbled(pen, box, seed)
    assert found_where(page, boxes)


def test_hatching_over_a_whole_page_is_no_gutter() -> None:
    page, pen = sheet()
    for x in range(-1400, 900, 16):
        pen.line((x, 1350, x + 700, 0), fill=0, width=3)
    assert find_panels(page) == (WHOLE_PAGE,)


def test_a_screen_of_dots_is_no_panel() -> None:
    page, pen = sheet()
    for x in range(0, 900, 18):
        for y in range(0, 1350, 18):
            pen.ellipse((x, y, x + 9, y + 9), fill=0)
    assert find_panels(page) == (WHOLE_PAGE,)


@pytest.mark.parametrize("size", [(1, 1), (2, 900), (900, 2), (61, 90)])
def test_a_picture_too_small_to_tell_is_one_panel(size: tuple[int, int]) -> None:
    assert find_panels(Image.effect_noise(size, 90)) == (WHOLE_PAGE,)


def test_a_white_page_that_bleeds_is_not_cut_to_what_is_drawn_in_it() -> None:
    page, pen = sheet()
    scribbled(pen, (250, 300, 700, 1000), 1)
    assert find_panels(page) == (WHOLE_PAGE,)


def test_panels_without_frames_end_where_their_tone_ends() -> None:
    page, pen = sheet()
    boxes = [(60, 60, 420, 640), (444, 60, 840, 640), (60, 664, 840, 1290)]
    for box, tone in zip(boxes, (170, 120, 200), strict=True):
        pen.rectangle(box, fill=tone)
        scribbled(pen, box, tone)
    assert found_where(page, boxes)


def test_black_gutters_that_black_figures_stand_against() -> None:
    page, pen = sheet(0)
    boxes = [(60, 60, 420, 640), (450, 60, 840, 640), (60, 670, 840, 1290)]
    for seed, box in enumerate(boxes):
        pen.rectangle(box, fill=(210, 255, 180)[seed])
        scribbled(pen, box, seed)
    pen.rectangle((340, 400, 420, 640), fill=0)
    assert found_where(page, boxes)


def test_panels_that_share_their_borders() -> None:
    page, pen = sheet()
    boxes = [(60, 60, 420, 640), (420, 60, 840, 640), (60, 640, 840, 1290)]
    for seed, box in enumerate(boxes):
        framed(pen, box, seed)
    assert found_where(page, boxes)
    assert lay_out(page).ruled


def test_an_inset_is_a_panel_and_a_window_is_none() -> None:
    page, pen = sheet()
    outer, inset = (60, 60, 840, 1290), (500, 750, 780, 1200)
    framed(pen, outer, 1, 190)
    pen.rectangle((120, 500, 270, 700), fill=255, outline=0, width=5)
    framed(pen, inset, 2)
    assert found_where(page, [outer, inset])


def test_an_inset_in_whose_corners_figures_stand_is_a_panel() -> None:
    page, pen = sheet()
    outer, inset = (60, 60, 840, 1290), (500, 750, 780, 1200)
    framed(pen, outer, 1, 190)
    # Edges of black figures carry two of the frame's lines on beyond its corners.
    pen.rectangle((500, 640, 620, 800), fill=0)
    pen.rectangle((400, 1080, 520, 1200), fill=0)
    framed(pen, inset, 2)
    assert found_where(page, [outer, inset])


@pytest.mark.parametrize("tone", [0, 40])
def test_a_night_is_an_inset_and_a_black_thing_is_none(tone: int) -> None:
    page, pen = sheet()
    outer, inset, thing = (60, 60, 840, 1290), (500, 750, 780, 1200), (120, 150, 380, 560)
    framed(pen, outer, 1)
    pen.rectangle(thing, fill=tone)
    pen.rectangle(inset, fill=40, outline=0, width=5)
    for x in range(530, 750, 40):
        pen.rectangle((x, 950, x + 24, 1200), fill=0)
    assert found_where(page, [outer, inset])


def test_gutters_that_a_soft_scan_leaves_hardly_white() -> None:
    page, pen = sheet()
    boxes = [(60, 60, 447, 640), (454, 60, 840, 640), (60, 650, 840, 1290)]
    for seed, box in enumerate(boxes):
        framed(pen, box, seed, 120)
    assert found_where(page.filter(ImageFilter.GaussianBlur(1.2)), boxes)


def test_a_spread_is_read_page_by_page_below_a_panel_over_both() -> None:
    page, pen = sheet(size=(1800, 1350))
    boxes = [
        (60, 60, 1740, 400),
        (60, 420, 840, 840),
        (60, 860, 840, 1290),
        (960, 420, 1740, 840),
        (960, 860, 1740, 1290),
    ]
    for seed, box in enumerate(boxes):
        framed(pen, box, seed)
    assert found_where(page, boxes)
    assert found_where(page, [boxes[0], *boxes[3:], *boxes[1:3]], rtl=True)


def test_panels_cover_the_page_without_meeting() -> None:
    layout = lay_out(PAGE)
    assert layout.map is not None
    assert set(layout.map.ravel().tolist()) == set(range(len(layout.boxes) + 1))
    for number, (left, top, wide, high) in enumerate(layout.boxes, 1):
        rows, columns = (layout.map == number).nonzero()
        high_, wide_ = layout.map.shape
        assert abs(rows.min() / high_ - top) < 0.01 and abs((rows.max() + 1) / high_ - top - high) < 0.01
        assert abs(columns.min() / wide_ - left) < 0.01 and abs((columns.max() + 1) / wide_ - left - wide) < 0.01
    assert all(overlap(a, b) == 0 for a, b in pairwise(layout.boxes))


@pytest.mark.parametrize("kind", ["grid", "slanted", "bleed", "spread"])
def test_pencils_and_inks_of_one_page_are_laid_out_alike(kind: str) -> None:
    plan = make_plan(kind, random.Random(9))
    pencils = pencilled(draw_page(plan, "tones"), random.Random(1))
    assert not laid_anew(lay_out(pencils), lay_out(draw_page(plan, "lines")))
    after = relaid(plan, random.Random(2))
    assert laid_anew(lay_out(pencils), lay_out(draw_page(after, "lines")))


def of(*boxes: Box) -> tuple[Box, ...]:
    return boxes


HALVES = of((0.1, 0.1, 0.8, 0.39), (0.1, 0.51, 0.8, 0.39))
THIRDS = of((0.1, 0.1, 0.8, 0.39), (0.1, 0.51, 0.39, 0.39), (0.51, 0.51, 0.39, 0.39))


def test_an_inset_more_is_no_new_layout() -> None:
    plain = replace(lay_out(PAGE), boxes=HALVES)
    assert not laid_anew(plain, replace(plain, boxes=(*HALVES, (0.5, 0.6, 0.3, 0.2))))


def test_a_line_more_is_a_new_layout_only_where_gutters_part_the_panels() -> None:
    plain = replace(lay_out(PAGE), boxes=HALVES)
    assert laid_anew(plain, replace(plain, boxes=THIRDS))
    assert not laid_anew(plain, replace(plain, boxes=THIRDS, ruled=True))


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
