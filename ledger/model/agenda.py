"""What is open among the notes, in the order in which an author walks through the book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ledger.model.note import Followed


@dataclass(frozen=True)
class Errand:
    """A note to see to, whose it is, and the page where its place is now ("" where that is not one page).

    `due` is whether what it was carried to is there by now.
    """

    followed: Followed
    reader: str
    page: str = ""
    due: bool = False


@dataclass(frozen=True)
class Stop:
    """Errands that are seen to together. `kind` is "scene", "pages" (no scene stands there), "book", "gone" (the place
    is cut or was not found) or "later" (carried to a pass); scene and chapter are titles, "" where there are none."""

    kind: str
    errands: tuple[Errand, ...]
    scene: str = ""
    chapter: str = ""


@dataclass(frozen=True)
class Agenda:
    """A book's open notes on a day, stop by stop."""

    title: str
    day: date
    stops: tuple[Stop, ...]

    @property
    def errands(self) -> list[Errand]:
        """All of them in order."""
        return [errand for stop in self.stops for errand in stop.errands]
