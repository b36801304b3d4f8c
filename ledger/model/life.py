"""The life of a line and of a page: what became of it from one state of the script to the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ledger.model.change import LineChange, PanelChange, PictureChange, SceneChange
from ledger.model.entry import Entry, Reopen
from ledger.model.note import Followed, Note
from ledger.model.plate import Shown
from ledger.model.script import Draft, Line
from ledger.model.stale import StalePage
from ledger.model.words import normalise


@dataclass(frozen=True, slots=True)
class State:
    """A state of the script: a round, what an alteration slip admitted, or your files now (`entry` None).

    `opened` are the reopenings that came after the state before this one.
    """

    name: str
    entry: Entry | None
    draft: Draft
    opened: tuple[Reopen, ...] = ()


@dataclass(frozen=True, slots=True)
class Unread:
    """A state that could not be read, and why in a short phrase."""

    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Turn:
    """A line on its way into a state; `at` counts the states from 0.

    `change.old` is None where it came, `change.new` where it left. `scene` is the group of scenes it is told in,
    None where nothing at all changed or the line was there from the first state on. `renamed` is the speaker's old
    and new name where a character was renamed throughout; `back` is whether it had been cut before.
    """

    at: int
    change: LineChange
    scene: SceneChange | None = None
    renamed: tuple[str, str] | None = None
    back: bool = False

    @property
    def kinds(self) -> tuple[str, ...]:
        """What happened, in words of JSON; empty for a line that is as it was."""
        old, new = self.change.old, self.change.new
        if old is None or new is None:
            return ("left",) if new is None else ("came-back",) if self.back else ("came",)
        scene, kind = self.scene, self.change.kind
        placed = (old.page, old.panel) != (new.page, new.panel)
        happened = {
            "reassigned": kind == "reassigned",
            "renamed": self.renamed is not None,
            "reworded": normalise(old.text) != normalise(new.text),
            "moved": kind == "moved",
            "carried": kind != "moved" and scene is not None and scene.moved,
            "renumbered": kind in ("same", "reworded") and placed and not (scene is not None and scene.moved),
            "scene": scene is not None and _became_another(scene, old),
        }
        return tuple(word for word, so in happened.items() if so)


def _became_another(scene: SceneChange, old: Line) -> bool:
    """Whether the scene that a line stood in was split, merged or given another title."""
    if all(each.index != old.scene for each in scene.old):
        return False
    return scene.kind in ("split", "merged") or scene.renamed


@dataclass(frozen=True, slots=True)
class Life:
    """A line from the state in which it came to the one in which it left, or to the newest. One turn a state."""

    turns: tuple[Turn, ...]

    @property
    def first(self) -> Line:
        """The line as it came in."""
        line = self.turns[0].change.new
        assert line is not None
        return line

    @property
    def last(self) -> Line:
        """The line as it is now, or as it was before it left."""
        line = self.turns[-1].change.new or self.turns[-1].change.old
        assert line is not None
        return line

    @property
    def gone(self) -> bool:
        """Whether the newest state has it no more."""
        return self.turns[-1].change.new is None

    def line_at(self, at: int) -> Line | None:
        """The line in a state."""
        return next((turn.change.new for turn in self.turns if turn.at == at), None)


@dataclass(frozen=True, slots=True)
class NoteOn:
    """A note with its reader and the round it was made on, None where that is not known."""

    note: Note
    reader: str
    on: str | None


@dataclass(frozen=True, slots=True)
class LineStory:
    """A life with the notes that belong to it: by the state they led to, and those that led to nothing."""

    life: Life
    notes: Mapping[int, tuple[NoteOn, ...]] = field(default_factory=dict)
    others: tuple[NoteOn, ...] = ()


@dataclass(frozen=True, slots=True)
class Trace:
    """The answer of `trace`: the lines that the words were found in, the nearest first.

    Where they were found in none, `nearest` holds lines that share some of the words.
    """

    words: str
    states: tuple[State, ...]
    stories: tuple[LineStory, ...] = ()
    nearest: tuple[Line, ...] = ()
    unread: tuple[Unread, ...] = ()


@dataclass(frozen=True, slots=True)
class PageTurn:
    """A page on its way into a state: its label before and after, None where it was not there, and what changed on it.

    `kind` is one of the kinds of pages. `lines` are those of the page that changed, on either side.
    """

    at: int
    kind: str
    old: str | None
    new: str | None
    panels: tuple[PanelChange, ...] = ()
    lines: tuple[LineChange, ...] = ()


@dataclass(frozen=True, slots=True)
class PageEvent:
    """An entry that concerns a page, and the page's label then.

    `picture` says what a round of an art pass brought: "first", "another", "same" or "gone"; "" for other entries.
    """

    entry: Entry
    label: str
    picture: str = ""


@dataclass(frozen=True, slots=True)
class LifePicture:
    """A picture of the page, as a round brought it or as it lies there now (`entry` None).

    `change` is what became of the one before it in the same pass, "added" for the first.
    """

    entry: Entry | None
    change: PictureChange
    shown: Shown | None


@dataclass(frozen=True, slots=True)
class PageLife:
    """The answer of `page`: `label` is what the page is called now, or was when it was last there.

    `labels` holds the label in every state, None where the page is not in it. `stale` are the passes in which it rests
    on older content; `pictures` are there where they were asked for.
    """

    title: str
    label: str
    states: tuple[State, ...]
    labels: tuple[str | None, ...] = ()
    turns: tuple[PageTurn, ...] = ()
    events: tuple[PageEvent, ...] = ()
    undrawn: tuple[str, ...] = ()
    notes: tuple[Followed, ...] = ()
    unread: tuple[Unread, ...] = ()
    stale: tuple[StalePage, ...] = ()
    pictures: tuple[LifePicture, ...] = ()

    def script_at(self, at: int) -> tuple[Line, ...]:
        """The lines of the page in a state."""
        label = self.labels[at]
        return tuple(line for line in self.states[at].draft.lines if label is not None and line.page == label)
