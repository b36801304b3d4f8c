"""Every picture that a page ever had, pass by pass, each with what became of the one before it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import TYPE_CHECKING

from ledger.desk.page_life import is_of
from ledger.desk.pictures.plates import MOST_BYTES, SIDES, frames_of_new
from ledger.model.change import PictureChange
from ledger.model.entry import Entry, Round
from ledger.model.errors import ContentMissing
from ledger.model.life import LifePicture, PageLife
from ledger.read.patterns import label_of
from ledger.read.state import BookState

if TYPE_CHECKING:
    from ledger.model.plate import Shown

#: Of a page drawn over and over only so many pictures are shown, the newest ones.
MOST = SIDES[1][0]


def life_pictures(state: BookState, life: PageLife) -> tuple[LifePicture, ...]:
    """The pictures in the order in which they were entered, then those of your files now that no round holds."""
    found = [*_entered(state, life)]
    found += _now(state, life, {each.change.pass_name: data for each, data in found})
    side = next((side for count, side in SIDES if len(found) <= count), SIDES[-1][1])
    return tuple(_shown(picture, data, side) for picture, data in found[-MOST:])


def _entered(state: BookState, life: PageLife) -> Iterator[tuple[LifePicture, bytes | None]]:
    before: dict[str, bytes | None] = {}
    for event in life.events:
        entry = event.entry
        pass_ = state.book.pass_named(entry.pass_name) if isinstance(entry, Round) else None
        if not isinstance(entry, Round) or pass_ is None or event.picture not in ("first", "another"):
            continue
        label, oid = next(
            ((named, oid) for path, oid in entry.files.items()
             if oid and (named := label_of(path, pass_)) and is_of(named, event.label)), ("", ""),
        )  # fmt: skip
        data = _blob(state, oid)
        yield _picture(state, entry, pass_.name, label or event.label, (before.get(pass_.name), data)), data
        before[pass_.name] = data


def _now(
    state: BookState, life: PageLife, entered: dict[str, bytes | None]
) -> Iterator[tuple[LifePicture, bytes | None]]:
    """Pictures that are not as the newest round has them."""
    for pass_ in state.book.passes:
        files = state.exports(pass_) if pass_.kind == "art" else {}
        for label in (each for each in files if is_of(each, life.label)):
            try:
                data = state.snapshot.store.read(files[label][0])
            except (ContentMissing, OSError):
                continue
            found = _picture(state, None, pass_.name, label, (entered.get(pass_.name), data))
            if data != entered.get(pass_.name) and found.change.kind != "same":
                yield found, data


def _picture(
    state: BookState, entry: Entry | None, pass_name: str, label: str, pair: tuple[bytes | None, bytes | None]
) -> LifePicture:
    """What became of the picture before it."""
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import became

    old, new = pair
    if old is None or new is None:
        return LifePicture(entry, PictureChange(pass_name, label, "added"), None)
    try:
        told = became(old, new, rtl=state.book.reading == "rtl")
    except Unreadable:
        return LifePicture(entry, PictureChange(pass_name, label, "redrawn"), None)
    return LifePicture(entry, PictureChange(pass_name, label, told.kind, told.panels), None)


def _shown(picture: LifePicture, data: bytes | None, side: int) -> LifePicture:
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import plate
    from ledger.pictures.plates import LARGE_TAG

    shown: Shown | None = None
    with suppress(Unreadable):
        if data is not None:
            shown = plate(data, frames_of_new(picture.change), side, MOST_BYTES, tag=LARGE_TAG)
    return LifePicture(picture.entry, picture.change, shown)


def _blob(state: BookState, oid: str) -> bytes | None:
    try:
        return state.snapshot.store.blob(oid)
    except ContentMissing:
        return None
