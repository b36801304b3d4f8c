"""What became of a picture, in words: of a panel in its frame, of a page under its picture."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ledger.model.change import PictureChange
from ledger.render.plain import one_line, wrapped
from ledger.render.told import in_a_row

_DONE = {"redrawn": "redrawn", "touch-up": "touched up", "layout": "laid out anew"}
_PAGES = {
    "layout": "was laid out anew", "redrawn": "was redrawn", "swapped": "holds another page's picture",
    "added": "is new", "missing": "is no longer there", "touch-up": "was touched up",
}  # fmt: skip

#: How pictures beside each other are read, and what frames mean: a line, a sign and a word each.
SIDE_BY_SIDE = "What was and what is stand side by side; nothing blinks."
FRAMES = (
    "A frame says what became of a panel, with its number: a solid line and a triangle where it was redrawn, a dashed "
    "line and a ring where it was touched up, corners and a square where the page was laid out anew."
)


def frame_words(kind: str, panel: int) -> str:
    """`2 redrawn`, as it stands in a panel's frame."""
    return f"{panel} {_DONE.get(kind, 'changed')}"


def panels_words(panels: Sequence[int]) -> str:
    """`panel 2`, `panels 2 and 4`."""
    return f"panel{'s' if len(panels) > 1 else ''} {in_a_row(list(map(str, panels)))}"


def picture_sentence(picture: PictureChange) -> str:
    """`panel 2 was redrawn`, `the page was laid out anew`, without a full stop."""
    changed = picture.changed_panels if picture.kind != "layout" else []
    told = _PAGES.get(picture.kind, "changed")
    if len(changed) > 1:
        return f"{panels_words(changed)} {told.replace('was', 'were')}"
    return f"{panels_words(changed) if changed else 'the page'} {told}"


def differences_text(to: Path, written: Sequence[Path]) -> str:
    """Which difference pictures were put where, and how they are read."""
    if not written:
        return "No difference pictures: no page that both have has changed."
    names = ", ".join(one_line(str(path.relative_to(to))) for path in written)
    how = "Each shows the page as it was, both laid in one (gone: orange, come: blue, both: pale), and as it is."
    return "\n".join([wrapped(f"Difference pictures in {one_line(str(to))}: {names}."), wrapped(how)])
