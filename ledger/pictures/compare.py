"""Two rounds of a pass in pictures: page by page what is there, gone, drawn anew or put in another page's place."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ledger.model.change import PictureChange
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.pages import label_order
from ledger.model.snapshot import FileAt
from ledger.pictures.decode import Unreadable, blank_digest, decode, digest_of, look
from ledger.pictures.pair import Verdict, across_passes, resembles, thumb, verdict

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image

Exports = Mapping[str, "tuple[FileAt, ...] | FileAt"]
Reader = Callable[[FileAt], bytes]

#: How many px of pages that did not change are looked through for a picture that turned up under another number.
#: Beyond it only their bytes are: a copy saved anew over another page is then called redrawn, not swapped.
LOOKED_THROUGH = 250_000_000


class _NotHere(Exception):
    """This page of this side can't be compared; what there is to say has been said."""


@dataclass
class _Side:
    """One side: its files by page, and what was found out about them so far."""

    name: str
    files: Mapping[str, FileAt]
    read: Reader
    findings: list[Finding] = field(default_factory=list)
    _keys: dict[str, str] = field(default_factory=dict)
    _digests: dict[str, str] = field(default_factory=dict)
    _lost: set[str] = field(default_factory=set)
    thumbs: dict[str, NDArray[Any]] = field(default_factory=dict)

    def key(self, label: str) -> str:
        """What the bytes are known by: git's object id, or a digest of content git has not seen."""
        if label not in self._keys:
            oid = self.files[label].oid
            self._keys[label] = oid or "bytes:" + hashlib.sha256(self.bytes(label)).hexdigest()
        return self._keys[label]

    def bytes(self, label: str) -> bytes:
        """The bytes of a page; raises _NotHere, once said why."""
        file = self.files[label]
        if label in self._lost:
            raise _NotHere
        if not file.regular:
            raise self._lose(label, "it is a link or another repository, not a picture")
        try:
            return self.read(file)
        except ContentMissing as fault:
            raise self._lose(label, fault.why) from fault
        except OSError as fault:
            raise self._lose(label, fault.strerror or "it can't be opened") from fault

    def picture(self, label: str) -> Image.Image:
        """The decoded page; its digest is kept."""
        try:
            image = decode(self.bytes(label))
        except Unreadable as fault:
            raise self._lose(label, fault.reason) from fault
        self._digests[label] = digest_of(image)
        self.thumbs[label] = thumb(image)
        return image

    def digest(self, label: str) -> str:
        if label not in self._digests:
            self.picture(label)
        return self._digests[label]

    def readable(self, label: str) -> None:
        """Says so where a page that is compared with nothing can't be read by its header."""
        try:
            look(self.bytes(label))
        except Unreadable as fault:
            self._lose(label, fault.reason)
        except _NotHere:
            pass

    def pixels(self, label: str) -> int:
        """Pixels of a page by its header; 0 where it can't be read, which nobody needs to hear here."""
        try:
            seen = look(self.bytes(label))
        except (Unreadable, _NotHere):
            return 0
        return seen.width * seen.height

    def _lose(self, label: str, reason: str) -> _NotHere:
        path = self.files[label].path
        self._lost.add(label)
        self.findings.append(
            Finding("export-unreadable", "query", f"the {self.name} {path} can't be read as a picture: {reason}",
                    path=path, page=label, remedy="export the page again; every other page was compared")
        )  # fmt: skip
        return _NotHere()


def compare_pictures(
    old: Exports,
    new: Exports,
    read_old: Reader,
    read_new: Reader,
    pass_name: str,
    *,
    across: bool = False,
    rtl: bool = False,
) -> tuple[list[PictureChange], list[Finding]]:
    """What became of every page, in page order, and what could not be compared.

    `old` and `new` map page labels to exports (of several for one page the first counts); pages pair by label,
    whatever the suffix. Pages whose pictures are the same are left out. A page is swapped when its picture is what
    another page showed before; a page that had no picture before is added, whatever it shows. `across` is for two
    different passes, in which every line differs: only another layout is told. `rtl` is whether panels are read from
    right to left.
    """
    findings: list[Finding] = []
    before = _Side("old", _one_each(old, findings), read_old, findings)
    after = _Side("new", _one_each(new, findings), read_new, findings)
    paired = [label for label in before.files if label in after.files]
    if across:
        laid = {label: told for label in paired if (told := _across(before, after, label, rtl))}
        return _in_order(pass_name, laid), findings
    verdicts = {label: told for label in paired if (told := _pair(before, after, label, rtl))}
    gone = [label for label in before.files if label not in after.files]
    kinds = {label: Verdict("missing") for label in gone}
    for label in after.files:
        if label not in before.files:
            after.readable(label)
            kinds[label] = Verdict("added")
    kinds |= verdicts | _swapped(before, after, verdicts, gone)
    return _in_order(pass_name, kinds), findings


