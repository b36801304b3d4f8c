"""Pace and dates against the worked forecast and, for working days, against numpy's business days."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from ledger.model.book import Book, Calendar, Pass
from ledger.model.entry import Round
from ledger.plan.forecast import NO_DATE, Range, book_range, pass_forecast
from ledger.plan.pace import pace_of
from ledger.plan.workdays import HORIZON, day_after, is_working, last_working_days

AS_OF = date(2026, 3, 27)  # a Friday
INKS = Pass("inks", "art", ("art/inks/p{page}.png",))
#: T-188: pages a day of the 20 working days from 2026-03-02; before them 29 pages at the same pace.
BEFORE, WINDOW = "21221222121222122", "21230221223212202312"
OFF = (date(2026, 4, 3), date(2026, 4, 6), *(date(2026, 5, day) for day in range(25, 30)))


def rounds(counts: Iterable[tuple[date, int]], name: str = "inks") -> list[Round]:
    """A round for every day with pages, each holding those before it as well."""
    found: list[Round] = []
    files: dict[str, str] = {}
    for day, count in counts:
        if not count:
            continue
        first = len(files) + 1
        files |= {f"art/{name}/p{page:03}.png": f"{page:040x}" for page in range(first, first + count)}
        number = len(found) + 1
        when = datetime(day.year, day.month, day.day, 12)
        found.append(Round(path=f"ledger/{name}-{number}.toml", number=number, date=when, by="A <a@b.example>",
                           files=dict(files), pass_name=name))  # fmt: skip
    return found


def worked_days() -> list[tuple[date, int]]:
    counts = [int(count) for count in BEFORE + WINDOW]
    return list(zip(last_working_days(AS_OF, len(counts), Calendar()), counts, strict=True))


@pytest.mark.parametrize(
    ("off", "wanted"),
    [
        ((), Range(date(2026, 6, 3), date(2026, 6, 12), date(2026, 6, 19))),
        (OFF, Range(date(2026, 6, 12), date(2026, 6, 23), date(2026, 6, 30))),
    ],
)
def test_the_worked_forecast(off: tuple[date, ...], wanted: Range) -> None:
    """Derived, T-188: fastest week 2.00, whole window 1.75, slowest week 1.60; 48, 55 and 60 working days."""
    calendar = Calendar(days_off=off)
    pace = pace_of(rounds(worked_days()), INKS._replace(per_day=6), Calendar(), AS_OF)
    assert (pace.value, pace.fastest, pace.slowest, pace.source) == (1.75, 2.0, 1.6, "measured")
    assert (pace.first, pace.last, pace.missing) == (date(2026, 3, 2), AS_OF, 0)
    told = pass_forecast(INKS, 160, 64, pace, AS_OF, calendar)
    assert told.range == wanted
    assert told.days_off == off
    assert (told.left, told.done) == (96, False)


def test_the_weeks_are_those_that_numpy_adds_up() -> None:
    """numpy.add.reduceat over the window: the range is its least and its greatest week."""
    weeks = np.add.reduceat(np.array([int(count) for count in WINDOW]), [0, 5, 10, 15]) / 5
    pace = pace_of(rounds(worked_days()), INKS, Calendar(), AS_OF)
    assert (pace.slowest, pace.fastest) == (weeks.min(), weeks.max())
    assert pace.value == pytest.approx(weeks.mean())


@pytest.mark.parametrize(
    ("name", "per_day", "days"), [("pencils", 1, 160), ("inks", 2, 80), ("letters", 11, 15), ("flats", 3, 54)]
)
def test_usual_paces(name: str, per_day: float, days: int) -> None:
    """A letterer's article on how long a page takes (pencils, letters); a flatter's and colourist's article, 2008
    (flats); inks are common practice, no source (T-180, T-181)."""
    stated = Pass(name, "art", (f"art/{name}/p{{page}}.png",), per_day=per_day)
    pace = pace_of([], stated, Calendar(), AS_OF)
    assert (pace.source, pace.missing) == ("stated", 5)
    end = np.busday_offset(np.datetime64(AS_OF, "D"), days).astype(date)
    assert pass_forecast(stated, 160, 0, pace, AS_OF, Calendar()).range == Range(end, end, end)


def test_one_more_page_through_four_passes() -> None:
    """Derived, T-182: 1 + 1/2 + 1/11 + 1/3."""
    paces = [pace_of([], Pass("x", "art", (), per_day=rate), Calendar(), AS_OF) for rate in (1, 2, 11, 3)]
    likely = [days[1] for pace in paces if (days := pace.days(1))]
    assert sum(likely) == pytest.approx(1.92, abs=0.01)


@pytest.mark.parametrize(("per_day", "source"), [(None, "none"), (2.0, "stated")])
def test_fewer_than_five_observations_measure_nothing(per_day: float | None, source: str) -> None:
    """Common practice, no source (T-184, T-185): a commit is one observation, 24 pages in it or three."""
    days = last_working_days(AS_OF, 8, Calendar())
    for counts in ([(day, 3) for day in days[::2]], [(days[0], 24)]):
        pace = pace_of(rounds(counts), INKS._replace(per_day=per_day), Calendar(), AS_OF)
        assert (pace.source, pace.value) == (source, per_day)
        assert (pace.observations, pace.missing) == (len(counts), 5 - len(counts))


def test_no_division_by_nothing() -> None:
    """Derived, T-186: a pace of zero has no date, what is done has none either."""
    pace = pace_of([], INKS._replace(per_day=0.0), Calendar(), AS_OF)
    told = pass_forecast(INKS, 40, 0, pace, AS_OF, Calendar())
    assert (told.range, told.left_out) == (NO_DATE, ("no date: the stated pace is 0",))
    assert pass_forecast(INKS, 6, 6, pace, AS_OF, Calendar()).done


def test_work_long_ago_is_marked_as_old() -> None:
    """Derived, T-186: six days' work, then nothing for a year: the last days with work count, and it is said."""
    days = [date(2025, 3, day) for day in (3, 4, 5, 6, 7, 10)]
    pace = pace_of(rounds([(day, 2) for day in days]), INKS, Calendar(), AS_OF)
    assert (pace.source, pace.value, pace.first, pace.last) == ("measured", 2.0, days[0], days[-1])
    assert pace.left_out == ("the pace is an old one: nothing was entered after 2025-03-10",)
    likely = pass_forecast(INKS, 40, 12, pace, AS_OF, Calendar()).range.likely
    assert likely is not None
    assert likely > AS_OF


