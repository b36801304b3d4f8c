"""A story while it is written and revised: chapters, scenes, panels, rows; each row keeps its identity."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.bench.pairs.banks import Bank


@dataclass
class Sentence:
    """Words as typed, `@3@` for character 3; `frame` and `slots` let it be said again in another way."""

    text: str
    frame: int = -1
    form: int = 0
    tail: int = -1
    slots: dict[str, str] = field(default_factory=dict)


@dataclass(eq=False)
class Row:
    """One line of a script. `who` is a character's number, -1 where nobody speaks."""

    id: int
    role: str
    who: int
    sentences: list[Sentence]

    @property
    def text(self) -> str:
        """The words, characters still as numbers."""
        return " ".join(each.text for each in self.sentences)

    @property
    def size(self) -> int:
        """How many words it has."""
        return len(self.text.split())


@dataclass(frozen=True)
class Topic:
    """What a scene is about: the words it keeps coming back to."""

    things: tuple[str, ...]
    places: tuple[str, ...]
    deeds: tuple[str, ...]
    looks: tuple[str, ...]


@dataclass(eq=False)
class Panel:
    """A panel stands on the page it names; a page ends where the next panel names another."""

    page: int
    rows: list[Row]


@dataclass(eq=False)
class Scene:
    """A scene; `sources` are the scenes of the old draft it was made from."""

    id: int
    title: str
    sources: frozenset[int]
    panels: list[Panel]
    topic: Topic

    @property
    def rows(self) -> list[Row]:
        """Its lines in order."""
        return [row for panel in self.panels for row in panel.rows]

    @property
    def size(self) -> int:
        """Its words."""
        return sum(row.size for row in self.rows)


@dataclass(eq=False)
class Chapter:
    """A chapter; `bare` when its first scene has no heading."""

    title: str
    scenes: list[Scene]
    bare: bool = False


@dataclass(eq=False)
class Story:
    """A whole draft. `names` are the characters' names by number; `paged` and `titled` how it is typed."""

    bank: Bank
    chapters: list[Chapter]
    names: list[str]
    gags: list[tuple[int, str]]
    paged: bool = True
    titled: bool = True
    last: int = 0
    twins: set[int] = field(default_factory=set)

    def fresh(self) -> int:
        """A number that nothing has yet."""
        self.last += 1
        return self.last

    @property
    def scenes(self) -> list[Scene]:
        """Every scene in reading order."""
        return [scene for chapter in self.chapters for scene in chapter.scenes]

    def rows(self) -> Iterator[Row]:
        """Every row in reading order."""
        for scene in self.scenes:
            yield from scene.rows

    def chapter_of(self, scene: Scene) -> Chapter:
        """Where a scene stands."""
        return next(chapter for chapter in self.chapters if scene in chapter.scenes)

    def tidy(self) -> None:
        """Drops what has become empty."""
        for scene in self.scenes:
            scene.panels = [panel for panel in scene.panels if panel.rows]
        for chapter in self.chapters:
            chapter.scenes = [scene for scene in chapter.scenes if scene.panels]
        self.chapters = [chapter for chapter in self.chapters if chapter.scenes]
