"""`spreads`: the book as openings, with what its sides give to look at."""

from __future__ import annotations

from pathlib import Path

from ledger.desk.arithmetic.unmarked import guessed
from ledger.desk.opening import open_book
from ledger.judge.draft import judge_draft
from ledger.judge.levels import apply_rules
from ledger.plan.block import block_of
from ledger.plan.openings import Spreads, openings

#: What the rules of a draft say about sides and about the count of pages.
_RULES = ("spread-side", "reveal-side", "page-number")


def spreads(here: Path, words_per_page: str | None = None) -> Spreads:
    """The openings of your files now. Raises Refusal where there is no book, or for words that are no rate."""
    state = open_book(here).working
    draft, book = state.script_draft(), state.book
    found = [finding for finding in judge_draft(draft, book) if finding.rule in _RULES]
    findings = apply_rules(found, book.rules)
    block = block_of(draft, book)
    return Spreads(book.title, book.reading, block, openings(draft, book), bool(draft.pages), findings,
                   guessed(draft, state, words_per_page))  # fmt: skip
