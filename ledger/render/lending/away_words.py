"""Who has pages of the book, in words."""

from __future__ import annotations

from ledger.model.pages import pages_words
from ledger.model.standing import Away
from ledger.render.plain import one_line
from ledger.render.told import day


def away_words(each: Away) -> str:
    """`With Ines since 2 March 2026: pages 1-12 of inks (handoff-1).`"""
    what = f"{one_line(pages_words(each.pages))} of {each.pass_name}"
    return f"With {one_line(each.to) or 'a helper'} since {day(each.since)}: {what} ({each.entry})."
