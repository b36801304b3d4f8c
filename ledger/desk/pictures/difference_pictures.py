"""`compare --out`: a difference picture of every changed page, never over a file that is somebody else's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from ledger.desk.contents import Contents
from ledger.desk.pictures.plates import PageFiles, frames_of_new, frames_of_old
from ledger.gitedge.one_file import put_whole
from ledger.model.change import PictureChange
from ledger.model.errors import Refusal
from ledger.model.pages import page_numbers
from ledger.read.made_here import is_difference_picture


def write_differences(old: Contents, new: Contents, pictures: Sequence[PictureChange], to: Path) -> list[Path]:
    """A difference picture of every changed page that both sides have: `DIR/inks/p012.png`. Gives their paths.

    Raises Refusal, before anything is written, where a file that is no difference picture of ours stands in the way.
    """
    sheets = PageFiles.of(old, new)
    changed = [each for each in pictures if each.kind in ("touch-up", "redrawn", "layout", "swapped")]
    places = {to / each.pass_name / f"{_file_name(each.page)}.png": each for each in changed}
    for place in places:
        _free(place, to)
    return list(_written(sheets, places))


def _written(sheets: PageFiles, places: Mapping[Path, PictureChange]) -> Iterator[Path]:
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import difference

    for place, change in places.items():
        before, after = sheets.both(change)
        if before is None or after is None:
            continue
        # What can't be read is told by a finding of the comparison.
        with suppress(Unreadable):
            made = difference(before, after, frames_of_new(change), frames_of_old(change))
            place.parent.mkdir(parents=True, exist_ok=True)
            put_whole(place, made)
            yield place


def _free(place: Path, to: Path) -> None:
    """Raises Refusal where a difference picture can't be put without touching what is somebody else's."""
    for above in (to, place.parent):
        if (above.exists() or above.is_symlink()) and not above.is_dir():
            raise Refusal("this is no folder", path=str(above), remedy="name another folder after --out")
    if place.is_symlink() or (place.exists() and not place.is_file()):
        raise Refusal("this is no difference picture", path=str(place), remedy="name another folder after --out")
    if place.exists():
        with place.open("rb") as opened:
            ours = is_difference_picture(opened.read(512))
        if not ours:
            raise Refusal(
                "this file is no difference picture, so it was not written over; nothing was written",
                path=str(place), remedy="name another folder after --out",
            )  # fmt: skip


def _file_name(label: str) -> str:
    """`p012`, `p018-019`, `f001`, `cover`."""
    numbers = page_numbers(label)
    if numbers:
        return "p" + "-".join(f"{number:03}" for number in numbers)
    return f"{label[0]}{int(label[1:]):03}" if label[1:].isdecimal() else label
