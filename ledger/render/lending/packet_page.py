"""A reading packet as one HTML file: its pages as they lie open, and what a reader needs to write notes on them."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from ledger.model.packet import Leaf, Packet
from ledger.model.pages import page_numbers
from ledger.model.script import Line
from ledger.read.anchors import page_ref
from ledger.render.page import environment, set_page
from ledger.render.places import how_said
from ledger.render.plain import one_line, visible
from ledger.render.told import day, words


def packet_html(packet: Packet) -> str:
    """The whole packet."""
    made = environment()
    made.globals |= {"name_of": leaf_name, "spelled": page_ref, "told_day": day, "words": words, "visible": visible,
                     "speaker": speaker, "one_line": one_line, "closeness": closeness, "read_as": read_as}  # fmt: skip
    return set_page("packet.html", styles=("packet.css",), scripts=("packet_notes.js", "packet.js"), packet=packet)


class _Type(NamedTuple):
    """How a page of a script is set in print: signs to a row and rows to half a landscape A4 sheet, as measured in
    Chromium, and the rows that a panel, a heading and a line take beside their words."""

    name: str
    signs: int
    rows: float
    panel: float
    heading: float
    line: float


#: Nine points where a page fits so, else eight, with the panels' numbers before their words. Nothing is set smaller:
#: what is longer goes on on another sheet, between two panels.
_TYPES = (_Type("", 78, 42, 2.4, 1.8, 0.3), _Type("close", 88, 52, 0.5, 1.3, 0.1))


def closeness(opening: Sequence[Leaf]) -> str:
    """How closely an opening is set in print, so that it stands on one sheet if it can: "" or "close"."""
    return next((each.name for each in _TYPES if all(_rows(leaf, each) <= each.rows for leaf in opening)), "close")


def _rows(leaf: Leaf, kind: _Type) -> float:
    """About how many rows a page of a script takes."""
    rows = kind.heading * len(leaf.heads)
    for panel in leaf.panels:
        rows += kind.panel + kind.heading * len(panel.heads)
        for heads, line in panel.lines:
            written = ceil((len(line.text) + len(speaker(line))) / kind.signs)
            rows += kind.heading * len(heads) + written + kind.line
    return rows


def read_as(packet: Packet) -> str:
    """What is read, in words that need no book of the rules: "pencils, round 3"."""
    return f"{packet.pass_name}, round {packet.round}"


def leaf_name(leaf: Leaf) -> str:
    """What a page is called by those who read it aloud: "Page 12", "Pages 24-25", "Cover"."""
    if leaf.label == "cover":
        return "Cover"
    return f"Page{'s' if len(page_numbers(leaf.label)) > 1 else ''} {leaf.label}"


def speaker(line: Line) -> str:
    """Who says a line, or what kind of line it is, and how it is said; "" for action."""
    kind = {"caption": "Caption", "sfx": "Sound"}.get(line.role, "")
    return ", ".join(filter(None, (line.speaker or kind, how_said(line))))
