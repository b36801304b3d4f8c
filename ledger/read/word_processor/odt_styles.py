"""Styles of an `.odt`: names, heading levels and looks (ISO/IEC 26300, OpenDocument 1.2 part 1, §16 and §20)."""

from __future__ import annotations

import re

from ledger.read.word_processor.looks import PLAIN, Look, Style
from ledger.read.word_processor.xml_parts import Element, name_of, value

_ESCAPED = re.compile(r"_([0-9a-fA-F]{1,4})_")
_LENGTH = re.compile(r"(-?[\d.]+)(mm|cm|in|pt|pc|px)\Z")
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": 25.4 / 96}


def style_key(family: str | None, name: str) -> str:
    """Styles of each family have names of their own."""
    return f"{family or 'paragraph'}:{name}"


def read_style(element: Element) -> tuple[str, Style] | None:
    """One `style:style`, with its key; None for families that dress no text."""
    family, name = value(element, "family"), value(element, "name")
    if family not in ("paragraph", "text") or name is None:
        return None
    above, level = value(element, "parent-style-name"), value(element, "default-outline-level")
    look = Look(level=int(level)) if level and level.isdecimal() and len(level) < 3 else PLAIN
    for each in element:
        look = look.over(_look(each))
    said = value(element, "display-name") or _ESCAPED.sub(_sign, name)
    return style_key(family, name), Style(said.lower(), style_key(family, above) if above else None, look)


def usual_look(element: Element) -> Look:
    """A `style:default-style` of paragraphs."""
    look = PLAIN
    for each in element if value(element, "family") == "paragraph" else ():
        look = look.over(_look(each))
    return look


def _sign(found: re.Match[str]) -> str:
    return chr(int(found[1], 16))


def _look(properties: Element) -> Look:
    name = name_of(properties)
    said = {str(key).rpartition("}")[2]: str(each) for key, each in properties.attrib.items()}
    if name == "text-properties":
        return Look(
            bold=_bold(said.get("font-weight")), italic=_among(said.get("font-style"), ("italic", "oblique")),
            capitals=_among(said.get("text-transform"), ("uppercase",)), hidden=_among(said.get("display"), ("none",)),
            size=_points(said.get("font-size")),
        )  # fmt: skip
    if name == "paragraph-properties":
        return Look(centred=_among(said.get("text-align"), ("center", "end", "right")),
                    indent=_millimetres(said.get("margin-left")))  # fmt: skip
    return PLAIN


def _among(said: str | None, meant: tuple[str, ...]) -> bool | None:
    return None if said is None else said in meant


def _bold(said: str | None) -> bool | None:
    if said is None:
        return None
    return said == "bold" or (said.isdecimal() and int(said[:4]) >= 600)


def _millimetres(said: str | None) -> float | None:
    found = _LENGTH.match(said or "")
    try:
        return float(found[1]) * _MM[found[2]] if found else None
    except ValueError:
        return None


def _points(said: str | None) -> float | None:
    length = _millimetres(said)
    return None if length is None else round(length / _MM["pt"], 2)
