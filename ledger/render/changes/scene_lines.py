"""One scene of a comparison, line by line, for a terminal."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.model.change import LineChange, SceneChange
from ledger.model.script import Scene
from ledger.render.changes.wording import is_small, marked, marks_read_well
from ledger.render.places import ARROW, line_place, mouth, scene_name, scene_place
from ledger.render.plain import beside, columns, one_line, plural, wrapped

Renamed = Iterable[tuple[str, str]]

#: Columns kept for the places of lines, at most.
_PLACE = 16


def scene_text(change: SceneChange, polish: bool, same: bool, renamed: Renamed = ()) -> str:
    """A scene's heading and its lines; "" where nothing in it asks to be told.

    `polish` shows small changes of wording one by one, `same` also the lines that stayed; `renamed` are the
    characters renamed throughout, old name and new.
    """
    open_lines = [line for line in change.lines if polish or not is_small(line, renamed)]
    small = len(change.lines) - len(open_lines)
    shown = [line for line in open_lines if same or line.kind != "same"]
    width = min(max((columns(line_place(line)) for line in shown), default=0), _PLACE)
    rows = [_line_text(line, width) for line in shown]
    if small:
        rows.append(f"  {plural(small, 'small change')} of wording (--all shows {'it' if small == 1 else 'them'})")
    told = change.kind not in ("kept", "polished") or change.moved or change.renamed
    return "\n".join([scene_heading(change), *rows]) if rows or told else ""


def scene_heading(change: SceneChange) -> str:
    """`"Harbour office" (p12-14 → p12-15): split into "Harbour office" and "Stairs"`."""
    words = scene_words(change)
    return wrapped(f"{_names(change)} ({scene_place(change)})" + (f": {words}" if words else ""), hang="    ")


def _names(change: SceneChange) -> str:
    if change.kind == "merged":
        return " + ".join(map(quoted, change.old))
    if change.renamed and change.kind != "split" and change.old and change.new:
        return f"{quoted(change.old[0])}{ARROW}{quoted(change.new[0])}"
    return quoted((change.old or change.new)[0])


def scene_words(change: SceneChange) -> str:
    """What happened to it in a few words."""
    told = {
        "split": f"split into {_listed(change.new)}",
        "merged": f"merged into {_listed(change.new)}",
        "cut": "cut",
        "new": "new",
        "rewritten": f"rewritten, {change.similarity:.0%} of its words stayed",
        "polished": "polished",
        "kept": "",
    }[change.kind]
    title = change.renamed and change.kind not in ("split", "merged")
    extra = [word for word, holds in (("moved", change.moved), ("new title", title)) if holds]
    return ", ".join(part for part in (told, *extra) if part)


def _listed(scenes: tuple[Scene, ...]) -> str:
    return " and ".join(map(quoted, scenes))


def quoted(scene: Scene) -> str:
    """The scene's name in quotes."""
    return f'"{scene_name(scene)}"'


def _line_text(change: LineChange, width: int) -> str:
    margin = f"  {line_place(change):<{width}}  "
    first, *more = said(change)
    rows = [row for text in more for row in beside(" " * columns(margin), text)]
    return "\n".join([*beside(margin, first), *rows])


def said(change: LineChange) -> list[str]:
    """What happened to a line; a second paragraph where the new wording stands under the old one."""
    old, new = change.old, change.new
    if old is None or new is None:
        line = old or new
        assert line is not None
        return [f"{'cut' if new is None else 'new'}: {mouth(line)}: {one_line(line.text)}"]
    first, *more = wordings(one_line(old.text), one_line(new.text))
    if change.kind == "reassigned":
        return [f"{mouth(old)}'s line, now {mouth(new)}'s: {first}", *more]
    head = mouth(new) if mouth(old) == mouth(new) else f"{mouth(old)}{ARROW}{mouth(new)}"
    return [{"moved": "moved: ", "same": "= "}.get(change.kind, "") + f"{head}: {first}", *more]


def wordings(old: str, new: str) -> list[str]:
    if old == new:
        return [new]
    return [marked(old, new)] if marks_read_well(old, new) else [old, f"→ {new}"]
