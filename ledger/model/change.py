"""What happened between two states of a book: the comparison, as values."""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.model.finding import Finding
from ledger.model.script import Line, Scene

SCENE_KINDS: tuple[str, ...] = ("kept", "polished", "rewritten", "split", "merged", "cut", "new")
LINE_KINDS: tuple[str, ...] = ("same", "reworded", "added", "cut", "moved", "reassigned")
PAGE_KINDS: tuple[str, ...] = ("kept", "changed", "added", "cut", "moved")
PANEL_KINDS: tuple[str, ...] = ("kept", "changed", "added", "cut")
PICTURE_KINDS: tuple[str, ...] = ("same", "touch-up", "redrawn", "layout", "swapped", "added", "missing")


@dataclass(frozen=True, slots=True)
class LineChange:
    """One line on one or both sides. A moved line may be reworded too: its two texts differ."""

    kind: str
    old: Line | None
    new: Line | None


@dataclass(frozen=True, slots=True)
class SceneChange:
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


@dataclass(frozen=True, slots=True)
class CastChange:
    """Characters renamed throughout (old name, new name), added and gone, by name."""

    renamed: tuple[tuple[str, str], ...] = ()
    added: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PanelChange:
    """A panel of a page pair; None on the side where it is not there."""

    kind: str
    old: int | None
    new: int | None


@dataclass(frozen=True, slots=True)
class PageChange:
    """A page of the script paired by what stands on it; labels, None where it is not there."""

    kind: str
    old: str | None
    new: str | None
    panels: tuple[PanelChange, ...] = ()


@dataclass(frozen=True, slots=True)
class DraftChange:
    """Everything that happened to a text pass."""

    scenes: tuple[SceneChange, ...] = ()
    cast: CastChange = field(default_factory=CastChange)
    pages: tuple[PageChange, ...] = ()


@dataclass(frozen=True, slots=True)
class PictureBox:
    """A panel of a picture: index from 1 in reading order, box as fractions (left, top, width, height).

    `changed` is the share of the panel's ink that differs, 0 to 1.
    """

    index: int
    box: tuple[float, float, float, float]
    changed: float


@dataclass(frozen=True, slots=True)
class PictureChange:
    """What became of one page's picture in one art pass."""

    pass_name: str
    page: str
    kind: str
    panels: tuple[PictureBox, ...] = ()


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison in numbers; `name` is the reference as typed."""

    name: str
    words: int = 0
    scenes: int = 0
    pages: int = 0
    panels: int = 0


@dataclass(frozen=True, slots=True)
class Comparison:
    """The whole answer to "what changed"."""

    old: Side
    new: Side
    draft: DraftChange = field(default_factory=DraftChange)
    pictures: tuple[PictureChange, ...] = ()
    findings: tuple[Finding, ...] = ()
