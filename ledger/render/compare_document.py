"""`compare` as a JSON document."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.model.change import (
    CastChange,
    Comparison,
    LineChange,
    PageChange,
    PictureChange,
    SceneChange,
    Side,
)
from ledger.model.pages import label_order
from ledger.model.script import Line, Scene
from ledger.render.finding_documents import Document, findings_list


def compare_document(comparison: Comparison, all_lines: bool = False) -> Document:
    """`compare`: lines of kind "same" stand in it only with `all_lines`."""
    draft = comparison.draft
    return {
        "old": _side(comparison.old),
        "new": _side(comparison.new),
        "scenes": [_scene_change(scene, all_lines) for scene in draft.scenes],
        "cast": _cast(draft.cast),
        "pages": [_page(page) for page in draft.pages],
        "pictures": [_picture(picture) for picture in in_page_order(comparison.pictures)],
        "findings": findings_list(comparison.findings),
    }  # fmt: skip


def _side(side: Side) -> Document:
    return {"name": side.name, "words": side.words, "scenes": side.scenes, "pages": side.pages, "panels": side.panels}


def _scene_change(change: SceneChange, all_lines: bool) -> Document:
    return {
        "kind": change.kind, "moved": change.moved, "renamed": change.renamed,
        "similarity": round(change.similarity, 4),
        "old": [_scene(scene) for scene in change.old],
        "new": [_scene(scene) for scene in change.new],
        "lines": [_line_change(line) for line in change.lines if all_lines or line.kind != "same"],
    }  # fmt: skip


def _scene(scene: Scene) -> Document:
    return {"index": scene.index, "chapter": scene.chapter, "title": scene.title, "path": scene.path,
            "line": scene.line}  # fmt: skip


def _line_change(change: LineChange) -> Document:
    return {"kind": change.kind, "old": line_document(change.old), "new": line_document(change.new)}


def line_document(line: Line | None) -> Document | None:
    """A line as documents give it (commands.md §3)."""
    if line is None:
        return None
    return {"path": line.path, "line": line.line, "role": line.role, "speaker": line.speaker, "text": line.text,
            "page": line.page, "panel": line.panel}  # fmt: skip


def _cast(cast: CastChange) -> Document:
    renamed = [{"old": old, "new": new} for old, new in cast.renamed]
    return {"renamed": renamed, "added": list(cast.added), "gone": list(cast.gone)}


def _page(page: PageChange) -> Document:
    panels = [{"kind": p.kind, "old": p.old, "new": p.new} for p in page.panels]
    return {"kind": page.kind, "old": page.old, "new": page.new, "panels": panels}


def in_page_order(pictures: Iterable[PictureChange]) -> list[PictureChange]:
    """Pictures by pass, then by page."""
    return sorted(pictures, key=lambda p: (p.pass_name, label_order(p.page)))


def _picture(picture: PictureChange) -> Document:
    panels = [{"index": p.index, "box": list(p.box), "changed": p.changed} for p in picture.panels]
    return {"pass": picture.pass_name, "page": picture.page, "kind": picture.kind, "panels": panels}
