"""When each pass and the whole book will be done: a range of days, and what it was computed from."""

import math
from collections.abc import Mapping, Sequence
from datetime import date
from typing import NamedTuple

from ledger.model.book import Book, Calendar, Pass
from ledger.model.finding import Finding
from ledger.plan.pace import Pace
from ledger.plan.workdays import day_after, days_off_between

#: Who draws where no hands are named.
AUTHOR = "the author"


class Range(NamedTuple):
    """Days on which it is done at the fastest, the usual and the slowest pace; None where there is no date."""

    early: date | None = None
    likely: date | None = None
    late: date | None = None


#: No date can be told.
NO_DATE = Range()


class PassForecast(NamedTuple):
    """A drawn pass. Counts are pages; `days_off` lie between the day it was asked and the latest day."""

    name: str
    total: int
    entered: int
    pace: Pace
    range: Range = NO_DATE
    days_off: tuple[date, ...] = ()
    left_out: tuple[str, ...] = ()
    due: date | None = None
    hands: str = AUTHOR

    @property
    def left(self) -> int:
        """Pages without a picture."""
        return max(self.total - self.entered, 0)

    @property
    def done(self) -> bool:
        """Whether every page has a picture."""
        return self.left == 0


class Forecast(NamedTuple):
    """The whole answer of `forecast`; `basis` says in words what the book's range was computed from."""

    title: str
    as_of: date
    due: date | None
    range: Range
    basis: str
    passes: tuple[PassForecast, ...]
    findings: tuple[Finding, ...] = ()


def pass_forecast(
    pass_: Pass, total: int, entered: int, pace: Pace, as_of: date, calendar: Calendar, left_out: Sequence[str] = ()
) -> PassForecast:
    """The forecast of one pass, as if its hands worked on nothing else."""
    told = PassForecast(pass_.name, total, entered, pace, due=pass_.due, hands=pass_.hands or AUTHOR)
    why = [*pace.left_out, *left_out]
    days = None if told.done else pace.days(told.left)
    found = NO_DATE if days is None else _range(days, as_of, calendar)
    if not told.done and found is NO_DATE:
        why.append(_why_no_date(pace))
    end = found.late or found.likely
    off = days_off_between(as_of, end, calendar) if end else ()
    return told._replace(range=found, days_off=off, left_out=tuple(why))


def _why_no_date(pace: Pace) -> str:
    if pace.value is None:
        return "no date: no pace is measured, and none is stated (per_day in book.toml)"
    return "no date: the stated pace is 0" if not pace.value else "no date: at this pace it takes more than fifty years"


def _range(days: Sequence[float | None], as_of: date, calendar: Calendar) -> Range:
    """Working days as days of the calendar; no range at all where the likely day lies beyond the horizon."""
    early, likely, late = (None if each is None else _day(each, as_of, calendar) for each in days)
    return NO_DATE if likely is None else Range(early, likely, late)


def _day(days: float, as_of: date, calendar: Calendar) -> date | None:
    # A part of a day is a day; what is whole but for the last bits of a division is whole.
    return day_after(as_of, math.ceil(round(days, 9)), calendar) if days < 40_000 else None


def book_range(book: Book, passes: Sequence[PassForecast], as_of: date) -> tuple[Range, str]:
    """The range of the whole book, and what it rests on.

    What the same hands have left is added up; a pass begins when what it is made from is done.
    """
    left = [each for each in passes if not each.done]
    if not passes:
        return NO_DATE, "no pass is drawn in this book"
    if not left:
        return NO_DATE, "every drawn pass is done"
    without = [each.name for each in left if not each.pace.value]
    if without:
        return NO_DATE, f"no date: there is no pace for {', '.join(without)}"
    days = [_days_in_all(book, {each.name: each for each in passes}, at) for at in range(3)]
    found = _range(days, as_of, book.calendar)
    return found, _basis(left) if found is not NO_DATE else "no date: at this pace it takes more than fifty years"


def _days_in_all(book: Book, passes: Mapping[str, PassForecast], at: int) -> float:
    """Working days until the last pass is done, at the fastest (0), usual (1) or slowest pace (2)."""
    free: dict[str, float] = {}
    ends: dict[str, float] = {}
    for pass_ in in_making_order(book):
        told = passes.get(pass_.name)
        if told is None:
            continue
        days = told.pace.days(told.left) if not told.done else None
        begins = max([free.get(told.hands, 0.0), *(ends.get(name, 0.0) for name in pass_.comes_from)])
        ends[pass_.name] = begins if told.done else begins + ((days[at] if days else None) or 0.0)
        if not told.done:
            free[told.hands] = ends[pass_.name]
    return max(ends.values(), default=0.0)


def in_making_order(book: Book) -> list[Pass]:
    """The passes, each after those it is made from; else as `book.toml` has them."""
    found: list[Pass] = []
    left = list(book.passes)
    while left:
        names = {each.name for each in left}
        ready = next((each for each in left if not names & set(each.comes_from)), left[0])
        found.append(ready)
        left.remove(ready)
    return found


def _basis(left: Sequence[PassForecast]) -> str:
    parts = []
    for source in ("measured", "stated"):
        names = [each.name for each in left if each.pace.source == source]
        parts += [f"{', '.join(names)} at the {source} pace"] if names else []
    hands: dict[str, list[str]] = {}
    for each in left:
        hands.setdefault(each.hands, []).append(each.name)
    shared = [f"{', '.join(names)} are the work of {who}, so their days are added up"
              for who, names in hands.items() if len(names) > 1]  # fmt: skip
    return "; ".join([*parts, *shared, "a pass waits for what it is made from"])


def due_words(found: Range, due: date | None, as_of: date, done: bool = False) -> str:
    """How a range stands to a due day, in plain words; "" where there is none."""
    if due is None:
        return ""
    was = f"due {due}" if due >= as_of else f"was due {due}, which is past"
    if done:
        return f"{was}; it is done"
    if found.likely is None:
        return f"{was}; there is no date to set beside it"
    late = found.late or found.likely
    if late <= due:
        return f"{was}; the whole range ends on or before that day"
    if (found.early or found.likely) > due:
        return f"{was}; the whole range lies after that day"
    side = "before" if found.likely <= due else "after"
    return f"{was}; that day lies within the range, the likely day comes {'on or ' * (side == 'before')}{side} it"
