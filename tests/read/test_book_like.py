"""A new book.toml that takes page, limits, cast and passes of another."""

from __future__ import annotations

import pytest

from ledger.model.errors import Refusal
from ledger.read.book_like import book_like
from ledger.read.config import default_book_toml, read_book

HEAD = '[book]\ntitle = "Second volume"\npages = 96\n'

OTHER = """\
[book]
title = "First volume"
pages = 200
due = 2027-03-01

# A5, as the printer wants it.
[page]
trim_mm = [148, 210]
bleed_mm = 3

[limits]
words_per_page = 180   # our own

[calendar]
days_off = [
  2027-01-01,
]

[cast]
N = "Nell"

[cast.J]   # he came in late
name = "Joren Pike"

[[pass]]
name = "script"
kind = "text"
files = [
  "script/*.md",
]

[[pass]]
name = "inks"
files = "art/inks/p{page}.png"
from = ["script"]
locks = ["structure", "drawing"]
"""


@pytest.mark.parametrize("other", [OTHER, OTHER.replace("\n", "\r\n"), "\ufeff" + OTHER, default_book_toml("Usual")])
def test_what_is_taken_and_what_is_not(other: str) -> None:
    theirs, made = read_book(other.encode()), book_like(other.encode(), HEAD)
    ours = read_book(made.encode())
    assert (ours.title, ours.pages, ours.due) == ("Second volume", 96, None)
    assert (ours.page, ours.limits, ours.cast, ours.passes) == (theirs.page, theirs.limits, theirs.cast, theirs.passes)
    assert ours.calendar.days_off == ()


def test_remarks_go_along() -> None:
    made = book_like(OTHER.encode(), HEAD)
    assert "# A5, as the printer wants it.\n[page]" in made and "# our own" in made and "# he came in late" in made


def test_tables_that_can_not_be_told_apart_are_refused() -> None:
    odd = 'cast = { N = "Nell" }\n\n[book]\ntitle = "X"\npages = 4\n'
    with pytest.raises(Refusal, match="one by one"):
        book_like(odd.encode(), HEAD)


def test_a_broken_book_is_named() -> None:
    with pytest.raises(Refusal) as refused:
        book_like(b'[book]\ntitle = "X"\n', HEAD, "first/book.toml")
    assert refused.value.path == "first/book.toml"
