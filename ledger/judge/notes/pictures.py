"""Following a page picture, a panel or a spot on it, from one round of an art pass to what is there now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from itertools import chain, groupby, pairwise
from typing import NamedTuple

from ledger.judge.resting.made_from import blob_id
from ledger.model.change import PictureBox
from ledger.model.errors import ContentMissing
from ledger.model.note import Anchor
from ledger.model.pages import label_order, page_numbers
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
    def numberings(self) -> dict[int, tuple[Pictures, Numbering]]:
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


@dataclass(frozen=True, slots=True)
class Numbering:
    """Where the pages of one round are in a later one: label -> the label of the same page there, redrawn or not.

    `unsure` are pages of which nothing is left to know them by, each with the labels that may be its own now. A page
    in neither is gone.
    """

    found: Mapping[str, str]
    unsure: Mapping[str, tuple[str, ...]]

    def onward(self, labels: Sequence[str]) -> tuple[str, ...]:
        """Every label that one of these may be."""
        every = [[self.found[label]] if label in self.found else self.unsure.get(label, ()) for label in labels]
        return tuple(dict.fromkeys(chain.from_iterable(every)))


class MarkNow(NamedTuple):
    """Where a mark is now, and whether it was redrawn. Without a place the page is gone, or it is one of `may_be`."""

    place: Mark | None
    redrawn: bool = False
    may_be: tuple[Mark, ...] = ()


def follow_mark(mark: Mark, old: Pictures, new: Pictures, between: Sequence[Pictures] = ()) -> MarkNow:
    """What became of a mark.

    A page is followed through its numbers, round by round where rounds lie `between`; whether it was redrawn is asked
    of the first and the last alone.
    """
    label, may_be = _label_now(mark.page, [old, *between, new])
    label = label or _same_files(old, new).get(mark.page)
    if label is None:
        return MarkNow(None, may_be=tuple(replace(mark, page=each) for each in may_be))
    there = replace(mark, page=label)
    same = old.ids.get(mark.page) is not None and old.ids.get(mark.page) == new.ids.get(label)
    return MarkNow(there, not same and _redrawn(mark, old, there, new))


def _label_now(label: str, rounds: Sequence[Pictures]) -> tuple[str | None, tuple[str, ...]]:
    """The label of a page in the last of these rounds; where it was lost on the way, None and what it may be."""
    labels: tuple[str, ...] = (label,)
    sure = True
    for one, other in pairwise(rounds):
        step = numbering(one, other)
        sure = sure and not any(each in step.unsure for each in labels)
        labels = step.onward(labels)
    return (labels[0], ()) if sure and labels else (None, labels)


def numbering(old: Pictures, new: Pictures) -> Numbering:
    """Where the pages of one round are in a later one."""
    known = old.numberings.get(id(new))
    if known is None or known[0] is not new:
        known = old.numberings[id(new)] = (new, _numbered(old, new))
    return known[1]


def _numbered(old: Pictures, new: Pictures) -> Numbering:
    """Files known again keep or change their label; then pages drawn on, by the parts that stayed; then those drawn
    anew altogether, by their neighbours."""
    found = _same_files(old, new)
    rest = [label for label in old.files if label not in found]
    free = [label for label in new.files if label not in found.values()]
    as_they_were = all(a == b for a, b in found.items()) and all(label in free for label in rest)
    if not as_they_were or 1 < len(rest) <= MOST_LOOKED_AT:
        found |= _by_their_looks(old, rest, new, free)
    elif len(rest) == 1 < len(free):
        # Pages were put in, and the one that was drawn on may stand behind them.
        found |= _by_their_looks(old, rest, new, rest) or _by_their_looks(old, rest, new, free)
    if as_they_were and all(a == b for a, b in found.items()):
        return Numbering(found | {label: label for label in rest}, {})
    return _between_neighbours(found, sorted(old.files, key=label_order), sorted(new.files, key=label_order))


def _between_neighbours(found: Mapping[str, str], olds: Sequence[str], news: Sequence[str]) -> Numbering:
    """Pages that nothing is left of, from their neighbours: as many before and after, they are in order; where their
    number is another, each may be any of the new ones there, and where there is none they are gone."""
    taken, place = set(found.values()), {label: n for n, label in enumerate(news)}
    sure, low = dict(found), -1
    unsure: dict[str, tuple[str, ...]] = {}
    for known, run in groupby(olds, key=found.__contains__):
        lost = list(run)
        if known:
            low = place[found[lost[-1]]]
            continue
        after = next((label for label in olds[olds.index(lost[-1]) + 1 :]), None)
        ends = sorted((low, place[found[after]] if after else len(news)))
        there = [label for label in news[ends[0] + 1 : ends[1]] if label not in taken]
        if len(there) == len(lost):
            sure |= zip(lost, there, strict=True)
        elif there:
            unsure |= dict.fromkeys(lost, tuple(there))
    return Numbering(sure, unsure)


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
    from ledger.pictures.rounds.renumbered import renumbered

    sides = [
        {label: (pictures.ids[label], partial(pictures.bytes, label)) for label in labels if label in pictures.ids}
        for pictures, labels in ((old, rest), (new, free))
    ]
    return renumbered(sides[0], sides[1], old.memory) if all(sides) else {}


def _redrawn(mark: Mark, old: Pictures, there: Mark, new: Pictures) -> bool:
    """Whether the pixels differ, under the mark where panels were told apart, else anywhere on the page."""
    from ledger.pictures.rounds.compare import compare_pictures

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
