"""What an audit looked at and what it found, for somebody who was not there."""

from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from ledger.model.entry import Alteration, Lock
from ledger.model.finding import Finding
from ledger.model.written import Written


class Looked(NamedTuple):
    """One commit that was looked at. `place` counts from 1, parents before children; `when` is its maker's claim."""

    oid: str
    place: int
    subject: str
    author: str
    when: datetime


_NONE: Mapping[str, Looked] = {}


class AuditReport(Written):
    """The findings of an audit with what they are about.

    `title` is the book's, "" where none can be read. `reach` is the range as typed, None for the whole history up to
    now. `count` are the commits looked at, `first` and `last` of them. `named` holds those that findings name.
    `agreed` are the sign-offs, slips and reopenings of the newest state, each with the commit that recorded it, None
    for one recorded before the range.
    """

    findings: tuple[Finding, ...] = ()
    title: str = ""
    reach: str | None = None
    since_lock: bool = False
    count: int = 0
    first: Looked | None = None
    last: Looked | None = None
    named: Mapping[str, Looked] = _NONE
    agreed: tuple[tuple[Lock | Alteration, Looked | None], ...] = ()
