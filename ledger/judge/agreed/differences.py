"""What differs from what was signed off, before it is asked whether it is closed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ledger.judge.pairing.sheets import Slot, Told
from ledger.model.pages import pages_words
from ledger.model.script import Line, Scene

#: Longest piece of a line that a message quotes, in characters.
_QUOTE = 60


class Difference(NamedTuple):
    """One difference from what was signed off.

    `scope` is the scope that closes it, `on` the pages that it changes by the numbers signed off, `pages` every page
    it lies on by old and new number (None for text before the first page mark). `identity` tells it from others by
    value, whatever line it stands on now. `level` is what it is where it is closed. `renumbered` marks a page that
    only got another number; `kin` binds differences that are told as one.
    """

    rule: str
    scope: str
    message: str
    on: tuple[str | None, ...]
    pages: tuple[str | None, ...]
    identity: tuple[str, ...]
    level: str = "block"
    path: str | None = None
    line: int | None = None
    page: str | None = None
    panel: int | None = None
    scene: str | None = None
    renumbered: bool = False
    kin: tuple[str, ...] | None = None


def quoted(text: str) -> str:
    """The words of a line as a message shows them, cut where they are long."""
    return f'"{text}"' if len(text) <= _QUOTE else f'"{text[: _QUOTE - 1].rstrip()}…"'


def who(line: Line) -> str:
    """Whose line it is, at the start of a sentence: `Wren's line`, `The caption`, `The sound`."""
    if line.role == "caption":
        return f"{line.speaker}'s caption" if line.speaker else "The caption"
    if line.role == "sfx":
        return "The sound"
    return f"{line.speaker}'s line" if line.speaker else "The line"


def mouth(line: Line) -> str:
    """Who or what says a line: `Wren`, `Wren (caption)`, `a caption`."""
    if line.role == "caption":
        return f"{line.speaker} (caption)" if line.speaker else "a caption"
    if line.role == "sfx":
        return "a sound"
    return line.speaker or "no named speaker"


def title_of(scenes: Mapping[int, Scene], index: int) -> str | None:
    """The title of a scene, None where it has none."""
    scene = scenes.get(index)
    return (scene.title or None) if scene else None


def page_words(label: str | None) -> str:
    """`page 12`, `pages 24-25`, `the cover`; for text before the first page mark, words for that."""
    return "the text before the first page" if label is None else pages_words(label)


def panel_words(slot: Slot) -> str:
    """`panel 3 of page 12`."""
    return f"panel {slot.number} of {page_words(slot.page)}" if slot.number else f"the top of {page_words(slot.page)}"


def place_words(line: Line) -> str:
    """`page 12, panel 3`; the file and line where no page is marked."""
    if line.page is None:
        return f"{line.path}:{line.line}"
    return page_words(line.page) + (f", panel {line.panel}" if line.panel else "")


def print_of(told: tuple[Told, ...]) -> str:
    """Words by which lines are known again."""
    return " / ".join("|".join(each.key) for each in told)
