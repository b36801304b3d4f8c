"""What a change memo tells beside the comparison itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from ledger.model.entry import Alteration
from ledger.model.note import Followed
from ledger.model.plate import NO_PLATES, Plates
from ledger.model.stale import NOTHING_STALE, Stale


@dataclass(frozen=True, slots=True)
class MemoFacts:
    """Title of the book, the two sides by name and date (None where unknown), who it is for.

    `notes` are the notes with what became of their places, `stale` the pages that rest on what changed
    and what is said of those for which only words did, `slips` the alteration slips written between the two sides,
    `message` what the round was entered with, `plates` the changed pages as pictures.
    """

    title: str
    old_name: str
    new_name: str
    old_date: date | datetime | None = None
    new_date: date | datetime | None = None
    reader: str | None = None
    message: str = ""
    notes: tuple[Followed, ...] = ()
    stale: Stale = NOTHING_STALE
    slips: tuple[Alteration, ...] = ()
    plates: Plates = NO_PLATES