def _in_order(pass_name: str, kinds: Mapping[str, Verdict]) -> list[PictureChange]:
    changes = [PictureChange(pass_name, label, told.kind, told.panels) for label, told in kinds.items()]
    return sorted(changes, key=lambda change: label_order(change.page))


def _one_each(exports: Exports, findings: list[Finding]) -> dict[str, FileAt]:
    """One file a page; a page there twice is said."""
    chosen = {}
    for label, files in exports.items():
        several = (files,) if isinstance(files, FileAt) else files
        if not several:
            continue
        chosen[label] = several[0]
        if len(several) > 1:
            names = " and ".join(file.path for file in several)
            findings.append(
                Finding("page-number", "query", f"page {label} is there twice: {names}; the first was compared",
                        path=several[1].path, page=label, remedy="keep one of them")
            )  # fmt: skip
    return chosen


def _pair(before: _Side, after: _Side, label: str, rtl: bool) -> Verdict | None:
    """What became of a page that both sides have; None where it shows the same or can't be compared."""
    try:
        if before.key(label) == after.key(label):
            return None
        old, new = before.picture(label), after.picture(label)
        if before.digest(label) == after.digest(label):
            return None
        told = verdict(old, new, rtl=rtl)
        return None if told.kind == "same" else told
    except _NotHere:
        return None


def _across(before: _Side, after: _Side, label: str, rtl: bool) -> Verdict | None:
    """Whether a page was laid out anew between two passes; both sides are read, so that neither fault goes unsaid."""
    sides = []
    for side in (before, after):
        try:
            sides.append(side.picture(label))
        except _NotHere:
            continue
    return across_passes(*sides, rtl=rtl) if len(sides) == 2 else None


def _swapped(before: _Side, after: _Side, changed: Mapping[str, Verdict], gone: Iterable[str]) -> dict[str, Verdict]:
    """The changed pages whose picture is another page's old one; an empty page is nobody's."""
    changed = {label: told for label, told in changed.items() if told.kind != "touch-up"}
    if not changed:
        return {}
    by_key = {before.key(label): label for label in _readable(before)}
    by_digest = {
        digest: label for label in _candidates(before, [*changed, *gone]) if (digest := _digest(before, label))
    }
    return {
        label: Verdict("swapped")
        for label in changed
        if (after.key(label) in by_key or after.digest(label) in by_digest or _resembles_another(before, after, label))
        and not _empty(after, label)
    }


def _resembles_another(before: _Side, after: _Side, label: str) -> bool:
    """Whether a page shows what another one showed, scanned or scaled anew."""
    if label not in after.thumbs:
        return False
    for other, small in before.thumbs.items():
        if other != label and resembles(small, after.thumbs[label]):
            try:
                if verdict(before.picture(other), after.picture(label)).kind == "same":
                    return True
            except _NotHere:
                continue
    return False


def _readable(side: _Side) -> list[str]:
    """Pages whose bytes can be told apart."""
    there = []
    for label in side.files:
        try:
            side.key(label)
        except _NotHere:
            continue
        there.append(label)
    return there


def _candidates(side: _Side, first: list[str]) -> list[str]:
    """Old pages whose pixels are looked at: those that changed or went, the others too where that costs little."""
    others = [label for label in side.files if label not in set(first)]
    total = 0
    for label in others:
        total += side.pixels(label)
        if total > LOOKED_THROUGH:
            return first
    return first + others


def _digest(side: _Side, label: str) -> str | None:
    try:
        return side.digest(label)
    except _NotHere:
        return None


def _empty(side: _Side, label: str) -> bool:
    size = look(side.bytes(label)).size
    return side.digest(label) == blank_digest(*size)
