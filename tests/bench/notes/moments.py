"""A story at one round: where every row, panel, page and scene stands, by identity."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ledger.model.words import normalise
from tests.bench.pairs.script import Typed, typed, worded
from tests.bench.pairs.story import Row, Scene, Story

#: What a row says: role, who speaks, its words as compared.
Said = tuple[str, str, str]


@dataclass(frozen=True)
class Stand:
    """Where a row stands: page, panel, number of its scene and chapter (from 0), and what it says."""

    page: str
    panel: int
    scene: int
    chapter: int
    said: Said
    words: str


@dataclass
class At:
    """A story as it was at one round; it is not changed any more."""

    story: Story

    @cached_property
    def typed(self) -> Typed:
        """The file, and where in it everything is."""
        return typed(self.story)

    @cached_property
    def scenes(self) -> list[Scene]:
        """Every scene in order."""
        return self.story.scenes

    @cached_property
    def rows(self) -> dict[int, Stand]:
        """Every row by its identity, in reading order."""
        found, number = {}, 0
        for at, chapter in enumerate(self.story.chapters):
            for scene in chapter.scenes:
                for row in scene.rows:
                    spot = self.typed.spots[row.id]
                    words = self.words(row)
                    who = self.story.names[row.who] if row.who >= 0 else ""
                    said = (row.role, who, normalise(words))
                    found[row.id] = Stand(spot.page, spot.panel, number, at, said, words)
                number += 1
        return found

    def words(self, row: Row) -> str:
        """The words of a row as they are typed, without cue."""
        return worded(row.text, self.story.names).partition(" {")[0].replace("*", "")

    def panel(self, page: str, panel: int) -> list[int]:
        """The rows of a panel."""
        return [each for each, at in self.rows.items() if (at.page, at.panel) == (page, panel)]

    def page(self, page: str) -> list[int]:
        """The rows of a page."""
        return [each for each, at in self.rows.items() if at.page == page]

    def scene(self, number: int) -> list[int]:
        """The rows of a scene."""
        return [each for each, at in self.rows.items() if at.scene == number]

    def holding(self, quote: str, page: str | None = None, *, signs: bool = False) -> list[int]:
        """Rows in which the words stand as whole words, on a page if one is named; with `signs` as they are typed."""
        plain = normalise if signs else _bare
        wanted = f" {plain(quote)}{'' if signs else ' '}"
        return [each for each, at in self.rows.items() if page in (None, at.page) and wanted in f" {plain(at.words)} "]


def _bare(words: str) -> str:
    return (
        "".join(sign if sign.isalnum() or sign == "'" else " " for sign in normalise(words)).replace("  ", " ").strip()
    )


def holds(words: str, quote: str) -> bool:
    """Whether words hold a phrase."""
    return f" {_bare(quote)} " in f" {_bare(words)} "
