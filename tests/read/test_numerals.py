"""Numbers as a script spells them."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.read.numerals import NUMBERS, number, number_range

UNITS = [
    "", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
    "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def spelled(value: int, link: str = "-", joint: str = " and ") -> str:
    """An English number below a thousand."""
    hundreds, rest = divmod(value, 100)
    below = UNITS[rest] if rest < 20 else TENS[rest // 10] + (link + UNITS[rest % 10] if rest % 10 else "")
    return joint.join(part for part in (f"{UNITS[hundreds]} hundred" if hundreds else "", below) if part)


@pytest.mark.parametrize("link", ["-", " "])
@pytest.mark.parametrize("joint", [" and ", " "])
def test_every_number_below_a_thousand(link: str, joint: str) -> None:
    for value in range(1, 1000):
        words = spelled(value, link, joint)
        assert number(words) == number(words.upper()) == value, words
        assert number(str(value)) == value


@pytest.mark.parametrize(
    "text",
    ["", "-", "twenty eleven", "twenty-ten", "one two", "twenty thirty", "hundred", "zero hundred", "twenty hundred",
     "one hundred and", "one hundred hundred", "a", "12a", "1.5", "10000", "²", "٣", "and", "twelfth"],
)  # fmt: skip
def test_what_spells_no_number(text: str) -> None:
    assert number(text) is None


def test_a_hundred_and_padding() -> None:
    assert [number("a hundred"), number("A HUNDRED AND SIX"), number(" 012 "), number("9999")] == [100, 106, 12, 9999]


@given(st.integers(1, 998), st.data(), st.sampled_from([" to ", " / ", "–", " & "]))
def test_a_range_in_words(first: int, data: st.DataObject, joint: str) -> None:
    last = data.draw(st.integers(first + 1, 999))
    assert number_range(f"{spelled(first)}{joint}{spelled(last)}") == (first, last)


@given(st.integers(1, 9998), st.data(), st.sampled_from(["-", "–", "—", "/", " & ", "+", " to ", " and "]))
def test_a_range_in_digits(first: int, data: st.DataObject, joint: str) -> None:
    last = data.draw(st.integers(first + 1, 9999))
    assert number_range(f"{first}{joint}{last}") == (first, last)
    assert number_range(f"{last}{joint}{first}") is None


@pytest.mark.parametrize(
    ("text", "pages"),
    [
        ("SIXTY AND SIXTY-ONE", (60, 61)), ("twenty-four and twenty-five", (24, 25)), ("twenty-four", (24, 24)),
        ("one hundred and one", (101, 101)), ("one hundred and one hundred and one", (100, 101)),
        ("twenty - twenty-one", (20, 21)), ("24-24", None), ("twelve and a half", None), ("pages", None), ("", None),
    ],
)  # fmt: skip
def test_two_numbers_or_one_long_one(text: str, pages: tuple[int, int] | None) -> None:
    assert number_range(text) == pages


@given(st.integers(1, 999))
def test_the_expression_takes_in_what_is_read(value: int) -> None:
    for typed in (spelled(value), spelled(value, " ", " "), str(value)):
        found = re.match(NUMBERS, typed, re.IGNORECASE)
        assert found is not None and found[0] == typed


def test_a_panel_count_is_no_page_of_a_range() -> None:
    found = re.match(NUMBERS, "twelve - five panels")
    assert found is not None and found[0] == "twelve"
