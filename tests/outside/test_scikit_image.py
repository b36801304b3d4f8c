"""Shifts and differences on real pictures, against scikit-image as reference (BSD-3-Clause, for the tests alone).

Pictures: those that the scikit-image package ships in `skimage/data` (public domain or CC0, by its README): a scan of a
printed page, photographs, textures. Phase correlation: `skimage.registration.phase_cross_correlation`; structural
similarity after Wang et al., "Image quality assessment: from error visibility to structural similarity" (2004):
`skimage.metrics.structural_similarity`.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skimage
from PIL import Image, ImageDraw
from skimage.metrics import structural_similarity
from skimage.registration import phase_cross_correlation

from ledger.pictures.rounds.align import _move
from ledger.pictures.rounds.differ import spots
from ledger.pictures.rounds.pair import verdict
from tests.pictures.drawn import moved_by

DATA = Path(skimage.__file__).parent / "data"
PICTURES = ("page.png", "text.png", "camera.png", "coins.png", "brick.png", "gravel.png", "grass.png", "moon.png")
SIDE = 160


def picture(name: str) -> Image.Image:
    """Grey, and no smaller than a page's panel."""
    return Image.open(DATA / name).convert("L")


def tile(page: Image.Image, left: int, top: int) -> np.ndarray:
    window = np.outer(np.hanning(SIDE), np.hanning(SIDE))
    tones = np.asarray(page.crop((left, top, left + SIDE, top + SIDE)), dtype=np.float32)
    return np.asarray((tones - tones.mean()) * window)


@pytest.mark.parametrize("name", [name for name in PICTURES if name not in ("text.png", "moon.png")])
@pytest.mark.parametrize("shift", [(0, 0), (3, -2), (-5, 4), (8, 1)])
def test_a_tile_moved_as_far_as_the_reference_says(name: str, shift: tuple[int, int]) -> None:
    page = picture(name)
    one, other = tile(page, 10, 10), tile(page, 10 - shift[0], 10 - shift[1] if shift[1] <= 10 else 0)
    down, across = phase_cross_correlation(one, other, upsample_factor=20)[0]
    mine = _move(one, other)
    assert mine[0] == pytest.approx(-across, abs=0.6)
    assert mine[1] == pytest.approx(-down, abs=0.6)


@pytest.mark.parametrize("name", PICTURES)
def test_a_spot_painted_over_is_where_the_reference_sees_it_too(name: str) -> None:
    page = picture(name)
    painted = page.copy()
    box = (page.width // 3, page.height // 3, page.width // 3 + 40, page.height // 3 + 40)
    tone = 255 if np.asarray(page.crop(box)).mean() < 128 else 0
    ImageDraw.Draw(painted).ellipse(box, fill=tone)
    off = spots(page, painted)
    assert off.any()
    _, likeness = structural_similarity(np.asarray(page), np.asarray(painted), full=True)
    assert likeness[off].mean() < 0.6
    assert not off[likeness > 0.99].any()
    low = likeness < 0.2
    assert off[low].mean() > 0.5


@pytest.mark.parametrize("name", PICTURES)
def test_what_the_reference_calls_alike_is_the_same(name: str) -> None:
    """A little grain: the likeness stays high, and nothing was drawn anew."""
    page = picture(name)
    grain = np.random.default_rng(4).normal(0, 3, (page.height, page.width))
    grainy = Image.fromarray(np.clip(np.asarray(page) + grain, 0, 255).astype(np.uint8))
    assert structural_similarity(np.asarray(page), np.asarray(grainy)) > 0.7
    assert verdict(page, grainy).kind == "same"


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("shift", [(2, 0), (0, -2), (1, 1)])
def test_a_shift_of_real_pictures_is_none(name: str, shift: tuple[int, int]) -> None:
    page = picture(name)
    assert verdict(page, moved_by(page, *shift)).kind == "same"


def test_two_pictures_are_not_one() -> None:
    page = picture("camera.png")
    other = picture("brick.png").resize(page.size)
    assert structural_similarity(np.asarray(page), np.asarray(other)) < 0.3
    # A wall of bricks may be taken for a page of panels; what it must not be is the same page, or one touched up.
    assert verdict(page, other).kind in ("redrawn", "layout")
