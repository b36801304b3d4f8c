"""A reading packet: a round's pages as a reader without git turns them."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from ledger.model.plate import Shown
from ledger.model.script import Line


class Panel(NamedTuple):
    """A panel of a script page, None before its first mark. A scene that begins in it goes before its first line."""

    number: int | None
    lines: tuple[tuple[str, Line], ...]


class Leaf(NamedTuple):
    """A page or spread: its script, or its picture; `missing` says why there is none.

    `side` is the one on which it lies open: "left", "right", or "wide" over both.
    """

    label: str
    side: str
    panels: tuple[Panel, ...] = ()
    picture: Shown | None = None
    missing: str = ""


class Packet(NamedTuple):
    """The whole packet. `openings` hold one or two pages each, in the order in which they are read.

    `name` is letters, digits and `-` alone and no other packet's; `words` stand on the title page, `before` are lines
    that stand before the script's first page mark.
    """

    name: str
    title: str
    entry: str
    pass_name: str
    when: date
    rtl: bool
    drawn: bool
    openings: tuple[tuple[Leaf, ...], ...]
    reader: str = ""
    words: str = ""
    before: tuple[tuple[str, Line], ...] = ()
