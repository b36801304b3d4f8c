"""The changed pages of a comparison as pictures: how many, how large, framed where."""

from __future__ import annotations

import random
from collections.abc import Mapping
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from ledger.desk.comparing import sides
from ledger.desk.pictures.plates import MOST_BYTES, SIDES, frames_of_new, frames_of_old, plates
from ledger.desk.reference import open_desk
from ledger.model.change import Comparison, PictureBox, PictureChange, Side
from ledger.model.memo import MemoFacts
from ledger.model.plate import Plate, Plates, Shown
from ledger.pictures.plates import plate
from ledger.render.memo.page import memo_html
from tests.pictures.drawn import coloured, inked, saved

HALVES = ((0.0, 0.0, 1.0, 0.5), (0.0, 0.5, 1.0, 0.5))


def change(kind: str, *shares: float, page: str = "1") -> PictureChange:
    boxes = tuple(PictureBox(n, box, share) for n, (box, share) in enumerate(zip(HALVES, shares, strict=False), 1))
    return PictureChange("pages", page, kind, boxes)


@pytest.mark.parametrize(
    ("told", "old", "new"),
    [
        (change("redrawn", 0.8, 0.0), ["1 redrawn"], ["1 redrawn"]),
        (change("redrawn", 0.8, 0.1), ["1 redrawn", "2 touched up"], ["1 redrawn", "2 touched up"]),
        (change("touch-up", 0.0, 0.1), ["2 touched up"], ["2 touched up"]),
        (change("layout", 0.5, 0.5), [], ["1 laid out anew", "2 laid out anew"]),
        (change("swapped"), [], []),
        (change("added"), [], []),
    ],
)
def test_what_is_framed(told: PictureChange, old: list[str], new: list[str]) -> None:
    assert [frame.words for frame in frames_of_old(told)] == old
    assert [frame.words for frame in frames_of_new(told)] == new


def laid(top: Path, pages: Mapping[str, bytes], name: str) -> None:
    (top / name).mkdir()
    for page, data in pages.items():
        (top / name / f"{page}.png").write_bytes(data)


def test_both_sides_are_read(tmp_path: Path) -> None:
    laid(tmp_path, {"p001": saved(inked(1)), "p002": saved(inked(2))}, "old")
    laid(tmp_path, {"p001": saved(inked(3)), "p003": b"PAGE THREE"}, "new")
    changes = [change("redrawn", 0.9, 0.9), change("missing", page="2"), change("added", page="3")]
    shown, left_out = plates(*sides(open_desk(tmp_path), ["old", "new"]), changes)
    assert [(bool(each.old), bool(each.new)) for each in shown] == [(True, True), (True, False), (False, False)]
    assert left_out == 0


def test_very_many_pages_are_shown_smaller_and_not_without_end(tmp_path: Path) -> None:
    sheet = saved(Image.new("L", (604, 906), 255))
    most = SIDES[-1][0]
    for count in (1, SIDES[0][0] + 1, most + 2):
        top = tmp_path / str(count)
        top.mkdir()
        laid(top, {"p999": sheet}, "old")
        laid(top, {f"p{n:03}": sheet for n in range(1, count + 1)}, "new")
        changes = [change("added", page=str(n)) for n in range(1, count + 1)]
        shown, left_out = plates(*sides(open_desk(top), ["old", "new"]), changes)
        assert (len(shown), left_out) == (min(count, most), max(0, count - most))
        side = next((side for pages, side in SIDES if count <= pages), SIDES[-1][1])
        assert {max(each.new.width, each.new.height) for each in shown if each.new} == {side}


def hard(seed: int) -> bytes:
    """What packs badly: pencil over paper with its grain, as it comes from a scanner; every fourth page in colour."""
    draw_with = random.Random(seed)
    page = inked(seed, (700, 1050)).convert("L")
    pen = ImageDraw.Draw(page)
    for _ in range(900):
        x, y = draw_with.randrange(700), draw_with.randrange(1050)
        pen.line((x, y, x + draw_with.randrange(-40, 40), y + draw_with.randrange(10, 40)), fill=90)
    grained = Image.blend(page, Image.effect_noise(page.size, 40), 0.15)
    return saved(grained if seed % 4 else Image.merge("RGB", (grained, *coloured(seed, page.size).split()[1:])))


def test_twenty_changed_pages_stay_below_five_mebibytes() -> None:
    """A quarter of them is made here; each of twenty has the same room."""
    told = [change("redrawn", 0.9, 0.0, page=str(number)) for number in range(1, 6)]
    shown = tuple(Plate(each, room(each, 1), room(each, 2)) for each in told)
    comparison = Comparison(Side("inks-1"), Side("inks-2"), pictures=tuple(told))
    html = memo_html(comparison, MemoFacts("The Ninth Supper", "inks-1", "inks-2", plates=Plates(shown)))
    assert html.count("<img ") == 10
    assert 500_000 < len(html.encode()) < 5 * 1024 * 1024 / 4


def room(told: PictureChange, side: int) -> Shown:
    return plate(hard(40 * side + int(told.page)), frames_of_new(told), SIDES[0][1], MOST_BYTES)


def test_what_packs_worst_is_made_smaller() -> None:
    """A screen of dots all over the page, as nobody draws it."""
    screen = saved(Image.effect_noise((900, 1350), 120).convert("1"))
    made = plate(screen, [], 900, MOST_BYTES)
    assert len(made.data) <= MOST_BYTES
    assert 400 <= made.height < 900
