"""Pointers of git-lfs, followed into the store on this disk. No filter is run and nothing is fetched."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, NamedTuple

from ledger.model.errors import ContentMissing

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.gitedge.repository import Repository

#: How a pointer begins (the git-lfs specification, https://github.com/git-lfs/git-lfs/blob/main/docs/spec.md).
_BEGINS = (b"version https://git-lfs.github.com/spec/", b"version https://hawser.github.com/spec/")
_HEX = frozenset("0123456789abcdef")


class Pointer(NamedTuple):
    """What a pointer names: the SHA-256 of the content in hex, and its size in bytes."""

    digest: str
    size: int


def pointed_at(data: bytes) -> Pointer | None:
    """What a pointer names; None for bytes that are no pointer."""
    if not data.startswith(_BEGINS):
        return None
    said = dict(line.partition(" ")[::2] for line in data.decode("ascii", "replace").splitlines())
    digest, size = said.get("oid", "").removeprefix("sha256:"), said.get("size", "")
    if len(digest) != 64 or not _HEX.issuperset(digest) or not (size.isascii() and size.isdigit()):
        return None
    return Pointer(digest, int(size))


class LargeFiles:
    """The store on this disk, `.git/lfs/objects` unless the configuration says otherwise."""

    def __init__(self, folder: bytes) -> None:
        self._folder = folder

    @classmethod
    def of(cls, repo: Repository) -> LargeFiles:
        """The store of a repository, `lfs.storage` heeded."""
        said, code = repo.ask("config", "-z", "--type=path", "--get", "lfs.storage")
        base = os.fsencode(repo.in_common_dir("lfs"))
        if code == 0:
            base = os.path.join(os.fsencode(repo.in_common_dir("")), said.removesuffix(b"\0"))
        return cls(os.path.join(base, b"objects"))

    def place(self, pointer: Pointer) -> bytes:
        """Where the content lies, if it is here."""
        return self.place_of(pointer.digest)

    def place_of(self, digest: str) -> bytes:
        """Where the content of this SHA-256 (in hex) lies, if it is here."""
        return os.path.join(self._folder, digest[:2].encode(), digest[2:4].encode(), digest.encode())

    def all(self) -> Iterator[tuple[bytes, str]]:
        """Place and digest of every content in the store, in order of digests."""
        for folder, below, names in os.walk(self._folder):
            below.sort()
            for name in sorted(names):
                digest = name.decode("ascii", "replace")
                place = os.path.join(folder, name)
                if len(digest) == 64 and _HEX.issuperset(digest) and place == self.place_of(digest):
                    yield place, digest

    def read(self, pointer: Pointer, name: str) -> bytes:
        """The content. Raises ContentMissing with `name` where it is not here or cut short."""
        try:
            with open(self.place(pointer), "rb") as file:
                data = file.read()
        except OSError:
            raise ContentMissing(name, "not fetched") from None
        if len(data) != pointer.size:
            raise ContentMissing(name, "damaged: the large file is not as long as its pointer says")
        from hashlib import sha256

        if sha256(data).hexdigest() != pointer.digest:
            raise ContentMissing(name, "damaged: the large file is not the one its pointer names")
        return data
