"""The two drafts made ready for comparing: every line with its normalised words and its mouth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping
from functools import cached_property

from ledger.compare.words import positions, worn_words
from ledger.model.script import Draft, Line, Scene
from ledger.model.words import normalise


class Wording:
    """A text made ready, for all lines that say it. What follows its words is worked out when it is first asked for."""

    __slots__ = ("_letters", "_places", "_words", "_worn", "normal")

    def __init__(self, normal: str) -> None:
        self.normal = normal
        self._worn: tuple[str, ...] | None = None
        self._words: frozenset[str] | None = None
        self._letters: str | None = None
        self._places: dict[Hashable, int] | None = None

    @property
    def worn(self) -> tuple[str, ...]:
        """Words with the spelling worn down."""
        if self._worn is None:
            self._worn = tuple(worn_words(self.normal))
        return self._worn

    @property
    def words(self) -> frozenset[str]:
        """Its worn words, each once."""
        if self._words is None:
            self._words = frozenset(self.worn)
        return self._words

    @property
    def letters(self) -> str:
        """Worn words in one string, for likeness by letters."""
        if self._letters is None:
            self._letters = " ".join(self.worn)
        return self._letters

    @property
    def letter_places(self) -> dict[Hashable, int]:
        """Where each letter stands, for likeness by letters."""
        if self._places is None:
            self._places = positions(self.letters)
        return self._places


class Body:
    """A line in reading order: `at` counts over the whole draft, `scene` over its compared scenes.

    `key` is what must be equal for a line to be the same one: role, speaker, normalised words. Names are the
    new draft's where a character was renamed.
    """

    __slots__ = ("at", "key", "line", "scene", "wording")

    def __init__(self, line: Line, at: int, scene: int, key: tuple[str, str, str], wording: Wording) -> None:
        self.line, self.at, self.scene, self.key, self.wording = line, at, scene, key, wording

    @property
    def normal(self) -> str:
        """The normalised words."""
        return self.key[2]

    @property
    def speaker(self) -> str:
        """Who says it."""
        return self.key[1]

    @property
    def mouth(self) -> tuple[str, str]:
        """Role and speaker."""
        return self.key[:2]

    @property
    def saying(self) -> tuple[bool, str]:
        """The words whoever says them; action stays action."""
        return (self.line.role != "action", self.key[2])

    @property
    def size(self) -> int:
        """How many runs between blanks."""
        return self.key[2].count(" ") + 1

    @property
    def worn(self) -> tuple[str, ...]:
        """Words with the spelling worn down."""
        return self.wording.worn

    @property
    def words(self) -> frozenset[str]:
        """Its worn words, each once."""
        return self.wording.words

    @property
    def letters(self) -> str:
        """Worn words in one string, for likeness by letters."""
        return self.wording.letters

    @property
    def letter_places(self) -> dict[Hashable, int]:
        """Where each letter stands, for likeness by letters."""
        return self.wording.letter_places


class SceneBody:
    """A scene in reading order; `at` counts the compared scenes of its draft."""

    def __init__(self, scene: Scene, at: int) -> None:
        self.scene = scene
        self.at = at
        self.bodies: list[Body] = []

    @cached_property
    def print(self) -> tuple[tuple[str, str, str], ...]:
        """Everything said and done, for finding scenes that are quite the same."""
        return tuple(body.key for body in self.bodies)

    @cached_property
    def size(self) -> int:
        """How many runs between blanks."""
        return sum(body.key[2].count(" ") + 1 for body in self.bodies)

    @cached_property
    def words(self) -> list[str]:
        """Every word of the scene, action too."""
        return [word for body in self.bodies for word in body.normal.split()]

    @cached_property
    def worn(self) -> list[str]:
        """Worn words of the scene."""
        return [word for body in self.bodies for word in body.worn]

    @cached_property
    def bag(self) -> Counter[str]:
        """Worn words of the scene, counted."""
        return Counter(self.worn)

    @cached_property
    def title(self) -> str:
        """The title as it is compared."""
        return normalise(self.scene.title)

    @cached_property
    def speakers(self) -> frozenset[str]:
        """Who speaks in it."""
        return frozenset(body.speaker for body in self.bodies if body.speaker)


class DraftBody:
    """A draft made ready; omitted scenes take no part."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft
        self.scenes: list[SceneBody] = []
        self.bodies: list[Body] = []


def speaker_in(names: Mapping[str, str], speaker: str) -> str:
    """A speaker under the new names; several at once one by one."""
    if not names or not speaker:
        return speaker
    return " & ".join(names.get(name, name) for name in speaker.split(" & "))


def prepare(draft: Draft, names: Mapping[str, str], known: dict[str, Wording]) -> DraftBody:
    """Makes a draft ready. `names` maps its names to the other draft's; `known` keeps texts made ready before."""
    ready = DraftBody(draft)
    bodies = ready.bodies
    for scene in draft.scenes:
        if scene.omitted and not scene.lines:
            continue
        body = SceneBody(scene, len(ready.scenes))
        for line in scene.lines:
            wording = known.get(line.text)
            if wording is None:
                wording = known[line.text] = Wording(normalise(line.text))
            key = (line.role, speaker_in(names, line.speaker), wording.normal)
            bodies.append(Body(line, len(bodies), body.at, key, wording))
        body.bodies = bodies[len(bodies) - len(scene.lines) :]
        ready.scenes.append(body)
    return ready
