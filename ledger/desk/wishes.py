"""What a person typed as an option, read: pages, a class, a date."""

from __future__ import annotations

from datetime import date, datetime

from ledger.model.entry import CLASSES
from ledger.model.errors import Refusal
from ledger.model.pages import PageSet, parse_pages


def pages_of(text: str | None, option: str = "--pages") -> PageSet:
    """Pages as typed ("1-24,30"). Raises Refusal naming the option."""
    try:
        return parse_pages(text)
    except ValueError as fault:
        raise Refusal(f"{option}: {fault}", remedy="write them as 1-24,30") from None


def class_of(text: str | None) -> str:
    """The class of an alteration, author's if left out. Raises Refusal naming the classes."""
    chosen = (text or "AA").upper()
    if chosen not in CLASSES:
        known = ", ".join(f"{sign} ({whose})" for sign, whose in CLASSES.items())
        raise Refusal(f"--class: {text!r} is no class of alteration", remedy=f"one of {known}")
    return chosen


def reason_of(text: str) -> str:
    """Why something is changed after its sign-off. Raises Refusal for no words."""
    if not text.strip():
        raise Refusal("--reason is empty", remedy='say why in a few words: --reason "the lamp must be lit"')
    return text.strip()


def message_of(text: str | None) -> str:
    """What something is about, in words; blanks alone are none."""
    return (text or "").strip()


def date_of(text: str) -> datetime | date:
    """A stated date, 2025-03-01 or with a time, which is the clock's here where it names no offset. Raises Refusal."""
    try:
        if len(text) == len("2025-03-01"):
            return date.fromisoformat(text)
        when = datetime.fromisoformat(text)
    except ValueError:
        raise Refusal(f"--date: {text!r} is no date", remedy="write it as 2025-03-01") from None
    return when if when.tzinfo else when.astimezone()
