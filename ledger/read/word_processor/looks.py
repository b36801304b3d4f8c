"""Styles of a document: what a paragraph or a run looks like once every style it rests on is asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class Look:
    """What one style, or one paragraph or run by itself, says; None where it says nothing.

    `size` is in points, `indent` in millimetres; `level` is a heading level, 0 for none stated as such; `numbered` is
    the id of a list, and how deep in it.
    """

    bold: bool | None = None
    italic: bool | None = None
    capitals: bool | None = None
    hidden: bool | None = None
    size: float | None = None
    centred: bool | None = None
    indent: float | None = None
    level: int | None = None
    numbered: tuple[str, int] | None = None

    def over(self, below: Look) -> Look:
        """This look where it says something, else the one below it."""
        return below if self is PLAIN else _over(self, below)


#: A look that says nothing.
PLAIN = Look()


@lru_cache(maxsize=4096)
def _over(look: Look, below: Look) -> Look:
    """The same few looks lie over each other again and again in a document."""
    said = {each.name: mine for each in fields(Look) if (mine := getattr(look, each.name)) is not None}
    return replace(below, **said)


@dataclass(frozen=True, slots=True)
class Style:
    """A style as it is declared: its name in small letters, the one it rests on, its own look."""

    name: str
    above: str | None
    look: Look


class Styles:
    """Styles by id; a chain that bites its own tail ends there."""

    def __init__(self, declared: Mapping[str, Style], usual: Look = PLAIN, standard: str | None = None) -> None:
        """`usual` is the look beneath every style, `standard` the style of a paragraph that names none."""
        self.declared = dict(declared)
        self.usual = usual
        self.standard = standard
        self.resolved: dict[str, Look] = {}
        self.dressed: dict[str, Look] = {}

    def name(self, style: str | None) -> str:
        """The name of a style, else its id, in small letters."""
        found = self.declared.get(style or "")
        return found.name if found else (style or "").lower()

    def look(self, style: str | None) -> Look:
        """What a style says, with all that it rests on."""
        key = style or ""
        if key not in self.resolved:
            look = PLAIN
            for each in reversed(self._chain(style)):
                look = self.declared[each].look.over(look)
            self.resolved[key] = look
        return self.resolved[key]

    def paragraph(self, style: str | None) -> Look:
        """What a paragraph of a style looks like, with what lies beneath every style."""
        key = style or ""
        if key not in self.dressed:
            self.dressed[key] = self.look(style).over(self.usual)
        return self.dressed[key]

    def _chain(self, style: str | None) -> list[str]:
        chain: list[str] = []
        while style and style in self.declared and style not in chain:
            chain.append(style)
            style = self.declared[style].above
        return chain
