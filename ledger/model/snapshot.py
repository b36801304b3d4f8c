"""The files of a book at one moment: a commit, the index, the working tree, or a plain folder."""

from collections.abc import Mapping
from typing import NamedTuple, Protocol

#: The mode of a folder that stands where a file belongs.
FOLDER = "040000"


class FileAt(NamedTuple):
    """A file in a snapshot. `oid` is git's object id, None for content git has not seen yet.

    `mode` is git's: "100644", "100755", "120000" a link, "160000" a submodule; `FOLDER` a folder with a suffix in
    its name, which stands where a file belongs.
    """

    path: str
    oid: str | None
    mode: str = "100644"

    @property
    def regular(self) -> bool:
        """Whether it is a plain file, neither link nor submodule."""
        return self.mode.startswith("100")

    @property
    def instead(self) -> str:
        """What lies there where it is no plain file, in words."""
        kinds = {"120000": "a link", "160000": "another repository", FOLDER: "a folder"}
        return kinds.get(self.mode, "no plain file")


class Store(Protocol):
    """Where the bytes are. Large-file pointers are followed into the local store."""

    def read(self, file: FileAt) -> bytes:
        """The bytes of a file; raises ContentMissing where they are not here."""

    def blob(self, oid: str) -> bytes:
        """The bytes of an object by its id; raises ContentMissing."""

    def warm(self, files: list[FileAt]) -> None:
        """Fetches many small objects in one batch, so that later reads cost nothing."""


class Snapshot(NamedTuple):
    """`name` is the reference as typed; `files` maps paths (with `/`, NFC as git has them) to files."""

    name: str
    files: Mapping[str, FileAt]
    store: Store

    def read(self, path: str) -> bytes:
        """The bytes of one file; raises KeyError where the path is not there, ContentMissing where it is not here."""
        return self.store.read(self.files[path])

    def under(self, folder: str) -> list[str]:
        """Paths directly or deeper in a folder, in byte order."""
        return sorted((p for p in self.files if p.startswith(folder.rstrip("/") + "/")), key=byte_order)


def byte_order(path: str) -> bytes:
    """Sort key of a path: its bytes, those that are no UTF-8 too."""
    return path.encode("utf-8", "surrogateescape")
