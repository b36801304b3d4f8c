"""Scenes and panels that a change concerns."""

from collections.abc import Iterable

from ledger.model.change import PageChange, SceneChange
from ledger.model.pages import page_numbers
from ledger.model.script import Draft
from ledger.plan.numbering import Numbering


def scenes_changed(scenes: Iterable[SceneChange]) -> tuple[tuple[str, str], ...]:
    """Title and what became of it, for every scene that is not what it was."""
    return tuple((_title(each), _became(each)) for each in scenes if each.kind != "kept" or each.moved)


def _title(change: SceneChange) -> str:
    scene = (change.new or change.old)[0]
    return scene.title or scene.chapter


def _became(change: SceneChange) -> str:
    kind = {"kept": "", "new": "is new", "cut": "is cut"}.get(change.kind, change.kind)
    return ", ".join(part for part in (kind, "moved" if change.moved else "") if part)


def panels_concerned(pages: Iterable[PageChange], old: Draft, numbering: Numbering) -> tuple[int, int]:
    """Panels added and cut; of a "what if" only those on cut pages are known."""
    kept = list(pages)
    if kept:
        kinds = [panel.kind for page in kept for panel in page.panels]
        return kinds.count("added"), kinds.count("cut")
    gone = set(numbering.cut)
    return 0, sum(page.panel_count for page in old.pages if gone.issuperset(page_numbers(page.label)))
