"""The book as `book.toml` states it."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from datetime import date

SCOPES: tuple[str, ...] = ("structure", "wording", "drawing")

#: The modes that a pass may ask for.
ASKED_MODES: tuple[str, ...] = ("1", "grey", "rgb", "cmyk")
#: A picture's mode in words.
MODES: dict[str, str] = {
    "1": "black and white (1 bit)",
    "grey": "grey",
    "rgb": "RGB",
    "cmyk": "CMYK",
    "indexed": "indexed colours",
    "lab": "Lab colours",
}


class PageSize(NamedTuple):
    """What an export must measure: trim width and height and bleed in mm, resolution in pixels per inch."""

    trim_mm: tuple[float, float]
    bleed_mm: float = 0.0
    ppi: float = 300.0
    ink_limit: float | None = None


class Limits(NamedTuple):
    """Limits of taste, in words, panels and a share of characters; `words_per_panel` None means scaled."""

    words_per_balloon: int = 25
    words_per_panel: int | None = 35
    words_per_page: int = 210
    panels_per_page: int = 9
    balloon_growth: float = 0.15


class Person(NamedTuple):
    """One of the cast: the key typed before a line, the name shown, other names, design sheet pattern."""

    key: str
    name: str
    also: tuple[str, ...] = ()
    sheet: str | None = None


class Pass(NamedTuple):
    """One stage of the work. `kind` is "text" or "art"; `files` are patterns relative to the book's top."""

    name: str
    kind: str
    files: tuple[str, ...]
    comes_from: tuple[str, ...] = ()
    locks: tuple[str, ...] = ()
    ppi: float | None = None
    mode: str | None = None
    per_day: float | None = None
    due: "date | None" = None
    hands: str | None = None
    masters: str | None = None
    returns: str = "page"


class Calendar(NamedTuple):
    """Working days as 0 (Monday) to 6, and days off."""

    working_days: tuple[int, ...] = (0, 1, 2, 3, 4)
    days_off: "tuple[date, ...]" = ()


class Book(NamedTuple):
    """Everything `book.toml` says. `reading` is "ltr" or "rtl"; counts are pages."""

    title: str
    pages: int
    reading: str = "ltr"
    front_matter: int = 0
    back_matter: int = 0
    signature: int = 16
    due: "date | None" = None
    page: PageSize | None = None
    cover_mm: tuple[float, float] | None = None
    limits: Limits = Limits()
    rules: Mapping[str, str] = MappingProxyType({})
    calendar: Calendar = Calendar()
    cast: tuple[Person, ...] = ()
    passes: tuple[Pass, ...] = ()

    def pass_named(self, name: str) -> Pass | None:
        """The pass of this name, or None."""
        return next((p for p in self.passes if p.name == name), None)

    def script_of(self, signed: str) -> Pass | None:
        """The text pass that signing this pass off closes (convention §4).

        The nearest text pass the signed pass is made from, directly or through art passes; of several
        equally near, the last named. A text pass closes itself.
        """
        start = self.pass_named(signed)
        if start is None or start.kind == "text":
            return start
        level, seen = [start], {signed}
        while level:
            above = [p for q in level for name in q.comes_from if (p := self.pass_named(name))]
            texts = [p for p in above if p.kind == "text"]
            if texts:
                return texts[-1]
            level = [p for p in above if p.name not in seen]
            seen.update(p.name for p in level)
        return None

    def main_script(self) -> Pass | None:
        """The book's script: the text pass nearest to the drawn passes; the last text pass without any."""
        drawn = [p for p in self.passes if p.kind == "art"]
        nearest = [s for p in drawn if (s := self.script_of(p.name))]
        if nearest:
            return nearest[-1]
        return next((p for p in reversed(self.passes) if p.kind == "text"), None)
