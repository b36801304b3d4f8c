"""Who has pages of the book, in words."""

from __future__ import annotations

from ledger.model.standing import Away
from ledger.render.plain import one_line


def away_words(each: Away) -> str:
    """`With Ines since 2026-03-02: pages 1-12 of inks (handoff-1).`"""
    what = f"{'all pages' if each.pages is None else f'pages {one_line(each.pages)}'} of {each.pass_name}"
    return f"With {one_line(each.to) or 'a helper'} since {each.since.isoformat()[:10]}: {what} ({each.entry})."
