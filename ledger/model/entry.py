"""Entries of the ledger: one small file each, written once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from ledger.model.pages import PageSet, parse_pages
from ledger.model.written import Written

CLASSES: dict[str, str] = {
    "PE": "printer's error",
    "AA": "author's",
    "EA": "editor's",
    "DA": "designer's",
}


_NONE: Mapping[str, Any] = {}


class Entry(Written):
    """What every entry says. `pages` is "1-24,30" or None for all; `files` maps paths to object ids.

    In `files` an empty id stands for a file that is gone. `path` is where the entry stands.
    """

    path: str
    number: int
    date: datetime | date
    by: str
    message: str = ""
    pages: str | None = None
    files: Mapping[str, str] = _NONE

    @property
    def name(self) -> str:
        """The entry's name, as references spell it: `inks-1`, `lock-inks-1`, `alteration-3`."""
        return self.path.removeprefix("ledger/").removesuffix(".toml")

    @property
    def page_set(self) -> PageSet:
        """The pages it is about."""
        return parse_pages(self.pages)


class Round(Entry):
    """A round of a pass was entered; `number` is the round.

    `basis` maps an upstream pass to its newest entry; `made_from` maps a page label to upstream
    content (pass -> object id of its picture, or the page fingerprint of a text pass). `dated` is
    "stated" for a past round brought in later. `stands` is why pages looked at were found good.
    """

    pass_name: str
    basis: Mapping[str, str] = _NONE
    made_from: Mapping[str, Mapping[str, str]] = _NONE
    dated: str | None = None
    stands: str | None = None

    @property
    def tag(self) -> str:
        """Its annotated tag."""
        return f"pass/{self.pass_name}/{self.number}"


class Lock(Entry):
    """A sign-off. `round` is the newest round signed, None where none was entered."""

    pass_name: str
    scopes: tuple[str, ...]
    round: int | None = None
    approved_by: str | None = None
    how: str | None = None

    @property
    def tag(self) -> str:
        """Its annotated tag."""
        return f"lock/{self.pass_name}/{self.number}"


class Alteration(Entry):
    """An alteration slip: why, who asked, its class, and the exact content it admits."""

    alteration_class: str = "AA"
    reason: str = ""
    asked_by: str | None = None
    scopes: tuple[str, ...] = ()
    passes: tuple[str, ...] = ()

    @property
    def tag(self) -> str:
        """Its annotated tag."""
        return f"alteration/{self.number}"


class Reopen(Alteration):
    """Signed-off pages are open again until the next sign-off; it has no `files` and no tag."""

    @property
    def tag(self) -> str:
        """Reopens have no tag."""
        return ""


class Handoff(Entry):
    """Pages or a packet went to somebody (`to`), or came back (`returns` is the number answered).

    `delivery` is the number of the delivery whose proofs came back.
    """

    pass_name: str
    to: str = ""
    round: int | None = None
    returns: int | None = None
    packet: bool = False
    delivery: int | None = None

    @property
    def asks_back(self) -> bool:
        """Whether pages went out with it that are to come back: a packet is read, and a return is an answer."""
        return self.returns is None and self.delivery is None and not self.packet


class Delivery(Entry):
    """What was delivered."""

    passes: tuple[str, ...] = ()
