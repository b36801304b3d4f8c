"""What came of bringing a draft or a folder of exports into the book."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.model.book import Person
from ledger.model.finding import Finding


@dataclass(frozen=True, slots=True)
class BroughtFile:
    """A file of the script: `state` is "new", "replaced", "unchanged" or "gone"; `title` the chapter it begins with."""

    path: str
    state: str
    title: str = ""
    words: int = 0
    scenes: int = 0


@dataclass(frozen=True, slots=True)
class Clash:
    """A file that is there and was changed since, or was never brought: both versions; None for a picture.

    `of` is the other draft that it was brought from, where that is why.
    """

    path: str
    yours: bytes | None = None
    brought: bytes | None = None
    of: str | None = None


@dataclass(frozen=True, slots=True)
class BroughtScript:
    """A draft brought in: nothing was written where there are `clashes`.

    `speakers` are those nobody in the cast answers to, with how many lines each has; `cast` the people written into
    `[cast]`; `unread` holds the findings that have one cause, together; `others` are files of the pass that stay as
    they are.
    """

    source: str
    pass_name: str
    files: tuple[BroughtFile, ...]
    clashes: tuple[Clash, ...] = ()
    speakers: tuple[tuple[str, int], ...] = ()
    cast: tuple[Person, ...] = ()
    unread: tuple[tuple[Finding, ...], ...] = ()
    others: tuple[str, ...] = ()

    @property
    def done(self) -> bool:
        """Whether anything was written."""
        return not self.clashes and (bool(self.cast) or any(each.state != "unchanged" for each in self.files))


@dataclass(frozen=True, slots=True)
class BroughtPage:
    """A file that becomes a page: `state` as that of a script's file."""

    source: str
    path: str
    label: str
    state: str = "new"


@dataclass(frozen=True, slots=True)
class BroughtPages:
    """Exports brought in: nothing was copied where two files are one page, or where there are `clashes`.

    `holes` are pages missing between the first and the last; `doubles` pages with the files that claim them;
    `left` files that say no page, or are no pictures.
    """

    source: str
    pass_name: str
    pages: tuple[BroughtPage, ...] = ()
    clashes: tuple[Clash, ...] = ()
    holes: tuple[str, ...] = ()
    doubles: tuple[tuple[str, tuple[str, ...]], ...] = ()
    left: tuple[str, ...] = ()

    @property
    def blocked(self) -> bool:
        """Whether nothing was copied because it isn't clear what is meant."""
        return bool(self.clashes or self.doubles)

    @property
    def done(self) -> bool:
        """Whether anything was copied."""
        return not self.blocked and any(each.state != "unchanged" for each in self.pages)
