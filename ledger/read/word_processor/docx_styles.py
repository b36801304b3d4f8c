"""Styles of a `.docx`: names, heading levels and looks (ECMA-376 part 1, §17.7)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ledger.read.word_processor.looks import PLAIN, Look, Style, Styles
from ledger.read.word_processor.xml_parts import Element, child, name_of, stream, value

_HEADING = re.compile(r"heading ([1-9])\Z")
_OFF = ("0", "false", "off", "none")
#: Twentieths of a point in a millimetre.
_TWIPS = 1440 / 25.4


def read_styles(path: str, chunks: Iterator[bytes]) -> Styles:
    """The styles part; empty where there is none."""
    declared: dict[str, Style] = {}
    usual, standard = PLAIN, None
    for met in stream(path, chunks, ("style", "docDefaults")):
        if met.name == "docDefaults":
            usual = _usual(met.element)
            continue
        identity = value(met.element, "styleId")
        if identity:
            declared.setdefault(identity, _style(met.element, identity))
            if value(met.element, "type") == "paragraph" and value(met.element, "default") in ("1", "true", "on"):
                standard = identity
    return Styles(declared, usual, standard)


def _usual(defaults: Element) -> Look:
    look = PLAIN
    for name in ("pPrDefault", "rPrDefault"):
        inside = child(defaults, name)
        look = run_look(child(inside, "rPr")).over(paragraph_look(child(inside, "pPr"))).over(look)
    return look


def _style(element: Element, identity: str) -> Style:
    name = _said(child(element, "name")) or identity
    own = run_look(child(element, "rPr")).over(paragraph_look(child(element, "pPr")))
    heading = _HEADING.match(name.lower())
    if heading:
        own = Look(level=int(heading[1])).over(own)
    return Style(name.lower(), _said(child(element, "basedOn")), own)


def run_look(properties: Element | None) -> Look:
    """What the properties of a run say (§17.3.2)."""
    if properties is None:
        return PLAIN
    said = {name_of(each): each for each in properties}
    size = _number(said.get("sz"))
    return Look(
        bold=_switch(said.get("b")), italic=_switch(said.get("i")), capitals=_switch(said.get("caps")),
        hidden=_switch(said.get("vanish")), size=None if size is None else size / 2,
    )  # fmt: skip


def paragraph_look(properties: Element | None) -> Look:
    """What the properties of a paragraph say (§17.3.1)."""
    if properties is None:
        return PLAIN
    said = {name_of(each): each for each in properties}
    outline, sides = _number(said.get("outlineLvl")), said.get("jc")
    return Look(
        centred=None if sides is None else _said(sides) in ("center", "right", "end"), indent=_indent(said.get("ind")),
        level=None if outline is None else int(outline) + 1 if 0 <= outline < 9 else 0,
        numbered=_numbered(said.get("numPr")),
    )  # fmt: skip


def _indent(element: Element | None) -> float | None:
    if element is None:
        return None
    typed = value(element, "left") or value(element, "start")
    twips = None if typed is None else _float(typed)
    return None if twips is None else twips / _TWIPS


def _numbered(element: Element | None) -> tuple[str, int] | None:
    """The list that a paragraph stands in; the id 0 takes it out of the one of its style (§17.9.18)."""
    identity, depth = _said(child(element, "numId")), _said(child(element, "ilvl")) or "0"
    return None if identity is None else (identity, int(depth) if depth.isdecimal() and len(depth) < 3 else 0)


def _said(element: Element | None) -> str | None:
    return None if element is None else value(element, "val")


def _number(element: Element | None) -> float | None:
    typed = _said(element)
    return None if typed is None else _float(typed)


def _float(typed: str) -> float | None:
    try:
        return float(typed)
    except ValueError:
        return None


def _switch(element: Element | None) -> bool | None:
    """A property that is on where it stands, unless it says otherwise."""
    return None if element is None else (_said(element) or "1").lower() not in _OFF
