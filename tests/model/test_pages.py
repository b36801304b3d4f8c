"""Pages as people and file names write them, and ranges of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.model.pages import (
    ALL_PAGES,
    PageSet,
    label_order,
    page_label,
    page_name,
    page_numbers,
    pages_counted,
    pages_text,
    pages_words,
    parse_pages,
)


def test_a_spread_counts_as_two() -> None:
    assert pages_counted(["cover", "f1", "1", "24-25"]) == 5


@pytest.mark.parametrize(
    ("typed", "label"),
    [
        ("12", "12"), ("p012", "12"), (" p12 ", "12"), ("0012", "12"), ("10", "10"), ("100", "100"),
        ("24-25", "24-25"), ("p024-025", "24-25"), ("p024-p025", "24-25"), ("024-25", "24-25"),
        ("f001", "f1"), ("f1", "f1"), ("b010", "b10"), ("cover", "cover"),
    ],
)  # fmt: skip
def test_padding_goes_away(typed: str, label: str) -> None:
    assert page_label(typed) == label


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "p",
        "f",
        "page 12",
        "12a",
        "12-",
        "-12",
        "25-24",
        "24-24",
        "12.3",
        "c1",
        "covers",
        "f1-f2",
        "12\n13",
        "p012.png",
    ],
)
def test_what_is_no_page(typed: str) -> None:
    assert page_label(typed) is None


def test_a_number_longer_than_any_book_is_no_page() -> None:
    """Python reads no number of more than 4300 digits (docs.python.org, "Integer string conversion length limit")."""
    assert page_label("9" * 5000) is None
    assert page_label("f" + "9" * 5000) is None


def test_numbers_of_a_label() -> None:
    assert [page_numbers(label) for label in ("12", "24-25", "f1", "b2", "cover", "")] == [
        (12,), (24, 25), (), (), (), ()]  # fmt: skip


@pytest.mark.parametrize(
    "label", ["²", "1-x", "x-1", "1-2-3", "-", "1-", "-1", "9" * 5000, "1-" + "9" * 20, "\u202e1", "f²"]
)
def test_what_is_no_label_has_no_numbers_and_still_its_place(label: str) -> None:
    """Labels stand in entries too, and those come from anywhere."""
    assert page_numbers(label) == ()
    assert isinstance(label_order(label), tuple)


def test_a_page_in_a_sentence() -> None:
    assert [page_name(label) for label in ("12", "24-25", "f1", "cover")] == [
        "page 12",
        "the spread 24-25",
        "page f1",
        "the cover",
    ]


@pytest.mark.parametrize(
    ("pages", "words"),
    [(None, "all pages"), ("3", "page 3"), ("1-2,5", "pages 1-2, 5"), ("24-25", "pages 24-25"), ("cover", "the cover"),
     ("f1", "page f1"), ("cover,f1,3", "pages cover, f1, 3")],
)  # fmt: skip
def test_pages_in_a_sentence(pages: str | None, words: str) -> None:
    assert pages_words(pages) == words


def test_the_order_of_a_bound_book() -> None:
    shuffled = ["b1", "10", "cover", "9", "24-25", "f10", "f2", "2"]
    assert sorted(shuffled, key=label_order) == ["cover", "f2", "f10", "2", "9", "10", "24-25", "b1"]


# -- sets of pages


@pytest.mark.parametrize("text", [None, "", "  "])
def test_no_pages_named_are_all_pages(text: str | None) -> None:
    assert parse_pages(text) == ALL_PAGES
    assert "b99" in parse_pages(text) and parse_pages(text).text() is None


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("1-3, 30", "1-3,30"), ("3,2,1", "1-3"), ("p012-p013", "12-13"), ("5,5", "5"), ("f1-f3", "f1,f2,f3"),
        ("f1-3", "f1,f2,f3"), ("b001", "b1"), ("2,cover,f2,f1", "cover,f1,f2,2"), ("7,8-9", "7-9"),
    ],
)  # fmt: skip
def test_read_and_written_again(text: str, written: str) -> None:
    found = parse_pages(text)
    assert found.text() == written
    assert parse_pages(found.text()) == found and hash(parse_pages(found.text())) == hash(found)


@pytest.mark.parametrize("text", ["x", "1,,2", "3-1", "1-2-3", "f3-f1", "f1-b2", "b2-1", "all", "1;2"])
def test_what_is_no_range_is_named(text: str) -> None:
    with pytest.raises(ValueError, match="is no page or range of pages"):
        parse_pages(text)


@pytest.mark.parametrize("text", ["1-999999999999", "f1-f999999999999", "b1-999999999", "1-" + "9" * 5000])
def test_a_range_that_no_memory_holds_is_refused_at_once(text: str) -> None:
    with pytest.raises(ValueError, match="is no page or range of pages"):
        parse_pages(text)


def test_a_spread_is_met_by_either_half() -> None:
    assert "24-25" in parse_pages("25") and "24-25" in parse_pages("24")
    assert "24-25" not in parse_pages("23,26")
    assert "f1" not in parse_pages("1") and 1 not in parse_pages("1")


def test_an_empty_set_is_no_pages_and_not_all() -> None:
    assert not PageSet() and "1" not in PageSet() and PageSet() != ALL_PAGES and PageSet().text() == ""


LABELS = st.one_of(
    st.integers(1, 400).map(str),
    st.integers(1, 200).map(lambda n: f"{2 * n}-{2 * n + 1}"),
    st.tuples(st.sampled_from("fb"), st.integers(1, 20)).map(lambda pair: f"{pair[0]}{pair[1]}"),
    st.just("cover"),
)


@given(st.sets(LABELS, min_size=1))
def test_what_is_written_reads_back_as_the_same_pages(labels: set[str]) -> None:
    read = parse_pages(pages_text(labels))
    assert all(label in read for label in labels)
    halves = {str(n) for label in labels for n in page_numbers(label)}
    assert read.labels == halves | {label for label in labels if not page_numbers(label)}


@given(LABELS, st.integers(0, 3))
def test_a_label_is_its_own_label(label: str, padding: int) -> None:
    assert page_label(label) == label
    digits = label.lstrip("fb")
    part = label[: len(label) - len(digits)]
    if digits.isdecimal():
        assert page_label(f"{part}{'0' * padding}{digits}") == label


@given(st.text(max_size=8))
def test_any_text_is_pages_or_is_refused(text: str) -> None:
    try:
        found = parse_pages(text)
    except ValueError:
        return
    assert found.everything or found
