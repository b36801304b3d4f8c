"""One side of a comparison of pictures: its files by page, their bytes, and what could not be read."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt

Exports = Mapping[str, "tuple[FileAt, ...] | FileAt"]
Reader = Callable[[FileAt], bytes]


class NotHere(Exception):
    """This page of this side can't be compared; what there is to say has been said."""


@dataclass
class Side:
    """`name` is "old" or "new"; `findings` are those of the whole comparison."""

    name: str
    files: Mapping[str, FileAt]
    read: Reader
    findings: list[Finding] = field(default_factory=list)
    _keys: dict[str, str] = field(default_factory=dict)
    _lost: set[str] = field(default_factory=set)

    def key(self, label: str) -> str:
        """What the bytes are known by: git's object id, or a digest of content git has not seen. Raises NotHere."""
        if label not in self._keys:
            file = self.files[label]
            if not file.regular:
                raise self.lose(label, f"it is {file.instead}, not a picture")
            self._keys[label] = file.oid or "bytes:" + hashlib.sha256(self.bytes(label)).hexdigest()
        return self._keys[label]

    def bytes(self, label: str) -> bytes:
        """The bytes of a page; raises NotHere, once said why."""
        file = self.files[label]
        if label in self._lost:
            raise NotHere
        if not file.regular:
            raise self.lose(label, f"it is {file.instead}, not a picture")
        try:
            return self.read(file)
        except ContentMissing as fault:
            raise self.lose(label, fault.why) from fault
        except OSError as fault:
            raise self.lose(label, fault.strerror or "it can't be opened") from fault

    def readable(self, label: str) -> None:
        """Says so where a page that is compared with nothing can't be read by its header."""
        from ledger.pictures.files.header import Unreadable
        from ledger.pictures.guarded import look

        try:
            look(self.bytes(label))
        except Unreadable as fault:
            self.lose(label, fault.reason)
        except NotHere:
            pass

    def pixels(self, label: str) -> int:
        """Pixels of a page by its header; 0 where it can't be read, which nobody needs to hear here."""
        from ledger.pictures.files.header import Unreadable
        from ledger.pictures.guarded import look

        try:
            seen = look(self.bytes(label))
        except (Unreadable, NotHere):
            return 0
        return seen.width * seen.height

    def lose(self, label: str, reason: str) -> NotHere:
        """Says once why a page can't be compared."""
        if label in self._lost:
            return NotHere()
        path = self.files[label].path
        self._lost.add(label)
        self.findings.append(
            Finding("export-unreadable", "query", f"the {self.name} {path} can't be read as a picture: {reason}",
                    path=path, page=label, remedy="export the page again; every other page was compared")
        )  # fmt: skip
        return NotHere()


def one_each(exports: Exports, findings: list[Finding]) -> dict[str, FileAt]:
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
