"""A draft as it was read: scenes, lines, page and panel marks, each with its file and line span."""

from itertools import chain
from typing import NamedTuple

from ledger.model.finding import Finding

ROLES: tuple[str, ...] = ("action", "dialogue", "caption", "sfx")


class Line(NamedTuple):
    """One paragraph of action, or one balloon, caption or sound.

    `text` is the words without key, cue and comments, inner blanks folded to one; emphasis signs are
    gone. `speaker` is the cast name ("Wren & Tomas Arde" for several, "ALL" for everybody), "" where
    there is none; `key` is what was typed before the colon. `page` is a page label and `panel` counts
    from 1 on its page; both are None before the first mark of their kind, but a page without panel
    marks holds one panel: its lines have panel None. `line` to `end_line` is the span in the file,
    counted from 1. `scene` is the index of the scene in the whole draft.
    """

    path: str
    line: int
    end_line: int
    role: str
    speaker: str
    text: str
    key: str = ""
    cue: str = ""
    page: str | None = None
    panel: int | None = None
    scene: int = 0

    @property
    def lettered(self) -> bool:
        """Whether a letterer letters it: dialogue, caption and sound, never action."""
        return self.role != "action"


class Scene(NamedTuple):
    """A scene: `index` counts over the whole draft from 0; `pin` is a pinned identity (`{#harbour}`).

    `headed` is False for text before the first scene heading of a chapter and for a draft without
    headings; `line` is then the first line it holds. `number_of_chapter` counts chapters from 1, 0
    before the first chapter heading.
    """

    index: int  # type: ignore[assignment]  # a scene is never searched like a tuple
    chapter: str
    title: str
    path: str
    line: int
    lines: tuple[Line, ...] = ()
    pin: str | None = None
    headed: bool = True
    number_of_chapter: int = 0
    omitted: bool = False


class Panel(NamedTuple):
    """A panel mark: `number` counts from 1 on its page, whatever was typed; `typed` is what was."""

    number: int
    path: str
    line: int
    typed: int | None = None
    reveal: bool = False


class Page(NamedTuple):
    """A page or spread of the script. `label` is by count; `typed` what the mark said ("12", "24-25").

    `panels` is empty for a page without panel marks (it counts as one panel if it holds anything);
    `declared` is the panel count stated in the heading; `reveal` a `[reveal]` outside any panel mark.
    `holds` is whether any line or panel stands on it.
    """

    label: str
    path: str
    line: int
    typed: str | None = None
    panels: tuple[Panel, ...] = ()
    declared: int | None = None
    reveal: bool = False
    omitted: bool = False
    holds: bool = True

    @property
    def panel_count(self) -> int:
        """Panels on the page: its marks, or one for a page without marks that holds anything."""
        return len(self.panels) or int(self.holds and not self.omitted)


class Draft(NamedTuple):
    """A whole draft in reading order; `findings` are what the reader had to say about it.

    `words` counts lettered words.
    """

    scenes: tuple[Scene, ...] = ()
    pages: tuple[Page, ...] = ()
    findings: tuple[Finding, ...] = ()
    words: int = 0
    paths: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every line in reading order."""
        return tuple(chain.from_iterable([scene.lines for scene in self.scenes]))

    @property
    def panels(self) -> int:
        """Panels of all pages."""
        return sum(page.panel_count for page in self.pages)
