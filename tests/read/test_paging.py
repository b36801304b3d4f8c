"""Pages and panels are counted as they are met, whatever their marks say."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ledger.model.pages import page_numbers
from ledger.model.script import Page
from ledger.read.marks import Mark
from ledger.read.paging import Paging


def met(*marks: Mark | None) -> Paging:
    """A paging that has met these marks, one a line; None is a line of words."""
    paging = Paging()
    for row, mark in enumerate(marks, 1):
        if mark is None:
            paging.line()
        else:
            paging.met(mark, "script/01.md", row)
    return paging


def page(first: int | None = None, last: int | None = None) -> Mark:
    return Mark("page", first, last or first, pages=2 if last else 1)


PANEL, OMITTED, REVEAL = Mark("panel"), Mark("omitted"), Mark("reveal")


def labels(*marks: Mark | None) -> list[str]:
    return [found.label + (" omitted" if found.omitted else "") for found in met(*marks).closed()]


def test_the_first_number_typed_is_where_the_count_begins() -> None:
    assert labels(page(12), page(12), page(), page(99)) == ["12", "13", "14", "15"]
    assert labels(page(), page(7)) == ["1", "2"]
    assert labels(page(0), page()) == ["1", "2"]
    assert [found.typed for found in met(page(12), page(12), page()).closed()] == ["12", "12", None]


def test_a_spread_takes_two_numbers() -> None:
    assert labels(page(23), page(24, 25), page()) == ["23", "24-25", "26"]


def test_panels_start_again_on_every_page() -> None:
    paging = met(page(1), PANEL, None, Mark("panel", 7))
    assert (paging.label, paging.panel) == ("1", 2)
    paging.met(page(2), "script/01.md", 9)
    assert (paging.label, paging.panel) == ("2", None)
    first, second = paging.closed()
    assert [(panel.number, panel.typed) for panel in first.panels] == [(1, None), (2, 7)]
    assert (first.holds, second.holds, second.panel_count) == (True, False, 0)


def test_panels_before_any_page_are_counted_by_themselves() -> None:
    paging = met(PANEL, Mark("panel", 5), PANEL)
    assert (paging.label, paging.panel, paging.closed()) == (None, 6, ())


def test_a_page_taken_out_right_after_its_mark() -> None:
    assert labels(page(1), None, page(2), OMITTED, page(3)) == ["1", "2 omitted", "3"]


def test_a_page_taken_out_with_its_mark_keeps_its_number() -> None:
    assert labels(page(1), None, OMITTED, page(3)) == ["1", "2 omitted", "3"]
    assert labels(page(1), None, OMITTED, OMITTED, page(4)) == ["1", "2 omitted", "3 omitted", "4"]
    assert labels(page(1), None, OMITTED, page()) == ["1", "2 omitted", "3"]


def test_a_scene_taken_out_inside_a_page_takes_no_number() -> None:
    assert labels(page(1), None, OMITTED, None, page(2)) == ["1", "2"]
    assert labels(OMITTED, page(1)) == ["1"]


def test_a_reveal_needs_a_page_to_stand_on() -> None:
    paging = Paging()
    assert paging.met(REVEAL, "script/01.md", 1) is False
    assert paging.met(page(2), "script/01.md", 2) and paging.met(REVEAL, "script/01.md", 3)
    assert paging.closed()[0].reveal
    paging.met(PANEL, "script/01.md", 4)
    paging.met(REVEAL, "script/01.md", 5)
    assert [panel.reveal for panel in paging.closed()[0].panels] == [True]


def test_a_mark_that_repeats_the_open_page_beside_its_next_panel() -> None:
    paging = met(page(12), PANEL, None)
    assert paging.goes_on(page(12), Mark("panel", 2))
    assert not paging.goes_on(page(12), Mark("panel", 3))
    assert not paging.goes_on(page(13), Mark("panel", 2))
    assert not paging.goes_on(page(), Mark("panel", 2))
    assert not met(page(12)).goes_on(page(12), Mark("panel", 1)), "that is a second page 12"
    assert not Paging().goes_on(page(12), Mark("panel", 2))


MARKS = st.one_of(
    st.just(None), st.just(PANEL), st.just(OMITTED), st.just(REVEAL), st.just(page()), st.integers(0, 40).map(page),
    st.integers(1, 20).map(lambda n: page(2 * n, 2 * n + 1)), st.integers(1, 9).map(lambda n: Mark("panel", n)),
)  # fmt: skip


@given(st.lists(MARKS, max_size=25))
def test_numbers_follow_one_another_and_are_never_used_twice(marks: list[Mark | None]) -> None:
    found: tuple[Page, ...] = met(*marks).closed()
    numbers = [number for each in found for number in page_numbers(each.label)]
    assert numbers == list(range(numbers[0], numbers[0] + len(numbers))) if numbers else not found
    typed = [mark for mark in marks if mark is not None and mark.kind == "page"]
    assert len([each for each in found if each.typed is not None]) == len([m for m in typed if m.first is not None])
    assert len(found) >= len(typed)
    for each in found:
        assert [panel.number for panel in each.panels] == list(range(1, len(each.panels) + 1))


@given(st.lists(MARKS, max_size=15), st.lists(MARKS, max_size=5))
def test_what_comes_later_changes_no_number_before(marks: list[Mark | None], later: list[Mark | None]) -> None:
    before = [each.label for each in met(*marks).closed()]
    assert [each.label for each in met(*marks, *later).closed()][: len(before)] == before
