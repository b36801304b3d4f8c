"""How a place in a draft is written for a person: `p12.3`, `p12-13`, `01.md:14`; old and new together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ledger.model.pages import page_numbers, pages_text
from ledger.model.script import Line, Scene
from ledger.render.plain import one_line

if TYPE_CHECKING:
    from ledger.model.change import LineChange, SceneChange

ARROW = " → "

#: Names of sides that are no names a person would use.
SIDE_WORDS = {
    ".": "your files now",
    "": "your files now",
    "entered": "the newest rounds",
    ":index": "what is about to be recorded",
}

#: Said where pages of two passes were compared, such as pencils and inks.
ACROSS = "Between two passes only the layout is judged, since every line differs."


def side_text(name: str) -> str:
    """A side of a comparison in words."""
    return SIDE_WORDS.get(name) or one_line(name)


def pages_ref(labels: Iterable[str]) -> str:
    """`p12-13,15`; front and back matter and the cover keep their own names."""
    text = pages_text(labels)
    return "p" + text if text[:1].isdigit() else text


def page_ref(label: str) -> str:
    """`p12`, `p24-25`, `f1`, `cover`."""
    return "p" + label if page_numbers(label) else label


def scene_ref(scenes: Iterable[Scene]) -> str:
    """The pages that scenes stand on; file and line where no page is marked."""
    kept = list(scenes)
    labels = {line.page for scene in kept for line in scene.lines if line.page}
    if labels:
        return pages_ref(labels)
    by_file: dict[str, list[str]] = {}
    for scene in kept:
        by_file.setdefault(file_name(scene.path), []).append(str(scene.line))
    return ", ".join(f"{name}:{','.join(lines)}" for name, lines in by_file.items())


def scene_place(change: SceneChange) -> str:
    """Where scenes stood and stand: `p12-14 → p12-15`; where no page is marked the new file and line."""
    old, new = scene_ref(change.old), scene_ref(change.new)
    return new if new and ":" in old + new else both(old, new)


def line_place(change: LineChange) -> str:
    """Where a line stood and stands: `p12.3 → p13.1`; where no page is marked the new file and line."""
    old, new = (line_ref(line) if line else "" for line in (change.old, change.new))
    return new if new and ":" in old + new else both(old, new)


def line_ref(line: Line) -> str:
    """`p12.3`, `p12` where no panel is marked, `01.md:14` where no page is."""
    if line.page is None:
        return f"{file_name(line.path)}:{line.line}"
    return page_ref(line.page) + (f".{line.panel}" if line.panel else "")


def file_name(path: str) -> str:
    """The last part of a path, safe to show."""
    return one_line(path.rsplit("/", 1)[-1])


def both(old: str, new: str) -> str:
    """`p12 → p13`; one of them where they are equal or the other is empty."""
    return old + ARROW + new if old and new and old != new else old or new


def scene_name(scene: Scene) -> str:
    """The scene's title as a person would say it; a scene without one is named by where it stands."""
    if scene.headed and scene.title:
        return one_line(scene.title)
    if scene.chapter and not any(line.lettered for line in scene.lines):
        return one_line(scene.chapter)
    if scene.chapter:
        return f"opening of {one_line(scene.chapter)}"
    return f"opening of {file_name(scene.path)}"


def mouth(line: Line) -> str:
    """Who or what says it: `Wren`, `CAPTION (Wren)`, `SFX`, `action`."""
    who = one_line(line.speaker)
    if line.role == "caption":
        return f"CAPTION ({who})" if who else "CAPTION"
    if line.role == "sfx":
        return f"SFX ({who})" if who else "SFX"
    if line.role == "action":
        return "action"
    return who or one_line(line.cue or line.key or "a voice")


def typed_mouth(line: Line) -> str:
    """Who says it, and how, as the trade types it: `WREN (whisper)`, `CAPTION (WREN)`, `SFX`."""
    who, cue = mouth(line).upper(), how_said(line)
    return f"{who} ({cue})" if cue and cue.upper() not in (who, line.key.upper()) else who


def how_said(line: Line) -> str:
    """The cue of a line; "" where it only says what kind of line it is."""
    kind = line.role in ("caption", "sfx") and line.cue.upper() in ("CAP", "CAPTION", "SFX", "FX")
    return "" if kind else one_line(line.cue)
