"""A reading packet as one HTML file: its pages as they lie open, and what a reader needs to write notes on them."""

from __future__ import annotations

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
                     "speaker": speaker, "one_line": one_line}  # fmt: skip
    return set_page("packet.html", styles=("packet.css",), scripts=("packet_notes.js", "packet.js"), packet=packet)


def leaf_name(leaf: Leaf) -> str:
    """What a page is called by those who read it aloud: "Page 12", "Pages 24-25", "Cover"."""
    if leaf.label == "cover":
        return "Cover"
    return f"Page{'s' if len(page_numbers(leaf.label)) > 1 else ''} {leaf.label}"


def speaker(line: Line) -> str:
    """Who says a line, or what kind of line it is, and how it is said; "" for action."""
    kind = {"caption": "Caption", "sfx": "Sound"}.get(line.role, "")
    return ", ".join(filter(None, (line.speaker or kind, how_said(line))))
