"""The pace of a pass: measured from its rounds where there are enough of them, else as `book.toml` states it.

An entry is one observation, whatever it holds: pages are entered when somebody gets round to it, so what one entry
holds says nothing about one day (trade facts T-184, T-185).
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from ledger.model.book import Calendar, Pass
from ledger.model.entry import Entry, Round
from ledger.model.pages import page_numbers
from ledger.plan.workdays import last_working_days
from ledger.read.patterns import label_of

#: Fewer observations measure nothing.
ENOUGH = 5
#: Working days that a pace is measured over.
WINDOW = 20


class Observation(NamedTuple):
    """An entry that brought new pictures, the day it was made, and how many pages they are."""

    entry: str
    day: date
    pages: int


class Pace(NamedTuple):
    """Pages a working day. `source` is "measured", "stated" or "none"; `first` to `last` is the window measured.

    `fastest` and `slowest` are those of its best and worst week; `left_out` says what does not count, and why.
    """

    value: float | None
    source: str
    observations: int
    missing: int
    first: date | None = None
    last: date | None = None
    fastest: float | None = None
    slowest: float | None = None
    left_out: tuple[str, ...] = ()

    def days(self, pages: int) -> tuple[float, float, float | None] | None:
        """Working days for so many pages: at the fastest, the usual and the slowest pace; None without a pace."""
        if not self.value:
            return None
        return pages / (self.fastest or self.value), pages / self.value, pages / (self.slowest or self.value)


def observations(entries: Iterable[Entry], pass_: Pass, as_of: date) -> tuple[tuple[Observation, ...], tuple[str, ...]]:
    """The observations of a pass up to a day, oldest first, and what is left out.

    A page counts when its picture is in no earlier round: entered again, renamed or found good it was not drawn.
    """
    mine = sorted((e for e in entries if isinstance(e, Round) and e.pass_name == pass_.name), key=lambda e: e.number)
    seen: set[str] = set()
    found, stated, later = [], [], 0
    for entry in mine:
        fresh = {path: oid for path, oid in entry.files.items() if oid and oid not in seen}
        seen.update(fresh.values())
        pages = len({n for path in fresh for n in page_numbers(label_of(path, pass_) or "")})
        if entry.dated:
            stated.append(entry.name)
        elif day_of(entry) > as_of:
            later += 1
        elif pages:
            found.append(Observation(entry.name, day_of(entry), pages))
    told = [f"brought in later, so that its day says nothing about pace: {', '.join(stated)}"] if stated else []
    told += [f"{later} {'entry' if later == 1 else 'entries'} made after this day"] if later else []
    return tuple(sorted(found, key=lambda each: each.day)), tuple(told)


def day_of(entry: Entry) -> date:
    """The day an entry was made, where it was made."""
    when = entry.date
    return date(when.year, when.month, when.day)


def pace_of(entries: Iterable[Entry], pass_: Pass, calendar: Calendar, as_of: date) -> Pace:
    """The pace of a pass on a day: measured, else stated, else none."""
    seen, left_out = observations(entries, pass_, as_of)
    measured = _measured(seen, calendar, as_of)
    if measured.value is not None and not measured.missing:
        return measured._replace(left_out=(*left_out, *measured.left_out))
    source = "stated" if pass_.per_day is not None else "none"
    told = (*left_out, *(measured.left_out if not measured.missing else ()))
    return Pace(pass_.per_day, source, measured.observations, measured.missing, measured.first, measured.last,
                left_out=told)  # fmt: skip


def _measured(seen: Sequence[Observation], calendar: Calendar, as_of: date) -> Pace:
    """The pace of the last 20 working days; where nothing was entered in them, of the last 20 days with work."""
    window = last_working_days(as_of, WINDOW, calendar)
    recent = [each for each in seen if window and each.day >= window[0]]
    if recent:
        return _over(recent, window, began=seen[0].day >= window[0])
    worked = sorted({each.day for each in seen})[-WINDOW:]
    if not worked:
        return Pace(None, "none", 0, ENOUGH)
    old = [each for each in seen if each.day >= worked[0]]
    told = f"the pace is an old one: nothing was entered after {worked[-1]}"
    return _over(old, worked, began=False)._replace(left_out=(told,))


def _over(seen: Sequence[Observation], window: Sequence[date], *, began: bool) -> Pace:
    """The pace over these days. Where work `began` within them, its first day only says when to start counting."""
    many, missing = len(seen), max(ENOUGH - len(seen), 0)
    days, counted = list(window), list(seen)
    told: tuple[str, ...] = ()
    if began:
        first = seen[0].day
        days = [day for day in window if day > first]
        counted = [each for each in seen if each.day > first]
        told = (f"the pages of {first}: nobody wrote down when they were begun",)
    bounds = (window[0] if not began else seen[0].day, window[-1])
    if not days or not counted:
        why = f"all {many} entries are of one day, which measures no pace" if many > 1 else ""
        return Pace(None, "none", many, missing, *bounds, left_out=(why,) if why else ())
    rate = sum(each.pages for each in counted) / len(days)
    fastest, slowest = _extremes(_by_day(counted, days), rate)
    return Pace(rate, "measured", many, missing, *bounds, fastest, slowest, told)


def _by_day(seen: Sequence[Observation], days: Sequence[date]) -> list[int]:
    """Pages by working day; what was entered on a day off counts to the working day before it."""
    found = [0] * len(days)
    for each in seen:
        found[max((at for at, day in enumerate(days) if day <= each.day), default=0)] += each.pages
    return found


def _extremes(pages: Sequence[int], rate: float) -> tuple[float, float]:
    """The pace of the best and of the worst week; of halves where there are less than two weeks.

    A week without a page gives no slowest pace: then it is as far below the usual one as the fastest is above it.
    """
    size = 5 if len(pages) >= 10 else max(-(-len(pages) // 2), 1)
    blocks = [pages[max(end - size, 0) : end] for end in range(len(pages), 0, -size)]
    whole = [sum(block) / len(block) for block in blocks if len(block) == size or len(pages) < 10]
    fastest = max([*whole, rate])
    return fastest, min([*whole, rate]) or rate * rate / fastest
