"""Following a page picture, a panel or a spot on it, from one round of an art pass to what is there now."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from ledger.model.change import PictureBox
from ledger.model.errors import ContentMissing
from ledger.model.note import Anchor
from ledger.model.pages import page_numbers
from ledger.model.snapshot import FileAt
from ledger.read.anchors import spell


@dataclass(frozen=True)
class Pictures:
    """The exports of an art pass at one moment: page label -> file, and how to read one.

    `rtl` is whether the book's panels are read from right to left.
    """

    files: Mapping[str, FileAt]
    read: Callable[[FileAt], bytes]
    rtl: bool = False

    def page(self, label: str | None) -> str | None:
        """The label under which a page, or a half of a spread, is there."""
        if label is None or label in self.files:
            return label
        halves = set(page_numbers(label))
        return next((known for known in self.files if halves and halves <= set(page_numbers(known))), None)


@dataclass(frozen=True, slots=True)
class Mark:
    """A page picture, or a panel (from 1) or a spot (fractions across and down) on it."""

    page: str
    panel: int | None = None
    spot: tuple[float, float] | None = None

    @property
    def kind(self) -> str:
        """What it marks: "page", "panel" or "spot"."""
        return "spot" if self.spot else "panel" if self.panel else "page"

    def told(self) -> str | None:
        """In the notes' own spelling."""
        return spell(self.page, self.panel, spot=self.spot)


def find_mark(anchor: Anchor, pictures: Pictures) -> Mark | None:
    """What an anchor marks; None where that page is not there, or the anchor names none."""
    label = pictures.page(anchor.page)
    return Mark(label, anchor.panel, anchor.spot) if label in pictures.files and label is not None else None


def follow_mark(mark: Mark, old: Pictures, new: Pictures) -> tuple[Mark | None, bool]:
    """Where it is now (None: the page is gone) and whether it was redrawn.

    A picture that stands unchanged under another number is followed there.
    """
    before, there = old.files[mark.page], new.files.get(mark.page)
    if there is not None and _known_same(before, there):
        return mark, False
    carried = _elsewhere(mark.page, old, new)
    if carried is not None:
        return replace(mark, page=carried), False
    if there is None:
        return None, False
    return mark, _redrawn(mark, old, new)


def _known_same(one: FileAt, other: FileAt) -> bool:
    return one.oid is not None and one.oid == other.oid


def _elsewhere(label: str, old: Pictures, new: Pictures) -> str | None:
    """The label under which this very file stands now, and did not stand before."""
    before = old.files[label]
    for known, file in new.files.items():
        stood = old.files.get(known)
        if known == label or (stood is not None and _known_same(stood, before)):
            continue
        if _known_same(file, before) or (file.oid is None and _same_bytes(before, old, file, new)):
            return known
    return None


def _same_bytes(one: FileAt, old: Pictures, other: FileAt, new: Pictures) -> bool:
    try:
        return old.read(one) == new.read(other)
    except (ContentMissing, OSError):
        return False


def _redrawn(mark: Mark, old: Pictures, new: Pictures) -> bool:
    """Whether the pixels differ, under the mark where panels were told apart, else anywhere on the page."""
    from ledger.pictures.compare import compare_pictures

    before, after = {mark.page: old.files[mark.page]}, {mark.page: new.files[mark.page]}
    changes, findings = compare_pictures(before, after, old.read, new.read, "", rtl=new.rtl)
    changed = [change for change in changes if change.kind != "same"]
    if not changed:
        return bool(findings)
    boxes = [box for change in changed for box in change.panels]
    if len(boxes) < 2 or mark.kind == "page":
        return True
    return any(_under(mark, box) and box.changed > 0 for box in boxes)


def _under(mark: Mark, box: PictureBox) -> bool:
    if mark.spot is None:
        return mark.panel == box.index
    left, top, width, height = box.box
    return left <= mark.spot[0] <= left + width and top <= mark.spot[1] <= top + height
