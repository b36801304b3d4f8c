"""Following a page picture, a panel or a spot on it, from one round of an art pass to what is there now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from itertools import pairwise

from ledger.judge.made_from import blob_id
from ledger.model.change import PictureBox
from ledger.model.errors import ContentMissing
from ledger.model.note import Anchor
from ledger.model.pages import page_numbers
from ledger.model.snapshot import FileAt
from ledger.read.anchors import spell

#: Pages drawn on in a book that seems not to be renumbered are looked at up to so many; more were all drawn anew.
MOST_LOOKED_AT = 24


@dataclass(frozen=True)
class Pictures:
    """The exports of an art pass at one moment: page label -> file, and how to read one.

    `rtl` is whether the book's panels are read from right to left, `memory` what was found out about pictures before.
    """

    files: Mapping[str, FileAt]
    read: Callable[[FileAt], bytes]
    rtl: bool = False
    memory: MutableMapping[str, str] = field(default_factory=dict)

    def page(self, label: str | None) -> str | None:
        """The label under which a page, or a half of a spread, is there."""
        if label is None or label in self.files:
            return label
        halves = set(page_numbers(label))
        return next((known for known in self.files if halves and halves <= set(page_numbers(known))), None)

    @cached_property
    def ids(self) -> dict[str, str]:
        """Label -> the id git has or would have for that file; files whose content is not here are left out."""
        return {label: found for label, file in self.files.items() if (found := file.oid or self._id(file))}

    def _id(self, file: FileAt) -> str | None:
        data = self.bytes(file.path, file)
        return None if data is None else blob_id(data)

    def bytes(self, label: str, file: FileAt | None = None) -> bytes | None:
        """The export of a page; None where it is not here."""
        try:
            return self.read(file or self.files[label])
        except (ContentMissing, OSError):
            return None

    @cached_property
    def numberings(self) -> dict[int, tuple[Pictures, dict[str, str]]]:
        """What was found out about the labels of other rounds."""
        return {}


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


def follow_mark(mark: Mark, old: Pictures, new: Pictures, between: Sequence[Pictures] = ()) -> tuple[Mark | None, bool]:
    """Where it is now (None: the page is gone) and whether it was redrawn.

    A page is followed through its numbers, round by round where rounds lie `between`; whether it was redrawn is asked
    of the first and the last alone.
    """
    label: str | None = mark.page
    for one, other in pairwise([old, *between, new]):
        label = label and numbering(one, other).get(label)
    label = label or _same_files(old, new).get(mark.page)
    if label is None:
        return None, False
    there = replace(mark, page=label)
    same = old.ids.get(mark.page) is not None and old.ids.get(mark.page) == new.ids.get(label)
    return there, not same and _redrawn(mark, old, there, new)


def numbering(old: Pictures, new: Pictures) -> Mapping[str, str]:
    """Label -> the label of the same page in a later round, redrawn or not; pages that are gone are left out."""
    known = old.numberings.get(id(new))
    if known is None or known[0] is not new:
        known = old.numberings[id(new)] = (new, _numbered(old, new))
    return known[1]


def _numbered(old: Pictures, new: Pictures) -> dict[str, str]:
    """Files known again keep or change their label; then pages drawn on, by the parts that stayed; then those drawn
    anew altogether, by their neighbours."""
    found = _same_files(old, new)
    rest = [label for label in old.files if label not in found]
    free = [label for label in new.files if label not in found.values()]
    as_they_were = all(a == b for a, b in found.items()) and all(label in free for label in rest)
    if not as_they_were or 1 < len(rest) <= MOST_LOOKED_AT:
        found |= _by_their_looks(old, rest, new, free)
    shifts = {int(a): int(b) - int(a) for a, b in found.items() if a.isdecimal() and b.isdecimal()}
    for label in rest:
        open_ = [to for to in _shifted(label, shifts) if to in free and to not in found.values()]
        if label not in found and open_:
            found[label] = open_[0]
    return found


def _same_files(old: Pictures, new: Pictures) -> dict[str, str]:
    """Pages whose very file is there: under their label, else under one where it did not stand before."""
    found = {label: label for label, file in old.ids.items() if new.ids.get(label) == file}
    for label, file in old.ids.items():
        if label not in found:
            places = [to for to, there in new.ids.items() if there == file and old.ids.get(to) != file]
            if places:
                found[label] = places[0]
    return found


def _by_their_looks(old: Pictures, rest: Sequence[str], new: Pictures, free: Sequence[str]) -> dict[str, str]:
    from ledger.pictures.renumbered import renumbered

    sides = [
        {label: (pictures.ids[label], partial(pictures.bytes, label)) for label in labels if label in pictures.ids}
        for pictures, labels in ((old, rest), (new, free))
    ]
    return renumbered(sides[0], sides[1], old.memory) if all(sides) else {}


def _shifted(label: str, shifts: Mapping[int, int]) -> list[str]:
    """Where a page that nothing is left of may have gone: as far as the nearest pages before and after it that are
    known again, the nearer first."""
    if not label.isdecimal() or not shifts:
        return [label]
    number = int(label)
    below, above = [n for n in shifts if n < number], [n for n in shifts if n > number]
    near = [*([max(below)] if below else []), *([min(above)] if above else [])]
    return [str(number + shifts[n]) for n in sorted(near, key=lambda n: abs(n - number))]


def _redrawn(mark: Mark, old: Pictures, there: Mark, new: Pictures) -> bool:
    """Whether the pixels differ, under the mark where panels were told apart, else anywhere on the page."""
    from ledger.pictures.compare import compare_pictures

    before, after = {mark.page: old.files[mark.page]}, {mark.page: new.files[there.page]}
    changes, findings = compare_pictures(before, after, old.read, new.read, "", rtl=new.rtl, memory=new.memory)
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
