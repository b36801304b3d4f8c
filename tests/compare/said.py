"""What a comparison says, as lines a person can read: the language of the case files."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.model.change import DraftChange, LineChange, PageChange, SceneChange
from ledger.model.script import Line, Scene


def said(change: DraftChange) -> list[str]:
    """One line for everything that changed; what stayed as it was is not mentioned."""
    return [*_scenes(change), *_cast(change), *(row for page in change.pages for row in _page(page))]


def _scenes(change: DraftChange) -> Iterator[str]:
    for scene in change.scenes:
        lines = [_line(line) for line in scene.lines if line.kind != "same"]
        if scene.kind == "kept" and not scene.moved and not scene.renamed and not lines:
            continue
        words = [scene.kind, *(["moved"] if scene.moved else []), *(["renamed"] if scene.renamed else [])]
        yield f"{', '.join(words)}: {_titles(scene)}"
        if scene.kind not in ("cut", "new"):
            yield from lines


def _titles(scene: SceneChange) -> str:
    sides = [" + ".join(_title(one) for one in side) for side in (scene.old, scene.new)]
    return sides[0] or sides[1] if sides[0] == sides[1] or not all(sides) else " > ".join(sides)


def _title(scene: Scene) -> str:
    return scene.title or "(untitled)"


def _line(change: LineChange) -> str:
    old, new = (_words(side) for side in (change.old, change.new))
    return f"  {change.kind}: {old or new if old == new or not (old and new) else f'{old} > {new}'}"


def _words(line: Line | None) -> str:
    if line is None:
        return ""
    who = line.speaker or {"caption": "CAP", "sfx": "SFX"}.get(line.role, "")
    return f"{who}: {line.text}" if who else line.text


def _cast(change: DraftChange) -> Iterator[str]:
    for old, new in change.cast.renamed:
        yield f"{old} is now {new}"
    for name in change.cast.added:
        yield f"{name} speaks for the first time"
    for name in change.cast.gone:
        yield f"{name} does not speak any more"


def _page(page: PageChange) -> Iterator[str]:
    panels = [panel for panel in page.panels if panel.kind != "kept" or panel.old != panel.new]
    if page.kind == "kept":
        return
    labels = f"{page.old} > {page.new}" if page.old and page.new and page.old != page.new else page.new or page.old
    yield f"page {labels} {page.kind}"
    if page.kind == "changed":
        for panel in panels:
            numbers = (
                f"{panel.old} > {panel.new}" if panel.old and panel.new and panel.old != panel.new
                else panel.new or panel.old
            )  # fmt: skip
            yield f"  panel {numbers} {panel.kind}"
