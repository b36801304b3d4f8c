"""A note on a panel of a picture: whether that panel was drawn anew, counted the way the book is read."""

from __future__ import annotations

import pytest

from ledger.judge.notes.pictures import Mark, Pictures, follow_mark
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
        assert follow_mark(Mark("7", spot=(0.7, 0.2)), old, new)[:2] == (Mark("7", spot=(0.7, 0.2)), True)
        assert follow_mark(Mark("7", spot=(0.2, 0.2)), old, new)[1] is False


def test_where_no_panels_are_told_apart_the_page_counts() -> None:
    """A borderless page: the third panel a reader counted may be any part of it."""
    old, new = inked(1, (50, 70)), inked(2, (50, 70))
    assert follow_mark(Mark("7", 3), shown(saved(old)), shown(saved(new)))[1] is True


def rounds(*pages: dict[str, bytes]) -> list[Pictures]:
    """Rounds of exports by label; every file is known by its content."""
    return [Pictures({p: FileAt(p, None) for p in each}, lambda file, each=each: each[file.path]) for each in pages]  # type: ignore[misc]


A, B, C, D, E = (saved(inked(seed)) for seed in (1, 2, 3, 4, 5))


def test_an_export_that_was_shifted_is_followed_through_every_round() -> None:
    """Put in before it, then drawn anew under its new number: only the rounds between tell that."""
    old, between, new = rounds({"1": A, "2": B}, {"1": C, "2": A, "3": B}, {"1": C, "2": A, "3": D})
    assert follow_mark(Mark("2", spot=(0.4, 0.3)), old, new, [between])[:2] == (Mark("3", spot=(0.4, 0.3)), True)
    assert follow_mark(Mark("1"), old, new, [between])[:2] == (Mark("2"), False)


def test_a_page_shifted_and_touched_in_one_go_is_known_by_the_panels_that_stayed() -> None:
    four, again = saved(four_panels()), touched(0.05, 0.51)
    old, new = rounds({"1": A, "2": four, "3": B}, {"1": A, "2": C, "3": again, "4": D})
    assert follow_mark(Mark("2", 2), old, new)[:2] == (Mark("3", 2), True)
    assert follow_mark(Mark("2", 3), old, new)[:2] == (Mark("3", 3), False)


def test_a_page_drawn_on_stands_behind_the_one_that_was_put_in_before_it() -> None:
    """Every other page kept its number, and under its own stands a stranger now."""
    four, again = saved(four_panels()), touched(0.05, 0.51)
    old, new = rounds({"1": A, "2": four}, {"1": A, "2": B, "3": again})
    assert follow_mark(Mark("2", 2), old, new)[:2] == (Mark("3", 2), True)
    assert follow_mark(Mark("2", 3), old, new)[:2] == (Mark("3", 3), False)


def test_a_page_drawn_on_stays_where_it_is_when_others_are_put_behind_it() -> None:
    four, again = saved(four_panels()), touched(0.05, 0.51)
    old, new = rounds({"1": A, "2": four}, {"1": A, "2": again, "3": B, "4": C})
    assert follow_mark(Mark("2", 2), old, new)[:2] == (Mark("2", 2), True)


def test_a_page_drawn_anew_altogether_goes_with_its_neighbours() -> None:
    old, new = rounds({"1": A, "2": B, "3": C}, {"2": A, "3": D, "4": C})
    assert follow_mark(Mark("2"), old, new)[:2] == (Mark("3"), True)


def test_a_page_that_was_cut_is_not_the_one_that_has_its_number_now() -> None:
    old, new = rounds({"1": A, "2": B, "3": C}, {"1": A, "2": C})
    assert follow_mark(Mark("2"), old, new)[:2] == (None, False)
    assert follow_mark(Mark("3"), old, new)[:2] == (Mark("2"), False)


def test_a_page_taken_out_and_put_back_is_there_again() -> None:
    old, between, new = rounds({"1": A, "2": B}, {"1": A}, {"1": A, "2": B})
    assert follow_mark(Mark("2"), old, new, [between])[:2] == (Mark("2"), False)


def test_what_was_found_out_about_pictures_is_kept() -> None:
    memory: dict[str, str] = {}
    old, new = rounds({"1": A, "2": B, "3": C}, {"1": A, "2": D, "4": C})
    old, new = (Pictures(each.files, each.read, memory=memory) for each in (old, new))
    found = follow_mark(Mark("2"), old, new)
    assert memory
    unread = [Pictures(each.files, each.read, memory=memory) for each in (old, new)]
    assert follow_mark(Mark("2"), *unread) == found


def test_of_a_page_that_nothing_is_left_of_no_place_is_told() -> None:
    """One page between its neighbours then, two now, neither like it: it may be either, or gone."""
    old, new = rounds({"1": A, "2": B, "3": C}, {"1": A, "2": D, "3": E, "4": C})
    found = follow_mark(Mark("2", 1), old, new)
    assert found == (None, False, (Mark("2", 1), Mark("3", 1)))
    assert follow_mark(Mark("3"), old, new)[:2] == (Mark("4"), False)


def test_a_page_lost_in_one_round_stays_lost_in_the_next() -> None:
    old, between, new = rounds({"1": A, "2": B, "3": C}, {"1": A, "2": D, "3": E, "4": C}, {"1": D, "2": E, "3": C})
    assert follow_mark(Mark("2"), old, new, [between]) == (None, False, (Mark("1"), Mark("2")))


def test_a_page_lost_on_the_way_is_known_again_by_its_very_file() -> None:
    old, between, new = rounds({"1": A, "2": B, "3": C}, {"1": A, "2": D, "3": E, "4": C}, {"1": A, "2": B, "3": C})
    assert follow_mark(Mark("2"), old, new, [between])[:2] == (Mark("2"), False)
