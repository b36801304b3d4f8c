"""`python -m tests.bench.backtest [--books 400]`: how often the later truth fell inside a range told half-way.

Made-up histories, since the example book's passes have too few entries to measure a pace: a page count a day drawn from
a habit that differs from book to book, weeks of rest, a pass whose pace drifts. Each is asked when a quarter, a half
and three quarters of its 160 pages were entered; the truth is the working day on which the last page was.
"""

from __future__ import annotations

import argparse
from collections import Counter
from datetime import date, datetime, timedelta
from itertools import accumulate
from random import Random

from ledger.model.book import Calendar, Pass
from ledger.model.entry import Round
from ledger.plan.forecast import pass_forecast
from ledger.plan.pace import pace_of
from ledger.plan.workdays import is_working

PAGES = 160
INKS = Pass("inks", "art", ("art/inks/p{page}.png",))


def history(dice: Random, kind: str) -> list[tuple[date, int]]:
    """Working days with the pages entered on each, until the book is whole."""
    habit, day, drawn = dice.uniform(0.6, 3.0), date(2026, 1, 5), 0
    found = []
    resting = 0
    while drawn < PAGES:
        if is_working(day, Calendar()):
            if kind == "with weeks of rest" and not resting and dice.random() < 0.02:
                resting = 5
            mean = habit * (1 + 0.5 * drawn / PAGES if kind == "drifting" else 1)
            pages = 0 if resting else min(int(dice.gauss(mean, 0.8) + 0.5), PAGES - drawn)
            resting = max(resting - 1, 0)
            if pages > 0:
                found.append((day, pages))
                drawn += pages
        day += timedelta(1)
    return found


def rounds(days: list[tuple[date, int]]) -> list[Round]:
    """The entries of a history, each with the pages that it brought."""
    made, page = [], 0
    for number, (day, count) in enumerate(days, 1):
        files = {f"art/inks/p{page + n:03}.png": f"{page + n:040x}" for n in range(1, count + 1)}
        when = datetime(day.year, day.month, day.day, 12)
        made.append(Round(path=f"ledger/inks-{number}.toml", number=number, date=when, by="A <a@b.example>",
                          files=files, pass_name="inks"))  # fmt: skip
        page += count
    return made


def asked(days: list[tuple[date, int]], share: float) -> str:
    """Whether the truth lay before, inside or after the range told when this share of the pages was entered."""
    so_far = list(accumulate(count for _, count in days))
    at = next(at for at, done in enumerate(so_far) if done >= share * PAGES)
    done = so_far[at]
    day, truth = days[at][0], days[-1][0]
    pace = pace_of(rounds(days[: at + 1]), INKS, Calendar(), day)
    told = pass_forecast(INKS, PAGES, done, pace, day, Calendar()).range
    if told.early is None or told.late is None:
        return "no range"
    return "before" if truth < told.early else "after" if truth > told.late else "inside"


def main() -> None:
    """Prints a row a kind of history and share."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--books", type=int, default=400)
    books = parser.parse_args().books
    for kind in ("steady", "with weeks of rest", "drifting"):
        for share in (0.25, 0.5, 0.75):
            dice = Random(f"{kind} {share}")
            told = Counter(asked(history(dice, kind), share) for _ in range(books))
            rows = ", ".join(
                f"{told[where] / books:.0%} {where}" for where in ("inside", "before", "after", "no range")
            )
            print(f"{kind}, {share:.0%} entered: {rows}")


if __name__ == "__main__":
    main()
