"""A story as a script of the convention, and where in it everything stands."""

from __future__ import annotations

from dataclasses import dataclass, field

from tests.bench.pairs.story import Row, Scene, Story

_KEYS = {"caption": "CAP", "sfx": "SFX"}


@dataclass(frozen=True)
class Spot:
    """Where a row stands: line in the file, place of its scene, page and panel ("" and 0 where none is marked)."""

    line: int
    scene: int
    page: str
    panel: int


@dataclass
class Typed:
    """A script as text. `spots` by the row's identity; `headings` the line of each scene, `titles` what it says."""

    rows: list[str] = field(default_factory=list)
    spots: dict[int, Spot] = field(default_factory=dict)
    headings: list[int] = field(default_factory=list)
    titles: list[str] = field(default_factory=list)
    pages: int = 0
    panel: int = 0
    page: int = -1

    @property
    def text(self) -> str:
        """The whole file."""
        return "\n".join(self.rows) + "\n"

    def put(self, row: str) -> int:
        """Types one row after a blank one and gives its line."""
        self.rows += [row] if not self.rows else ["", row]
        return len(self.rows)


def worded(text: str, names: list[str]) -> str:
    """Words with the characters' names in them."""
    for number, name in enumerate(names):
        text = text.replace(f"@{number}@", name)
    return text


def typed(story: Story) -> Typed:
    """Types a story."""
    out = Typed()
    for chapter in story.chapters:
        out.put(f"# {chapter.title}")
        for at, scene in enumerate(chapter.scenes):
            _scene(out, story, scene, headed=not (chapter.bare and at == 0))
    return out


def _scene(out: Typed, story: Story, scene: Scene, *, headed: bool) -> None:
    title = scene.title if story.titled and headed else ""
    if headed:
        out.headings.append(out.put(f"## {title}".rstrip()))
    else:
        out.headings.append(-1)
    out.titles.append(title)
    for panel in scene.panels:
        if story.paged:
            _mark(out, panel.page)
        dialogue = False
        for row in panel.rows:
            _row(out, story, row, follows=dialogue)
            dialogue = row.role != "action"
    if not headed:
        out.headings[-1] = min(out.spots[row.id].line for row in scene.rows)


def _mark(out: Typed, page: int) -> None:
    if page != out.page:
        out.pages, out.panel, out.page = out.pages + 1, 0, page
        out.put(f"[page {out.pages}]")
    out.panel += 1
    out.put("[panel]")


def _row(out: Typed, story: Story, row: Row, *, follows: bool) -> None:
    said = worded(row.text, story.names)
    key = story.names[row.who].upper() if row.role == "dialogue" else _KEYS.get(row.role)
    typed_row = f"{key}: {said}" if key else said
    if follows and key:
        out.rows.append(typed_row)
        line = len(out.rows)
    else:
        line = out.put(typed_row)
    page = str(out.pages) if story.paged else ""
    out.spots[row.id] = Spot(line, len(out.headings) - 1, page, out.panel if story.paged else 0)
