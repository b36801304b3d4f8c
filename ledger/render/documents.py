"""JSON documents as the contract of the commands lays them out; every key is always there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ledger.model.change import (
    CastChange,
    Comparison,
    LineChange,
    PageChange,
    PictureChange,
    SceneChange,
    Side,
)
from ledger.model.finding import Finding
from ledger.model.note import STATES, Followed
from ledger.model.pages import label_order
from ledger.model.script import Line, Scene
from ledger.model.standing import PassStanding, Standing
from ledger.render.findings_text import in_order

Document = dict[str, Any]


def finding_document(finding: Finding) -> Document:
    """One finding."""
    return {
        "rule": finding.rule, "level": finding.level, "message": finding.message, "path": finding.path,
        "line": finding.line, "page": finding.page, "panel": finding.panel, "scene": finding.scene,
        "remedy": finding.remedy, "commit": finding.commit,
    }  # fmt: skip


def findings_list(findings: Iterable[Finding]) -> list[Document]:
    """Findings by place."""
    return [finding_document(finding) for finding in in_order(findings)]


def judged_document(findings: Iterable[Finding]) -> Document:
    """`check` and `audit`: `ok` is false exactly when a finding blocks."""
    found = list(findings)
    return {"ok": not any(f.blocks for f in found), "findings": findings_list(found)}


def done_document(
    *, done: bool = True, entry: str | None = None, commit: str | None = None, tag: str | None = None,
    paths: Iterable[str] = (), findings: Iterable[Finding] = (),
) -> Document:  # fmt: skip
    """The general form, for commands that have no shape of their own."""
    return {"done": done, "entry": entry, "commit": commit, "tag": tag, "paths": list(paths),
            "findings": findings_list(findings)}  # fmt: skip


def doctor_document(missing: Iterable[str], tags_made: Iterable[str], findings: Iterable[Finding]) -> Document:
    """`doctor`: what is named and not there, the tags made again."""
    return {"missing": sorted(missing), "tags_made": sorted(tags_made), "findings": findings_list(findings)}


def notes_document(followed: Iterable[Followed], findings: Iterable[Finding]) -> Document:
    """`notes list`: every note with what became of its place, file by file in typed order."""
    ordered = sorted(followed, key=lambda f: (f.note.path.encode("utf-8", "surrogateescape"), f.note.line))
    return {"findings": findings_list(findings), "notes": [_note(each) for each in ordered]}


def _note(followed: Followed) -> Document:
    note = followed.note
    return {
        "id": note.id, "round": note.round, "state": note.state, "text": note.text,
        "anchor": note.anchor.typed or None, "place_then": followed.place_then, "place_now": followed.place_now,
        "evidence": followed.evidence, "standing": list(followed.standing), "path": note.path, "line": note.line,
    }  # fmt: skip


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
    return {"kind": change.kind, "old": _line(change.old), "new": _line(change.new)}


def _line(line: Line | None) -> Document | None:
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


def status_document(standing: Standing) -> Document:
    """`status`: passes in the book's order; `pages` of a text pass is null."""
    return {
        "passes": [_pass(each) for each in standing.passes],
        "notes": {state: standing.notes.get(state, 0) for state in STATES},
        "next": [{"what": step.what, "why": step.why, "command": step.command} for step in standing.next],
        "findings": findings_list(standing.findings),
    }


def _pass(standing: PassStanding) -> Document:
    pages = standing.pages
    counted = pages and {"total": pages.total, "entered": pages.entered, "stale": sorted(pages.stale, key=label_order)}
    locks = [{"entry": lock.entry, "pages": lock.pages, "scopes": list(lock.scopes)} for lock in standing.locks]
    return {"name": standing.name, "kind": standing.kind, "round": standing.round, "pages": counted, "locks": locks}
