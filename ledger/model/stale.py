"""Pages that rest on content changed since, and because of what."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class StalePage(NamedTuple):
    """A stale page of an art pass. `because` goes on after "rests on": `script-3, now script-5: panel 2 is new`.

    `path` is its export, `drawn_anew` whether that export is in no round yet.
    """

    pass_name: str
    page: str
    because: str
    path: str = ""
    drawn_anew: bool = False


class Stale(NamedTuple):
    """All stale pages of a state; `reworded` says of which pages only words changed, a sentence a text pass."""

    pages: tuple[StalePage, ...] = ()
    reworded: tuple[str, ...] = ()

    def labels(self, pass_name: str) -> tuple[str, ...]:
        """The stale pages of one pass."""
        return tuple(each.page for each in self.pages if each.pass_name == pass_name)


#: Nothing rests on older content.
NOTHING_STALE = Stale()


def for_one_reason(pages: Iterable[StalePage]) -> list[tuple[StalePage, ...]]:
    """Stale pages, those of one pass that are stale for the same reason together."""
    groups: dict[tuple[str, str], list[StalePage]] = {}
    for each in pages:
        groups.setdefault((each.pass_name, each.because), []).append(each)
    return [tuple(group) for group in groups.values()]
