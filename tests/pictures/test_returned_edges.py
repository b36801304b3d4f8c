"""Smoothed edges of flats: found wherever they are, and honest flats never accused (T-172, [C])."""

from __future__ import annotations

import random

import pytest
from PIL import Image, ImageDraw

from ledger.pictures.returns.returned_edges import smoothed_edges

SIZE = (240, 320)


def _colour(dice: random.Random) -> tuple[int, int, int]:
    return dice.randrange(256), dice.randrange(256), dice.randrange(256)


def honest(seed: int, tones: bool = False) -> Image.Image:
    """Many fills with hard edges, slivers and one-pixel details; with `tones` all of them grey."""
    dice = random.Random(seed)
    palette = [(each,) * 3 if tones else _colour(dice) for each in dice.sample(range(256), 24)]
    page = Image.new("RGB", SIZE, palette[0])
    pen = ImageDraw.Draw(page)
    for number, colour in enumerate(palette):
        box = [dice.randrange(SIZE[0]), dice.randrange(SIZE[1])]
        around = [*box, box[0] + dice.randrange(12, 90), box[1] + dice.randrange(12, 90)]
        (pen.ellipse if number % 2 else pen.rectangle)(around, fill=colour)
    for colour in palette[:8]:
        ends = [dice.randrange(side) for side in (*SIZE, *SIZE)]
        pen.line(ends, fill=colour, width=1)
        pen.point((dice.randrange(SIZE[0]), dice.randrange(SIZE[1])), fill=colour)
    for number, colour in enumerate(palette):
        pen.rectangle((10 * number, 0, 10 * number + 6, 4), fill=colour)
    return page


def with_disc(page: Image.Image, side: int = 12, at: tuple[int, int] = (150, 200)) -> Image.Image:
    """The same with a smoothed disc of `side` px on a fill of its own: drawn four times as large, brought down."""
    large = Image.new("RGB", (4 * side + 32, 4 * side + 32), (20, 90, 160))
    ImageDraw.Draw(large).ellipse((16, 16, 15 + 4 * side, 15 + 4 * side), fill=(230, 180, 40))
    found = page.copy()
    found.paste(large.resize((side + 8, side + 8), Image.Resampling.BOX), at)
    return found


@pytest.mark.parametrize("tones", [False, True])
@pytest.mark.parametrize("seed", range(60))
def test_honest_flats_are_never_accused(seed: int, tones: bool) -> None:
    assert smoothed_edges(honest(seed, tones)) is None


@pytest.mark.parametrize("seed", range(60))
def test_one_small_smoothed_disc_is_found_where_it_is(seed: int) -> None:
    found = smoothed_edges(with_disc(honest(seed)))
    assert found is not None
    assert 150 <= found.x < 170 and 200 <= found.y < 220


def test_a_disc_of_two_colours_is_hard_and_one_smoothed_four_times_is_not() -> None:
    page = Image.new("RGB", (64, 64), (20, 90, 160))
    ImageDraw.Draw(page).ellipse((10, 10, 50, 50), fill=(230, 180, 40))
    assert smoothed_edges(page) is None
    smooth = with_disc(Image.new("RGB", (64, 64), (20, 90, 160)), 40, (8, 8))
    assert smoothed_edges(smooth) is not None
    assert smoothed_edges(smooth.resize((128, 128), Image.Resampling.NEAREST)) is not None


def test_three_fills_that_meet_smoothed_are_found() -> None:
    large = Image.new("RGB", (256, 256), (200, 30, 30))
    pen = ImageDraw.Draw(large)
    pen.polygon([(0, 255), (130, 120), (255, 255)], fill=(30, 200, 60))
    pen.polygon([(255, 0), (130, 120), (255, 255)], fill=(40, 50, 220))
    assert smoothed_edges(large) is None
    assert smoothed_edges(large.resize((64, 64), Image.Resampling.BOX)) is not None


def test_a_fill_between_its_neighbours_is_a_fill_also_where_it_runs_thin() -> None:
    page = Image.new("RGB", (60, 60), (0, 0, 0))
    pen = ImageDraw.Draw(page)
    pen.rectangle((30, 0, 59, 59), fill=(200, 200, 200))
    pen.line((30, 0, 30, 59), fill=(100, 100, 100))
    assert smoothed_edges(page) is not None
    pen.rectangle((28, 20, 32, 24), fill=(100, 100, 100))
    assert smoothed_edges(page) is None


@pytest.mark.parametrize("times", [3, 4, 5])
@pytest.mark.parametrize("cut", [0, 1])
def test_a_page_smoothed_and_then_enlarged_is_found_and_an_honest_one_is_not(times: int, cut: int) -> None:
    def enlarged(page: Image.Image) -> Image.Image:
        large = page.resize((page.width * times, page.height * times), Image.Resampling.NEAREST)
        return large.crop((cut, cut, large.width - 2 * cut, large.height - cut))

    assert smoothed_edges(enlarged(honest(times))) is None
    found = smoothed_edges(enlarged(with_disc(honest(times))))
    assert found is not None
    assert 150 * times - cut <= found.x < 170 * times and 200 * times - cut <= found.y < 220 * times


def test_smoothing_in_linear_light_is_found() -> None:
    """IEC 61966-2-1: (20, 90, 160) and (230, 180, 40) mixed half and half as light; worked out by hand."""
    page = Image.new("RGB", (40, 40), (20, 90, 160))
    pen = ImageDraw.Draw(page)
    pen.rectangle((20, 0, 39, 39), fill=(230, 180, 40))
    pen.line((20, 0, 20, 39), fill=(169, 144, 120))
    assert smoothed_edges(page) is not None
    pen.line((20, 0, 20, 39), fill=(169, 144, 130))
    assert smoothed_edges(page) is None


def test_a_lone_mixed_pixel_where_three_fills_meet_is_found() -> None:
    page = Image.new("RGB", (40, 40), (210, 30, 30))
    pen = ImageDraw.Draw(page)
    pen.rectangle((20, 0, 39, 39), fill=(30, 210, 60))
    pen.rectangle((0, 20, 39, 39), fill=(60, 30, 240))
    page.putpixel((19, 19), (100, 90, 110))
    found = smoothed_edges(page)
    assert found is not None and (found.x, found.y, found.pixels) == (19, 19, 1)
    page.putpixel((19, 19), (100, 90, 200))
    assert smoothed_edges(page) is None


@pytest.mark.parametrize("size", [(1, 1), (1, 9), (9, 1), (2, 2), (3, 3)])
def test_tiny_pages(size: tuple[int, int]) -> None:
    assert smoothed_edges(Image.new("RGB", size, (9, 9, 9))) is None
