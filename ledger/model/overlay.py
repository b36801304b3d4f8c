"""A snapshot with some of its files replaced: what a commit would hold before it is made."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.model.snapshot import FileAt, Snapshot, Store


class _OverStore:
    """Bytes held in memory first, then those of the store below, then those of another store."""

    __slots__ = ("below", "held", "taken")

    def __init__(self, held: Mapping[str, bytes], below: Store, taken: Mapping[str, Store]) -> None:
        self.held, self.below, self.taken = held, below, taken

    def read(self, file: FileAt) -> bytes:
        if file.path in self.held:
            return self.held[file.path]
        return self.taken.get(file.path, self.below).read(file)

    def blob(self, oid: str) -> bytes:
        return self.below.blob(oid)

    def warm(self, files: list[FileAt]) -> None:
        self.below.warm([f for f in files if f.path not in self.held and f.path not in self.taken])


def overlaid(
    below: Snapshot,
    *,
    contents: Mapping[str, bytes] | None = None,
    taken: Mapping[str, FileAt] | None = None,
    source: Store | None = None,
    removed: frozenset[str] = frozenset(),
    name: str | None = None,
) -> Snapshot:
    """`below` with bytes put over it (`contents`), files of another store (`taken` from `source`), files removed."""
    files = {path: file for path, file in below.files.items() if path not in removed}
    files.update(taken or {})
    files.update({path: FileAt(path, None) for path in contents or {}})
    lent = dict.fromkeys(taken or {}, source) if source is not None else {}
    store = _OverStore(dict(contents or {}), below.store, lent)
    return Snapshot(below.name if name is None else name, files, store)
