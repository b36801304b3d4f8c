"""Working days: counted forward and back over the week of `[calendar]` and its days off."""

from datetime import date, timedelta

from ledger.model.book import Calendar

#: Nobody plans further than this; what would take longer has no date.
HORIZON = timedelta(days=366 * 50)
_DAY = timedelta(days=1)


def is_working(day: date, calendar: Calendar) -> bool:
    """Whether a day is a working day."""
    return day.weekday() in calendar.working_days and day not in calendar.days_off


def day_after(start: date, working_days: int, calendar: Calendar) -> date | None:
    """The day on which so many working days after `start` are done, `start` itself not worked on.

    `start` for none; None where that lies beyond the horizon.
    """
    day, left = start, working_days
    off = frozenset(calendar.days_off)
    last = min(HORIZON, date.max - start)
    while left > 0:
        if day - start >= last:
            return None
        day += _DAY
        left -= day.weekday() in calendar.working_days and day not in off
    return day


def last_working_days(end: date, count: int, calendar: Calendar) -> tuple[date, ...]:
    """The last working days up to and with `end`, oldest first; fewer where the calendar has no more."""
    found: list[date] = []
    day = end
    while len(found) < count and end - day < HORIZON and day > date.min:
        if is_working(day, calendar):
            found.append(day)
        day -= _DAY
    return tuple(reversed(found))


def days_off_between(after: date, until: date, calendar: Calendar) -> tuple[date, ...]:
    """Days off that would have been working days, after one day and up to another."""
    return tuple(
        day for day in sorted(set(calendar.days_off)) if after < day <= until and day.weekday() in calendar.working_days
    )
