"""The two drafts made ready for comparing: every line with its normalised words and its mouth."""

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from functools import cached_property
from itertools import chain, count, repeat
from operator import itemgetter

from ledger.compare.words import all_worn, positions
from ledger.model.script import Draft, Line, Scene
from ledger.model.words import normalise, normalise_all


class Wording:
    """A text made ready, one for all lines that say it: what is said by anyone and what is action are two.

    `worn` are its words with the spelling worn down, `words` each of them once; `runs` are the runs between
    blanks; `letters` are the worn words in one string and `letter_places` where each letter stands, for likeness by
    letters. All but the first two are worked out when they are first asked for: most lines of a draft are
    found again as they are, and need none of it.
    """

    __slots__ = ("letter_places", "letters", "normal", "runs", "words", "worn")

    normal: str
    worn: tuple[str, ...]
    runs: list[str]
    words: frozenset[str]
    letters: str
    letter_places: Mapping[Hashable, int]

    def __init__(self, normal: str, worn: tuple[str, ...]) -> None:
        self.normal, self.worn = normal, worn

    def __getattr__(self, name: str) -> object:
        # Only asked while the slot is empty; a filled one is read without a call.
        if name not in _MADE_OF:
            raise AttributeError(name)
        made = _MADE_OF[name](self)
        setattr(self, name, made)
        return made


_MADE_OF: Mapping[str, Callable[[Wording], object]] = {
    "runs": lambda text: text.normal.split(),
    "words": lambda text: frozenset(text.worn),
    "letters": lambda text: " ".join(text.worn),
    "letter_places": lambda text: positions(text.letters),
}

#: What makes two lines the same one: role, speaker, normalised words.
Key = tuple[str, str, str]


class Body:
    """A line in reading order: `at` counts over the whole draft, `scene` over its compared scenes.

    `key` is what must be equal for a line to be the same one: role, speaker, normalised words. Names are the
    new draft's where a character was renamed. `wording` is one object for all lines of both drafts that say the same.
    """

    __slots__ = ("at", "key", "line", "scene", "wording")

    def __init__(self, line: Line, at: int, scene: int, key: Key, wording: Wording) -> None:
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
    def lettered(self) -> bool:
        """Whether a letterer letters it; action is never held against what is lettered."""
        return self.key[0] != "action"

    @property
    def size(self) -> int:
        """How many runs between blanks."""
        return len(self.wording.runs)


def size_of(bodies: Iterable[Body]) -> int:
    """How many runs between blanks lines have."""
    text = " ".join(filter(None, [body.key[2] for body in bodies]))
    return text.count(" ") + 1 if text else 0


class SceneBody:
    """A scene in reading order; `at` counts the compared scenes of its draft."""

    def __init__(
        self, scene: Scene, at: int, bodies: list[Body], keys: tuple[Key, ...], wordings: tuple[Wording, ...]
    ) -> None:
        self.scene, self.at = scene, at
        self.bodies, self.wordings = bodies, wordings
        #: Everything said and done, for finding scenes that are quite the same.
        self.print = keys

    @cached_property
    def size(self) -> int:
        """How many runs between blanks."""
        return size_of(self.bodies)

    @cached_property
    def words(self) -> list[str]:
        """Every word of the scene, action too."""
        return [run for wording in self.wordings for run in wording.runs]

    @cached_property
    def bag(self) -> Counter[str]:
        """Worn words of the scene, counted."""
        return Counter(chain.from_iterable([wording.worn for wording in self.wordings]))

    @cached_property
    def different(self) -> frozenset[str]:
        """Worn words of the scene, each once."""
        return frozenset(chain.from_iterable([wording.worn for wording in self.wordings]))

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

    def __init__(self, draft: Draft, bodies: list[Body]) -> None:
        self.draft, self.bodies = draft, bodies
        self.scenes: list[SceneBody] = []


def speaker_in(names: Mapping[str, str], speaker: str) -> str:
    """A speaker under the new names; several at once one by one."""
    if not names or not speaker:
        return speaker
    return " & ".join(names.get(name, name) for name in speaker.split(" & "))


#: What a line says: role, speaker and text as typed.
_SAID = itemgetter(Line._fields.index("role"), Line._fields.index("speaker"), Line._fields.index("text"))


def typed_lines(draft: Draft, names: Mapping[str, str]) -> list[Key]:
    """Role, speaker and text as typed of every line in order; `names` maps a draft's names to the other one's."""
    typed = list(map(_SAID, draft.lines))
    return [(role, speaker_in(names, speaker), text) for role, speaker, text in typed] if names else typed


def ready_texts(typed: Iterable[Key]) -> dict[Key, tuple[Key, Wording]]:
    """What lines say made ready: role, speaker and text as typed -> key and wording of the line.

    Column by column: what is done to all lines at once takes a fraction of what a call for each of them does.
    """
    lines = list(dict.fromkeys(typed))
    if not lines:
        return {}
    roles, speakers, texts = zip(*lines, strict=True)
    said = list(zip(map("action".__eq__, roles), normalise_all(texts), strict=True))
    normals = [normal for _, normal in dict.fromkeys(said)]
    wordings = dict(zip(dict.fromkeys(said), map(Wording, normals, all_worn(normals)), strict=True))
    found = list(map(wordings.__getitem__, said))
    keys = zip(roles, speakers, [wording.normal for wording in found], strict=True)
    return dict(zip(lines, zip(keys, found, strict=True), strict=True))


def prepare(draft: Draft, typed: Sequence[Key], texts: Mapping[Key, tuple[Key, Wording]]) -> DraftBody:
    """Makes a draft ready; `typed` are its lines by `typed_lines`, `texts` those of both drafts made ready."""
    scenes = [scene for scene in draft.scenes if scene.lines or not scene.omitted]
    keys, wordings = zip(*map(texts.__getitem__, typed), strict=True) if typed else ((), ())
    places = chain.from_iterable(map(repeat, count(), [len(scene.lines) for scene in scenes]))
    bodies = list(map(Body, draft.lines, count(), places, keys, wordings))
    ready = DraftBody(draft, bodies)
    start = 0
    for at, scene in enumerate(scenes):
        end = start + len(scene.lines)
        ready.scenes.append(SceneBody(scene, at, bodies[start:end], keys[start:end], wordings[start:end]))
        start = end
    return ready
