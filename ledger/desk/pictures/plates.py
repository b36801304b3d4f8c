"""The changed pages of a comparison in pictures, read from both of its sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ledger.desk.comparing import art_pairs
from ledger.desk.contents import Contents, Exports
from ledger.model.change import PictureBox, PictureChange
from ledger.model.errors import ContentMissing
from ledger.model.plate import Plate, Plates, Shown
from ledger.render.picture_words import frame_words

if TYPE_CHECKING:
    from ledger.pictures.plates import Frame

#: Long side in px of a picture by how many pages are shown.
SIDES = ((20, 900), (50, 680), (120, 480))
#: What one picture may take: those of twenty pages, old and new, written out in a page, stay below 5 MiB.
MOST_BYTES = 95_000
#: The kinds of which both sides are shown with the same frames.
_FRAMED = ("redrawn", "touch-up")


def plates(old: Contents, new: Contents, pictures: Sequence[PictureChange]) -> Plates:
    """The changed pages as pictures, reduced; of very many the first ones."""
    changed = [each for each in pictures if each.kind != "same"]
    most = SIDES[-1][0]
    side = next((side for count, side in SIDES if len(changed) <= count), SIDES[-1][1])
    sheets = PageFiles.of(old, new)
    found = []
    for change in changed[:most]:
        before, after = sheets.both(change)
        frames = frames_of_old(change), frames_of_new(change)
        found.append(Plate(change, _shown(before, frames[0], side), _shown(after, frames[1], side)))
    return Plates(tuple(found), len(changed) - len(found))


def _shown(data: bytes | None, frames: Sequence[Frame], side: int) -> Shown | None:
    """A page with its frames; None where it is not there or can't be read, of which a finding tells."""
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import plate

    try:
        return plate(data, frames, side, MOST_BYTES) if data is not None else None
    except Unreadable:
        return None


class PageFiles(NamedTuple):
    """The exports of both sides, pass by pass."""

    passes: dict[str, tuple[Exports, Exports]]

    @classmethod
    def of(cls, old: Contents, new: Contents) -> PageFiles:
        return cls({pair.name: (pair.old(), pair.new()) for pair in art_pairs(old, new)})

    def both(self, change: PictureChange) -> tuple[bytes | None, bytes | None]:
        """The page as it was and as it is; None where it is not there or can't be had."""
        before, after = self.passes[change.pass_name]
        return _bytes(before, change.page), _bytes(after, change.page)


def _bytes(exports: Exports, label: str) -> bytes | None:
    file = exports.files.get(label)
    if file is None or not file.regular:
        return None
    try:
        return exports.read(file)
    except (ContentMissing, OSError):
        return None


def frames_of_old(change: PictureChange) -> list[Frame]:
    """The frames on the old picture: where it was laid out anew, panels are known on the new one alone."""
    return _frames(change) if change.kind in _FRAMED else []


def frames_of_new(change: PictureChange) -> list[Frame]:
    """The frames on the new picture, one a panel that changed."""
    return _frames(change) if change.kind in (*_FRAMED, "layout") else []


def _frames(change: PictureChange) -> list[Frame]:
    from ledger.pictures.plates import Frame

    changed = [box for box in change.panels if box.changed]
    return [Frame(box.box, _kind(change, box), frame_words(_kind(change, box), box.index)) for box in changed]


def _kind(change: PictureChange, box: PictureBox) -> str:
    """What happened to one panel: on a page of which one panel was redrawn another may be touched up."""
    from ledger.pictures.rounds.pair import REDRAWN

    return "touch-up" if change.kind == "redrawn" and box.changed < REDRAWN else change.kind
