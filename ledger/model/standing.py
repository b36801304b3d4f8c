"""Where a book stands: its passes, sign-offs, notes, and what to do next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from ledger.model.entry import Delivery
from ledger.model.finding import Finding
from ledger.model.stale import NOTHING_STALE, Stale


@dataclass(frozen=True, slots=True)
class SignedOff:
    """A sign-off that stands: its entry, the pages it closes as the ledger writes them (None for all), its scopes."""

    entry: str
    pages: str | None
    scopes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PageCount:
    """Pages of an art pass: how many the book has, how many were entered, which are stale (labels)."""

    total: int
    entered: int
    stale: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PassStanding:
    """One pass. `round` is the newest one, None before the first; `pages` is None for a text pass.

    `changed` is how many of its files now differ from the newest round (all of them before the first);
    `words` the lettered words of a text pass now.
    """

    name: str
    kind: str
    round: int | None = None
    pages: PageCount | None = None
    locks: tuple[SignedOff, ...] = ()
    changed: int = 0
    words: int | None = None
    hands: str | None = None


@dataclass(frozen=True, slots=True)
class Away:
    """Pages that went to somebody and have not come back; `pages` as the ledger writes them, None for all."""

    entry: str
    pass_name: str
    pages: str | None
    to: str
    since: date


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do next: what, why, and the command line that does it."""

    what: str
    why: str
    command: str


@dataclass(frozen=True, slots=True)
class LastCopy:
    """The newest backup that the book knows of: how many days old, and where it was made."""

    days: int
    place: str


@dataclass(frozen=True, slots=True)
class DrawnBefore:
    """Pages (labels) of an art pass that were entered before the design sheet of somebody on them changed.

    `sheets` are the files of the sheet that changed.
    """

    person: str
    sheets: tuple[str, ...]
    pass_name: str
    pages: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """The whole answer of `status`. `notes` counts every state of a note; `stale` are the stale pages and why.

    `away` is with helpers, `reading` are packets with readers whose notes have not come back.
    `drawn_before` points at pages to be held beside a changed design sheet; `delivered` is the newest delivery.
    `much_art` are the bytes of art that git itself carries, where they are many and were not told before.
    """

    title: str
    passes: tuple[PassStanding, ...] = ()
    notes: Mapping[str, int] = field(default_factory=dict)
    next: tuple[NextStep, ...] = ()
    findings: tuple[Finding, ...] = ()
    away: tuple[Away, ...] = ()
    stale: Stale = NOTHING_STALE
    copy: LastCopy | None = None
    much_art: int | None = None
    reading: tuple[Away, ...] = ()
    drawn_before: tuple[DrawnBefore, ...] = ()
    delivered: Delivery | None = None
