"""A story under revision, and the book in which every deed is written down."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from tests.bench.pairs.story import Scene, Story
from tests.bench.pairs.writing import Writer, new_topic


@dataclass(frozen=True)
class Deed:
    """What was done, and to what: `of` is "scene", "row", "page", "panel" or "name".

    Pages and panels are named by a row that stands on them, names by the old name.
    """

    operation: str
    of: str
    ids: tuple[int, ...] = ()
    name: str = ""


@dataclass
class Revision:
    """The new draft while it is made.

    `shaped` are scenes whose shape must not change again, so that what they were stays to be seen; `written`
    those that are new, have a twin or are rewritten already; `busy` are characters whose names or lines have
    already changed hands.
    """

    story: Story
    chance: random.Random
    brutal: bool
    deeds: list[Deed] = field(default_factory=list)
    shaped: set[int] = field(default_factory=set)
    busy: set[int] = field(default_factory=set)
    written: set[int] = field(default_factory=set)

    def writer(self, scene: Scene | None = None) -> Writer:
        """Who writes: about what the scene is about, or about something new."""
        return Writer(self.story, self.chance, scene.topic if scene else new_topic(self.story, self.chance))

    def note(self, operation: str, of: str, ids: Iterable[int] = (), name: str = "") -> None:
        """Writes a deed down."""
        self.deeds.append(Deed(operation, of, tuple(ids), name))

    def pick(self, fits: Callable[[Scene], bool] = lambda _: True, *, shape: bool = False) -> Scene | None:
        """Any scene that fits; with `shape` one that kept its shape so far."""
        found = [s for s in self.story.scenes if not (shape and s.id in self.shaped) and fits(s)]
        return self.chance.choice(found) if found else None
