"""`compare` as a JSON document."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from ledger.model.change import (
    CastChange,
    Comparison,
    LineChange,
    PageChange,
    PictureChange,
    Side,
)
from ledger.model.pages import label_order
from ledger.model.script import Line, Scene
from ledger.render.finding_documents import Document, findings_list

_Listed = Callable[[Iterable[Any]], list[Any]]


def compare_document(comparison: Comparison, all_lines: bool = False, *, for_print: bool = False) -> Document:
    """`compare`: lines of kind "same" stand in it only with `all_lines`.

    With `for_print` scenes, lines and pages are rows of JSON, which `json_text` takes: that halves its time.
    """
    scenes: _Listed = _scenes
    lines: _Listed = _lines
    pages: _Listed = _pages
    if for_print:
        from ledger.render.changes.rows import line_rows, page_rows, scene_rows

        scenes, lines, pages = scene_rows, line_rows, page_rows
    return {
        "old": _side(comparison.old),
        "new": _side(comparison.new),
        "scenes": [
            {
                "kind": change.kind, "moved": change.moved, "renamed": change.renamed,
                "similarity": round(change.similarity, 4), "old": scenes(change.old), "new": scenes(change.new),
                "lines": lines([line for line in change.lines if all_lines or line.kind != "same"]),
            }
            for change in comparison.draft.scenes
        ],
        "cast": _cast(comparison.draft.cast),
        "pages": pages(comparison.draft.pages),
        "pictures": [_picture(picture) for picture in in_page_order(comparison.pictures)],
        "findings": findings_list(comparison.findings),
    }  # fmt: skip


def _side(side: Side) -> Document:
    return {"name": side.name, "words": side.words, "scenes": side.scenes, "pages": side.pages, "panels": side.panels}


def _scenes(scenes: Iterable[Scene]) -> list[Document]:
    return [{"index": scene.index, "chapter": scene.chapter, "title": scene.title, "path": scene.path,
             "line": scene.line} for scene in scenes]  # fmt: skip


def _lines(lines: Iterable[LineChange]) -> list[Document]:
    return [{"kind": line.kind, "old": line_document(line.old), "new": line_document(line.new)} for line in lines]


def line_document(line: Line | None) -> Document | None:
    """A line as documents give it (commands.md §3)."""
    if line is None:
        return None
    return {"path": line.path, "line": line.line, "role": line.role, "speaker": line.speaker, "text": line.text,
            "page": line.page, "panel": line.panel}  # fmt: skip


def _cast(cast: CastChange) -> Document:
    renamed = [{"old": old, "new": new} for old, new in cast.renamed]
    return {"renamed": renamed, "added": list(cast.added), "gone": list(cast.gone)}


def _pages(pages: Iterable[PageChange]) -> list[Document]:
    return [{"kind": page.kind, "old": page.old, "new": page.new,
             "panels": [{"kind": p.kind, "old": p.old, "new": p.new} for p in page.panels]}
            for page in pages]  # fmt: skip


def in_page_order(pictures: Iterable[PictureChange]) -> list[PictureChange]:
    """Pictures by pass, then by page."""
    return sorted(pictures, key=lambda p: (p.pass_name, label_order(p.page)))


def _picture(picture: PictureChange) -> Document:
    panels = [{"index": p.index, "box": list(p.box), "changed": p.changed} for p in picture.panels]
    return {"pass": picture.pass_name, "page": picture.page, "kind": picture.kind, "panels": panels}