def test_five_entries_of_one_day_measure_nothing() -> None:
    """Common practice, no source (T-185)."""
    pace = pace_of(rounds([(AS_OF - timedelta(1), 4)] * 5), INKS._replace(per_day=2), Calendar(), AS_OF)
    assert (pace.source, pace.observations, pace.missing) == ("stated", 5, 0)
    assert pace.left_out == ("all 5 entries are of one day, which measures no pace",)


def test_a_pace_too_small_has_no_date_in_a_far_year() -> None:
    """Derived: no date beyond fifty years."""
    pace = pace_of([], INKS._replace(per_day=0.001), Calendar(), AS_OF)
    told = pass_forecast(INKS, 160, 0, pace, AS_OF, Calendar())
    assert (told.range, told.left_out) == (NO_DATE, ("no date: at this pace it takes more than fifty years",))


def test_the_same_hands_are_added_up_and_others_wait() -> None:
    """Derived: pencils 10 days, then inks 5 by the same hands and flats 4 by others, which wait for the inks."""
    passes = (
        Pass("pencils", "art", (), per_day=1), Pass("inks", "art", (), ("pencils",), per_day=2),
        Pass("flats", "art", (), ("inks",), per_day=2.5, hands="Ines"), Pass("logo", "art", (), per_day=5),
    )  # fmt: skip
    book = Book("The Weir", 10, passes=passes)
    told = [pass_forecast(p, 10, 0, pace_of([], p, Calendar(), AS_OF), AS_OF, Calendar()) for p in passes]
    found, basis = book_range(book, told, AS_OF)
    # Author: 10 + 5 + 2 = 17; flats begin on day 15 and take 4.
    assert found.likely == np.busday_offset(np.datetime64(AS_OF, "D"), 19).astype(date)
    assert "pencils, inks, logo are the work of the author, so their days are added up" in basis


DAYS = some.dates(date(2020, 1, 1), date(2035, 12, 31))
MASKS = some.lists(some.booleans(), min_size=7, max_size=7).filter(any)


@given(DAYS, some.integers(1, 300), MASKS, some.sets(some.integers(-40, 400), max_size=30))
def test_working_days_as_numpy_counts_them(start: date, count: int, mask: list[bool], off: set[int]) -> None:
    """numpy.busday_offset and numpy.busday_count."""
    holidays = [start + timedelta(each) for each in off]
    calendar = Calendar(tuple(day for day, works in enumerate(mask) if works), tuple(holidays))
    reference = np.busdaycalendar(weekmask=mask, holidays=[np.datetime64(day, "D") for day in holidays])
    begin = np.datetime64(start, "D")
    end = day_after(start, count, calendar)
    assert end is not None
    assert end == np.busday_offset(begin, count - 1 if not is_working(start, calendar) else count, roll="forward",
                                   busdaycal=reference).astype(date)  # fmt: skip
    assert np.busday_count(begin + 1, np.datetime64(end, "D") + 1, busdaycal=reference) == count
    back = last_working_days(start, count, calendar)
    assert len(back) == count
    assert np.busday_count(np.datetime64(back[0], "D"), begin + 1, busdaycal=reference) == count


def test_what_would_end_beyond_the_horizon_has_no_date() -> None:
    """500 pages at a page now and then: nobody plans fifty years ahead, so the range is open at its end."""
    pace = pace_of(rounds([(AS_OF - timedelta(23), 1)] * 3 + [(AS_OF, 1)] * 2), INKS, Calendar(), AS_OF)
    told = pass_forecast(INKS, 500, 0, pace, AS_OF, Calendar()).range
    assert told.early and told.likely and told.early < told.likely < AS_OF + HORIZON
    assert told.late is None


@given(some.lists(some.tuples(some.integers(0, 60), some.integers(1, 9)), min_size=1, max_size=30))
def test_the_range_holds_its_middle(work: list[tuple[int, int]]) -> None:
    """Whatever was entered when: early <= likely <= late, all after the day it was asked, never an error."""
    counts = sorted((AS_OF - timedelta(back), pages) for back, pages in work)
    pace = pace_of(rounds(counts), INKS._replace(per_day=1), Calendar(), AS_OF)
    told = pass_forecast(INKS, 50, 0, pace, AS_OF, Calendar()).range
    assert told.early and told.likely and told.late
    assert AS_OF < told.early <= told.likely <= told.late
    assert pace.value is not None
    assert math.isfinite(pace.value)
