"""Where a book stands: its passes, sign-offs, notes, and what to do next."""

from collections.abc import Mapping
from datetime import date
from types import MappingProxyType
from typing import NamedTuple

from ledger.model.entry import Delivery
from ledger.model.finding import Finding
from ledger.model.stale import NOTHING_STALE, Stale


class SignedOff(NamedTuple):
    """A sign-off that stands: its entry, the pages it closes as the ledger writes them (None for all), its scopes."""

    entry: str
    pages: str | None
    scopes: tuple[str, ...]


class PageCount(NamedTuple):
    """Pages of an art pass: how many the book has, how many were entered, which are stale (labels)."""

    total: int
    entered: int
    stale: tuple[str, ...] = ()


class PassStanding(NamedTuple):
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


class Away(NamedTuple):
    """Pages that went to somebody and have not come back; `pages` as the ledger writes them, None for all."""

    entry: str
    pass_name: str
    pages: str | None
    to: str
    since: date


class NextStep(NamedTuple):
    """One thing to do next: what, why, and the command line that does it."""

    what: str
    why: str
    command: str


class LastCopy(NamedTuple):
    """The newest backup that the book knows of: how many days old, and where it was made."""

    days: int
    place: str


class DrawnBefore(NamedTuple):
    """Pages (labels) of an art pass that were entered before the design sheet of somebody on them changed.

    `sheets` are the files of the sheet that changed.
    """

    person: str
    sheets: tuple[str, ...]
    pass_name: str
    pages: tuple[str, ...]


class Standing(NamedTuple):
    """The whole answer of `status`. `notes` counts every state of a note; `stale` are the stale pages and why.

    `away` is with helpers, `reading` are packets with readers whose notes have not come back.
    `drawn_before` points at pages to be held beside a changed design sheet; `delivered` is the newest delivery.
    `much_art` are the bytes of art that git itself carries, where they are many and were not told before.
    """

    title: str
    passes: tuple[PassStanding, ...] = ()
    notes: Mapping[str, int] = MappingProxyType({})
    next: tuple[NextStep, ...] = ()
    findings: tuple[Finding, ...] = ()
    away: tuple[Away, ...] = ()
    stale: Stale = NOTHING_STALE
    copy: LastCopy | None = None
    much_art: int | None = None
    reading: tuple[Away, ...] = ()
    drawn_before: tuple[DrawnBefore, ...] = ()
    delivered: Delivery | None = None
