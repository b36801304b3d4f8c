"""`inkledger forecast`: what is said, what is left out, and how it stands to a due day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from ledger.plan.forecast import Range, due_words
from tests.cli.conftest import Tell
from tests.schema_check import checked
from tests.typed_book import BOOK, TypedBook

DUE = date(2026, 6, 15)


def test_a_thin_history_says_what_is_missing(tell: Tell, entered: TypedBook) -> None:
    entered.write("book.toml", BOOK.replace('locks = ["structure"]', 'locks = ["structure"]\nper_day = 2', 1))
    entered.draw("inks", "001", 5)
    entered.ledger("enter", "inks", "-m", "one", env={"GIT_COMMITTER_DATE": "2026-03-02T12:00:00+0000"})
    found = checked(tell(entered.top, "forecast", "--as-of", "2026-03-27", "--json").out)
    by_name = {each["name"]: each for each in found["passes"]}
    assert list(by_name) == ["pencils", "inks", "letters"]
    inks = by_name["inks"]
    assert (inks["total"], inks["entered"], inks["left"], inks["done"]) == (4, 1, 3, False)
    assert (inks["rate"]["source"], inks["rate"]["observations"], inks["rate"]["missing"]) == ("none", 1, 4)
    assert inks["range"] == {"early": None, "likely": None, "late": None}
    said = tell(entered.top, "forecast", "--as-of", "2026-03-27").out
    assert "4 entries more would be needed to measure one" in " ".join(said.split())
    assert "No date: there is no pace for inks, letters." in said
    assert max(map(len, said.splitlines())) <= 80


def test_entries_after_the_day_are_not_known_yet(tell: Tell, entered: TypedBook) -> None:
    found = checked(tell(entered.top, "forecast", "--as-of", "2001-05-04", "--json").out)
    pencils = found["passes"][0]
    assert (pencils["entered"], pencils["rate"]["observations"]) == (0, 0)
    assert pencils["left_out"][0] == "1 entry made after this day"


def test_what_is_done_is_done(tell: Tell, entered: TypedBook) -> None:
    said = tell(entered.top, "forecast").out
    assert "pencils  Done: 4 of 4 pages entered.\n" in said


@pytest.mark.parametrize("typed", ["soon", "27.3.2026", "2026-02-30", ""])
def test_a_day_that_is_none(tell: Tell, laid_out: TypedBook, typed: str) -> None:
    code = 2 if typed else 0
    said = tell(laid_out.top, "forecast", "--as-of", typed, code=code)
    assert not typed or f"--as-of '{typed}' is no day" in said.err


@pytest.mark.parametrize("typed", ["0001-01-01", "9999-12-31"])
def test_the_ends_of_the_calendar(tell: Tell, entered: TypedBook, typed: str) -> None:
    entered.write("book.toml", BOOK.replace('locks = ["wording"]', 'locks = ["wording"]\nper_day = 2'))
    checked(tell(entered.top, "forecast", "--as-of", typed, "--json").out)


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ((1, 8, 15), "due 2026-06-15; the whole range ends on or before that day"),
        ((16, 20, 28), "due 2026-06-15; the whole range lies after that day"),
        ((10, 12, 20), "due 2026-06-15; that day lies within the range, the likely day comes on or before it"),
        ((10, 18, 20), "due 2026-06-15; that day lies within the range, the likely day comes after it"),
    ],
)
def test_a_due_day_in_plain_words(days: tuple[int, int, int], said: str) -> None:
    assert due_words(Range(*(date(2026, 6, day) for day in days)), DUE, date(2026, 3, 27)) == said


def test_a_due_day_that_is_past() -> None:
    assert due_words(Range(), DUE, date(2026, 7, 1)) == (
        "was due 2026-06-15, which is past; there is no date to set beside it"
    )
    assert due_words(Range(), DUE, date(2026, 7, 1), True) == "was due 2026-06-15, which is past; it is done"


def test_no_word_ranks_blames_or_hurries(tell: Tell, entered: TypedBook) -> None:
    told = tell(entered.top, "forecast").out + tell(entered.top, "forecast", "--help").out
    for word in ("faster", "slow", "behind", "productiv", "rank", "best", "worst", "hurry"):
        assert word not in told.lower(), word
    assert " ".join(tell(entered.top, "forecast", "--help").out.split()).count("a break of 5 to 10 minutes") == 1


def test_a_book_before_any_entry(tell: Tell, tmp_path: Path, laid_out: TypedBook) -> None:
    found = checked(tell(laid_out.top, "forecast", "--json").out)
    assert found["book"]["basis"].startswith("no date: there is no pace for pencils, inks, letters")


def test_a_forecast_says_what_it_was_computed_from(tell: Tell, entered: TypedBook) -> None:
    """Common practice, no source (T-183): as-of date, rate, window, number of observations, range, days off, what is
    left out, all seven."""
    entered.write("book.toml", BOOK.replace("[cast]", "[calendar]\ndays_off = [2026-03-16]\n\n[cast]"))
    for day, page in enumerate((1, 2, 3, 1, 2), 9):
        entered.draw("inks", f"{page:03}", 10 * day)
        entered.ledger("enter", "inks", env={"GIT_COMMITTER_DATE": f"2026-03-{day:02}T12:00:00+0000"})
    found = checked(tell(entered.top, "forecast", "--as-of", "2026-03-13", "--json").out)
    inks = next(each for each in found["passes"] if each["name"] == "inks")
    rate = inks["rate"]
    assert found["as_of"] == "2026-03-13"
    assert (rate["source"], rate["observations"], rate["missing"]) == ("measured", 5, 0) and rate["value"] > 0
    assert rate["from"] < rate["to"] == "2026-03-13"
    assert None not in inks["range"].values() and inks["range"]["early"] > found["as_of"]
    assert inks["days_off"] == ["2026-03-16"]
    assert isinstance(inks["left_out"], list)
    said = " ".join(tell(entered.top, "forecast", "--as-of", "2026-03-13").out.split())
    assert "as of 2026-03-13" in said and "2026-03-16" in said and "5 " in said
