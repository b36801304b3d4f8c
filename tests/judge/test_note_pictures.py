"""A note on a panel of a picture: whether that panel was drawn anew, counted the way the book is read."""

from __future__ import annotations

import pytest

from ledger.judge.note_pictures import Mark, Pictures, follow_mark
from ledger.model.snapshot import FileAt
from tests.judge.test_stale import four_panels, touched
from tests.pictures.drawn import inked, saved


def shown(picture: bytes, *, rtl: bool = False) -> Pictures:
    return Pictures({"7": FileAt("art/inks/p007.png", None)}, lambda _: picture, rtl=rtl)


@pytest.mark.parametrize(("rtl", "panel"), [(False, 2), (True, 1)])
def test_a_panel_is_counted_the_way_the_book_is_read(rtl: bool, panel: int) -> None:
    """The upper right panel was touched: the second from left to right, the first from right to left."""
    old, new = shown(saved(four_panels()), rtl=rtl), shown(touched(0.05, 0.51), rtl=rtl)
    redrawn = [number for number in range(1, 5) if follow_mark(Mark("7", number), old, new)[1]]
    assert redrawn == [panel]


def test_a_spot_lies_where_it_lies_however_the_book_is_read() -> None:
    for rtl in (False, True):
        old, new = shown(saved(four_panels()), rtl=rtl), shown(touched(0.05, 0.51), rtl=rtl)
        assert follow_mark(Mark("7", spot=(0.7, 0.2)), old, new) == (Mark("7", spot=(0.7, 0.2)), True)
        assert follow_mark(Mark("7", spot=(0.2, 0.2)), old, new)[1] is False


def test_where_no_panels_are_told_apart_the_page_counts() -> None:
    """A borderless page: the third panel a reader counted may be any part of it."""
    old, new = inked(1, (50, 70)), inked(2, (50, 70))
    assert follow_mark(Mark("7", 3), shown(saved(old)), shown(saved(new)))[1] is True
