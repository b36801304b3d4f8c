"""`python -m tests.bench.backtest [--books 400] [--book DIR]`: how often the truth fell inside a range told before.

Made-up histories: a page count a day drawn from a habit that differs from book to book, weeks of rest, a pass whose
pace drifts. Each is asked when a quarter, a half and three quarters of its 160 pages were entered; the truth is the
working day on which the last page was. With `--book`, the passes of a book that are whole and have enough entries are
asked on the day of each entry from the fifth on, by the command, and every answer is printed beside the truth.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import tomllib
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import accumulate
from pathlib import Path
from random import Random
from typing import Any

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


def asked_of(book: Path) -> Iterator[tuple[str, str, str, str, str]]:
    """Pass, day asked, early, late and truth, for the whole passes of a book that measured a pace before their end."""
    entered: dict[str, dict[str, int]] = {}
    for path in sorted((book / "ledger").glob("*.toml"), key=lambda path: path.stat().st_mtime):
        entry = tomllib.loads(path.read_text("utf-8"))
        if entry["entry"] == "pass" and "made_from" in entry:
            entered.setdefault(entry["pass"], {})[entry["date"].date().isoformat()] = entry["round"]
    for name, days in entered.items():
        truth = max(days)
        for day in sorted(days):
            told = _forecast(book, day)["passes"]
            now = next(each for each in told if each["name"] == name)
            if now["rate"]["source"] == "measured" and not now["done"]:
                yield name, day, now["range"]["early"], now["range"]["late"], truth


def _forecast(book: Path, day: str) -> dict[str, Any]:
    ran = subprocess.run(["inkledger", "-C", str(book), "forecast", "--as-of", day, "--json"],
                         capture_output=True, check=True)  # fmt: skip
    told: dict[str, Any] = json.loads(ran.stdout)
    return told


def main() -> None:
    """Prints a row a kind of history and share, or a row an answer about a book."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--books", type=int, default=400)
    parser.add_argument("--book", type=Path)
    wish = parser.parse_args()
    if wish.book:
        for name, day, early, late, truth in asked_of(wish.book):
            where = "before" if truth < early else "after" if truth > late else "inside"
            print(f"{name}, asked on {day}: {early} to {late}; it was {truth}: {where}")
        return
    books = wish.books
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
