"""Working days and days off of `[calendar]`."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from ledger.model.book import Calendar
from ledger.read.config_table import Table, nearest
from ledger.read.toml_values import toml_value

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
#: More days than this in one range is a slip of the keyboard.
_LONGEST = 3660
_REMEDY = 'days off are dates or ranges: [2027-01-01, "2026-12-24..2026-12-27"]'


def read_calendar(table: Table) -> Calendar:
    """Working days as numbers from Monday 0, days off one by one in order. Raises Refusal."""
    usual = Calendar()
    return Calendar(_working(table) if "working_days" in table.values else usual.working_days, _off(table))


def _working(table: Table) -> tuple[int, ...]:
    days = table.words("working_days")
    for day in days:
        if day not in WEEKDAYS:
            table.wrong(f"{day!r} in 'working_days' is no day", "working_days", remedy=nearest(day, WEEKDAYS))
    if not days:
        table.wrong("'working_days' in [calendar] is empty", "working_days", remedy='name a day: ["mon"]')
    return tuple(sorted({WEEKDAYS.index(day) for day in days}))


def _off(table: Table) -> tuple[date, ...]:
    listed = table.values.get("days_off", [])
    if not isinstance(listed, list):
        table.wrong("'days_off' in [calendar] must be a list", "days_off", remedy=_REMEDY)
    return tuple(sorted({day for said in listed for day in _days(table, said)}))


def _days(table: Table, said: Any) -> list[date]:
    """One day, or every day of a range, both ends included."""
    if type(said) is date:
        return [said]
    first, dots, last = said.partition("..") if isinstance(said, str) else ("", "", "")
    try:
        start = date.fromisoformat(first.strip())
        end = date.fromisoformat(last.strip()) if dots else start
    except ValueError:
        table.wrong(f"{toml_value(said)} in 'days_off' is no date and no range of dates", "days_off", remedy=_REMEDY)
    length = (end - start).days
    if not 0 <= length <= _LONGEST:
        table.wrong(f"{said!r} in 'days_off' does not run from an earlier to a later day", "days_off", remedy=_REMEDY)
    return [start + timedelta(days=n) for n in range(length + 1)]
