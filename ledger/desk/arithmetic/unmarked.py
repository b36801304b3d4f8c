"""Words a page for drafts without page marks: stated on the command line, else measured on an earlier round."""

from __future__ import annotations

import re

from ledger.desk.numbers import rounds_of
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.script import Draft
from ledger.plan.unmarked import Guess, Rate, guess, measured_rate
from ledger.read.script import read_script
from ledger.read.state import BookState


def guessed(draft: Draft, state: BookState | None, typed: str | None) -> Guess | None:
    """What a draft without page marks comes to; None where it has marks, or nobody knows the words a page holds.

    Raises Refusal for a typed rate that can't be read.
    """
    stated = _stated(typed) if typed is not None else None
    if draft.pages or not draft.scenes:
        return None
    rate = stated or (_measured(state) if state else None)
    return guess(draft, rate) if rate else None


def _stated(typed: str) -> Rate:
    found = re.fullmatch(r"(\d{1,4})(?:-(\d{1,4}))?", typed.strip())
    few, many = (int(found[1]), int(found[2] or found[1])) if found else (0, 0)
    if not 0 < few <= many:
        raise Refusal(f"--words-per-page {typed!r} can't be read", remedy="write it as 120, or as a range: 90-140")
    return Rate(few, many, "stated")


def _measured(state: BookState) -> Rate | None:
    """From the newest round of the script that has page marks."""
    script = state.book.main_script()
    for entry in reversed(rounds_of(state.entries, script.name) if script else []):
        try:
            files = [(path, state.snapshot.store.blob(oid)) for path, oid in entry.files.items() if oid]
        except ContentMissing:
            continue
        rate = measured_rate(read_script(files, state.book.cast), entry.name)
        if rate is not None:
            return rate
    return None
