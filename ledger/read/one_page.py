"""One page of a script read by itself, for scripts in which nothing before or after a page changes what it says."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from ledger.model.script import Line, Page
from ledger.read.drafting import Drafting
from ledger.read.sayings import Sayings
from ledger.read.typed_text import tidied

if TYPE_CHECKING:
    from ledger.model.book import Person


class Leaf(NamedTuple):
    """What a page says, or the text before the first page mark of a file (`page` None then).

    Lines are counted from 1 where the text begins. Scenes are counted from 0; where the page begins within a scene
    that is 0. `titles` are those of the scenes that begin in it, `open` is whether one goes on beyond it. `back` is
    whether a panel begins before any page mark: in a later file it would stand on the last page of the one before.
    """

    lines: tuple[Line, ...]
    page: Page | None
    titles: tuple[str, ...]
    open: bool
    back: bool

    def at(self, first: int, scene: int) -> Leaf:
        """The same, its first line being this one of its file and its scene 0 this one of the draft."""
        lines = [
            line._replace(line=line.line + first - 1, end_line=line.end_line + first - 1, scene=line.scene + scene)
            for line in self.lines
        ]
        page = self.page
        if page is not None:
            panels = [panel._replace(line=panel.line + first - 1) for panel in page.panels]
            page = page._replace(line=page.line + first - 1, panels=tuple(panels))
        return self._replace(lines=tuple(lines), page=page)


def read_leaf(path: str, text: str, cast: Sequence[Person], *, within: bool) -> Leaf:
    """Reads a page from its mark on, or what stands before the first one, as a script; see `ledger.read.script`.

    `within` is whether a scene goes on into it.
    """
    drafting = Drafting(cast, sayings=_sayings(tuple(cast)))
    if within:
        drafting.within_a_scene()
    drafting.typed(path, tidied(path, text, []))
    draft = drafting.draft((path,))
    titles = tuple(scene.title for scene in draft.scenes[within:])
    return Leaf(draft.lines, draft.pages[0] if draft.pages else None, titles, drafting.scene is not None,
                drafting.paging.panel is not None and not draft.pages)  # fmt: skip


@lru_cache(maxsize=4)
def _sayings(cast: tuple[Person, ...]) -> Sayings:
    return Sayings(cast)
