"""`forecast`: when the drawn passes and the book will be done, from the rounds entered up to a day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from ledger.desk.opening import OpenBook, open_book
from ledger.desk.stale_pages import stale_now
from ledger.desk.standing import story_pages
from ledger.judge.resting.upstream import pictures_in
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import Refusal
from ledger.model.pages import page_numbers
from ledger.plan.forecast import Forecast, PassForecast, book_range, pass_forecast
from ledger.plan.pace import day_of, pace_of
from ledger.read.state import BookState
from ledger.render.plain import plural


def forecast(here: Path, as_of: str | None = None, today: date | None = None) -> Forecast:
    """The forecast on a day, today unless named. Raises Refusal for a day that is none."""
    day = _day(as_of) if as_of else today or date.today()
    book = open_book(here)
    state = book.working
    stale = _stale(book, state)
    total = story_pages(state)
    passes = tuple(_pass(state, each, total, day, stale.get(each.name, 0)) for each in _drawn(state))
    found, basis = book_range(state.book, passes, day)
    return Forecast(state.book.title, day, state.book.due, found, basis, passes, state.findings)


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise Refusal(f"--as-of {typed!r} is no day", remedy="write it as 2026-03-27") from None


def _drawn(state: BookState) -> list[Pass]:
    return [each for each in state.book.passes if each.kind == "art"]


def _stale(book: OpenBook, state: BookState) -> dict[str, int]:
    found: dict[str, int] = {}
    for page in stale_now(book, state).pages:
        found[page.pass_name] = found.get(page.pass_name, 0) + 1
    return found


def _pass(state: BookState, pass_: Pass, total: int, day: date, stale: int) -> PassForecast:
    pace = pace_of(state.entries, pass_, state.book.calendar, day)
    left_out = [f"{plural(stale, 'stale page')}, should they be drawn again"] if stale else []
    entered = _entered(state, pass_, day, total)
    return pass_forecast(pass_, total, entered, pace, day, state.book.calendar, left_out)


def _entered(state: BookState, pass_: Pass, day: date, total: int) -> int:
    """Story pages with a picture in the newest round of that day."""
    rounds = [e for e in state.entries if isinstance(e, Round) and e.pass_name == pass_.name and day_of(e) <= day]
    newest = max(rounds, key=lambda entry: entry.number, default=None)
    pages = {n for label in pictures_in(newest, pass_) for n in page_numbers(label)} if newest else set()
    return min(len(pages), total)
