"""A delivery to the publisher: the pages in the bundle, and all that its sheet says of them."""

from __future__ import annotations

from datetime import date, datetime
from typing import NamedTuple

from ledger.model.book import PageSize
from ledger.model.finding import Finding
from ledger.model.plate import Shown

#: What became of a page since the last delivery of the same passes; the kinds between are those of pictures.
CHANGES = ("same", "touch-up", "redrawn", "layout", "swapped", "unread", "added", "gone")


class Delivered(NamedTuple):
    """A page in the bundle.

    `page` is its label, `path` where it lies in the bundle (`data/p001.png`), `source` its path in the book, `oid`
    git's id of its content there. `sha256` (hex) and `size` (bytes) are of the file, `px` is width and height as seen,
    `mode` "1", "grey", "indexed", "rgb", "cmyk" or "lab", `depth` bits a channel, `ppi` pixels per inch across and
    down as the file states them, None where it states none. `thumbnail` is None where none could be made.
    """

    pass_name: str
    page: str
    path: str
    source: str
    oid: str
    sha256: str
    size: int
    px: tuple[int, int]
    mode: str
    depth: int = 8
    ppi: tuple[float, float] | None = None
    thumbnail: Shown | None = None


class Extent(NamedTuple):
    """Pages of the whole book: front matter, story pages, back matter; `blanks` fill the last folded sheet."""

    front: int
    story: int
    back: int
    signature: int
    blanks: int

    @property
    def pages(self) -> int:
        """All of them, without the blanks."""
        return self.front + self.story + self.back


class Altered(NamedTuple):
    """An alteration slip or a reopening on pages that are delivered.

    `alteration_class` is "PE", "AA", "EA" or "DA" (`ledger.model.entry.CLASSES` has the words), `entry` its name,
    `pages` those of its own ("1-24,30", None for all), `reopened` whether it opened them until the next sign-off.
    """

    alteration_class: str
    entry: str
    pages: str | None
    reason: str
    asked_by: str | None = None
    reopened: bool = False


class OpenNote(NamedTuple):
    """A note that waits for somebody: its id, its place now ("" for the whole book), its words, reader and state."""

    id: str
    place: str
    text: str
    reader: str
    state: str = "open"


class SinceLast(NamedTuple):
    """A page set against the last delivery: what became of its picture, one of CHANGES but "same"."""

    pass_name: str
    page: str
    kind: str


class Signed(NamedTuple):
    """How a pass stands: its newest round, the newest sign-off of these pages ("" for none), who approved it."""

    pass_name: str
    round: str
    sign_off: str
    approved_by: str = ""


class Bundle(NamedTuple):
    """The whole of a delivery.

    `title` is the book's, `entry` its name in the ledger (`delivery-3`), `passes` those asked for in that order,
    `pages` what was asked ("1-48", None for all), `part` its number among part deliveries, None for a whole one.
    `delivered` goes pass by pass in page order. `last` names the delivery that `changed` compares with, "" where it was
    not asked for or there is none; `same` counts the pages that are as they were. `findings` are queries: with a
    finding that blocks there is no bundle. `unasked` are rules that the book switches off or gives nothing to ask.
    `reading` is "ltr" or "rtl", `page` what the book says of trim and bleed, None where it says nothing.
    """

    title: str
    entry: str
    date: date | datetime
    by: str
    passes: tuple[str, ...]
    pages: str | None
    part: int | None
    delivered: tuple[Delivered, ...]
    extent: Extent | None = None
    signed: tuple[Signed, ...] = ()
    altered: tuple[Altered, ...] = ()
    notes: tuple[OpenNote, ...] = ()
    last: str = ""
    changed: tuple[SinceLast, ...] = ()
    same: int = 0
    findings: tuple[Finding, ...] = ()
    unasked: frozenset[str] = frozenset()
    reading: str = "ltr"
    page: PageSize | None = None

    @property
    def bytes(self) -> int:
        """What the pages take in all."""
        return sum(each.size for each in self.delivered)
