"""What happened between two states of a book: the comparison, as values."""

from typing import NamedTuple

from ledger.model.finding import Finding
from ledger.model.script import Line, Scene

SCENE_KINDS: tuple[str, ...] = ("kept", "polished", "rewritten", "split", "merged", "cut", "new")
LINE_KINDS: tuple[str, ...] = ("same", "reworded", "added", "cut", "moved", "reassigned")
PAGE_KINDS: tuple[str, ...] = ("kept", "changed", "added", "cut", "moved")
PANEL_KINDS: tuple[str, ...] = ("kept", "changed", "added", "cut")
PICTURE_KINDS: tuple[str, ...] = ("same", "touch-up", "redrawn", "layout", "swapped", "added", "missing")


class LineChange(NamedTuple):
    """One line on one or both sides. A moved line may be reworded too: its two texts differ."""

    kind: str
    old: Line | None
    new: Line | None


class SceneChange(NamedTuple):
    """A group of scenes that belong together. `similarity` is 1 - the share of words changed (0 to 1).

    `lines` holds every line of the group once, same lines too; a line carried to another scene stands
    under its new place.
    """

    kind: str
    old: tuple[Scene, ...]
    new: tuple[Scene, ...]
    moved: bool = False
    renamed: bool = False
    similarity: float = 1.0
    lines: tuple[LineChange, ...] = ()


class CastChange(NamedTuple):
    """Characters renamed throughout (old name, new name), added and gone, by name."""

    renamed: tuple[tuple[str, str], ...] = ()
    added: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()


class PanelChange(NamedTuple):
    """A panel of a page pair; None on the side where it is not there."""

    kind: str
    old: int | None
    new: int | None


class PageChange(NamedTuple):
    """A page of the script paired by what stands on it; labels, None where it is not there."""

    kind: str
    old: str | None
    new: str | None
    panels: tuple[PanelChange, ...] = ()


class DraftChange(NamedTuple):
    """Everything that happened to a text pass."""

    scenes: tuple[SceneChange, ...] = ()
    cast: CastChange = CastChange()
    pages: tuple[PageChange, ...] = ()


class PictureBox(NamedTuple):
    """A panel of a picture: index from 1 in reading order, box as fractions (left, top, width, height).

    `changed` is the share of the panel's ink that differs, 0 to 1.
    """

    index: int  # type: ignore[assignment]  # a box is never searched like a tuple
    box: tuple[float, float, float, float]
    changed: float


class PictureChange(NamedTuple):
    """What became of one page's picture in one art pass."""

    pass_name: str
    page: str
    kind: str
    panels: tuple[PictureBox, ...] = ()

    @property
    def changed_panels(self) -> list[int]:
        """The numbers of the panels that changed; none where panels were not told apart and the page is all one."""
        if len(self.panels) == 1 and self.panels[0].box == (0.0, 0.0, 1.0, 1.0):
            return []
        return [panel.index for panel in self.panels if panel.changed]


class Side(NamedTuple):
    """One side of a comparison in numbers; `name` is the reference as typed."""

    name: str
    words: int = 0
    scenes: int = 0
    pages: int = 0
    panels: int = 0


class Comparison(NamedTuple):
    """The whole answer to "what changed"; `across` is whether pictures of two different passes were compared."""

    old: Side
    new: Side
    draft: DraftChange = DraftChange()
    pictures: tuple[PictureChange, ...] = ()
    findings: tuple[Finding, ...] = ()
    across: bool = False
