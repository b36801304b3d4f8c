"""A reading packet: a round's pages as a reader without git turns them."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from ledger.model.plate import Shown
from ledger.model.script import Line


class Heading(NamedTuple):
    """The title of a chapter or a scene: `kind` is "chapter" or "scene"."""

    kind: str
    text: str


class Panel(NamedTuple):
    """A panel of a script page, None before its first mark.

    `heads` were typed before its mark; a line that another scene begins with inside it has its own headings before it.
    """

    number: int | None
    lines: tuple[tuple[tuple[Heading, ...], Line], ...]
    heads: tuple[Heading, ...] = ()


class Leaf(NamedTuple):
    """A page or spread: its script, or its picture; `missing` says why there is none.

    `heads` are headings that were typed before the page's mark and whose first line stands on it. `side` is the one on
    which it lies open: "left", "right", or "wide" over both.
    """

    label: str
    side: str
    panels: tuple[Panel, ...] = ()
    picture: Shown | None = None
    missing: str = ""
    heads: tuple[Heading, ...] = ()


class Packet(NamedTuple):
    """The whole packet. `openings` hold one or two pages each, in the order in which they are read.

    `name` is letters, digits and `-` alone and no other packet's; `words` stand on the title page, `before` are lines
    that stand before the script's first page mark.
    """

    name: str
    title: str
    entry: str
    pass_name: str
    round: int
    when: date
    rtl: bool
    drawn: bool
    openings: tuple[tuple[Leaf, ...], ...]
    reader: str = ""
    words: str = ""
    before: tuple[tuple[tuple[Heading, ...], Line], ...] = ()
