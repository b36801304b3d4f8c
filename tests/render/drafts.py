"""Two drafts of an invented book, "The Salt Lantern", already compared: values that the renderers are shown."""

from __future__ import annotations

from ledger.model.change import (
    CastChange,
    Comparison,
    DraftChange,
    LineChange,
    PageChange,
    PanelChange,
    PictureBox,
    PictureChange,
    SceneChange,
    Side,
)
from ledger.model.script import Line, Scene

GAUGE, FLOOD = "Chapter 1: The tide gauge", "Chapter 2: The flood"


def said(at: str, who: str, text: str, role: str = "dialogue", row: int = 1) -> Line:
    """A line at a place such as "12.3"; no place at all is ""."""
    page, _, panel = at.partition(".")
    return Line(
        "script/01.md", row, row, role, who, text, key=who[:1], page=page or None, panel=int(panel) if panel else None
    )


def scene(title: str, *lines: Line, chapter: str = GAUGE, index: int = 0, row: int = 3) -> Scene:
    return Scene(index, chapter, title, "script/01.md", row, lines)


def reworded(old: Line, text: str, at: str | None = None) -> LineChange:
    page, _, panel = (at or "").partition(".")
    new = old._replace(text=text, page=page or old.page, panel=int(panel) if panel else old.panel)
    return LineChange("reworded", old, new)


OFFICE = scene(
    "Harbour office",
    said("1.1", "", "Wren shoulders the door open. Paper everywhere.", "action"),
    said("1.2", "Wren", "You said the map was here."),
    said("1.3", "Tomas Arde", "It was."),
    said("2.1", "", "Three hours to high water.", "caption"),
)
STAIRS = scene("The stairs", said("3.1", "Wren", "Up. Now."), said("3.2", "", "KRRRK", "sfx"), index=1)
GULLS = scene(
    "Gulls", said("4.1", "", "Gulls on the rail.", "action"), said("4.1", "Tomas Arde", "They know."), index=2
)
ROOF = scene("Roof", said("5.1", "Wren", "No boat, no lamp, nobody."), chapter=FLOOD, index=3)
LAMP = scene("The lamp", said("6.1", "Ada", "Who lit it?"), said("6.2", "Wren", "I did."), chapter=FLOOD, index=3)


def office_split() -> SceneChange:
    first = scene("Harbour office", *OFFICE.lines[:2])
    second = scene("Behind the desk", *OFFICE.lines[2:], index=1)
    lines = (
        LineChange("same", OFFICE.lines[0], first.lines[0]),
        reworded(OFFICE.lines[1], "You said the chart was still here."),
        LineChange("reassigned", OFFICE.lines[2], OFFICE.lines[2]._replace(speaker="Ada")),
        LineChange("same", OFFICE.lines[3], OFFICE.lines[3]),
        LineChange("added", None, said("2.2", "Ada", "He moved it last night.")),
    )
    return SceneChange("split", (OFFICE,), (first, second), similarity=0.7, lines=lines)


def whole() -> Comparison:
    """Everything that can happen, once."""
    cut = SceneChange("cut", (GULLS,), (), lines=tuple(LineChange("cut", line, None) for line in GULLS.lines))
    new = SceneChange("new", (), (LAMP,), lines=tuple(LineChange("added", None, line) for line in LAMP.lines))
    moved = SceneChange(
        "polished", (ROOF,), (ROOF._replace(index=4, chapter=GAUGE),), moved=True, similarity=0.9,
        lines=(reworded(ROOF.lines[0], "No boat, no lamp - nobody.", "7.1"),),
    )  # fmt: skip
    stairs = SceneChange(
        "kept", (STAIRS,), (STAIRS._replace(title="Up the stairs"),), renamed=True,
        lines=tuple(LineChange("same", line, line) for line in STAIRS.lines),
    )  # fmt: skip
    pages = (
        PageChange("changed", "1", "1", (PanelChange("kept", 1, 1), PanelChange("added", None, 2))),
        PageChange("added", None, "2"),
        *(PageChange("kept", str(n), str(n + 1)) for n in range(2, 4)),
        PageChange("cut", "4", None),
    )
    draft = DraftChange(
        (office_split(), stairs, cut, new, moved),
        CastChange(renamed=(("Tom", "Tomas Arde"),), added=("Ada",)),
        pages,
    )
    pictures = (
        PictureChange("inks", "3", "redrawn", (PictureBox(2, (0, 0, 1, 0.5), 0.6),)),
        PictureChange("inks", "12", "added"),
    )
    return Comparison(Side("script-3", 4210, 21, 48, 231), Side(".", 4388, 22, 49, 240), draft, pictures)
