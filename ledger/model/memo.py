"""What a change memo tells beside the comparison itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from ledger.model.entry import Alteration
from ledger.model.note import Followed


@dataclass(frozen=True, slots=True)
class StalePass:
    """Pages of a pass that rest on content changed since (labels)."""

    pass_name: str
    pages: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MemoFacts:
    """Title of the book, the two sides by name and date (None where unknown), who it is for.

    `notes` are the notes with what became of their places, `stale` the passes that rest on what changed,
    `reworded` what is said of pages for which only words changed, `slips` the alteration slips written between
    the two sides, `message` what the round was entered with.
    """

    title: str
    old_name: str
    new_name: str
    old_date: date | datetime | None = None
    new_date: date | datetime | None = None
    reader: str | None = None
    message: str = ""
    notes: tuple[Followed, ...] = ()
    stale: tuple[StalePass, ...] = ()
    reworded: tuple[str, ...] = ()
    slips: tuple[Alteration, ...] = ()
