"""The zip package around a document, read within bounds: nothing is unpacked to disk, nothing in it is run."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from ledger.model.errors import Refusal

#: Bounds of a package (own choice, far above any draft): bytes of the file, entries in it, bytes of the unpacked text
#: and of a smaller part such as its styles.
MOST_BYTES = 512 << 20
MOST_ENTRIES = 20_000
MOST_TEXT = 256 << 20
MOST_PART = 8 << 20
_CHUNK = 1 << 16
_ENTRY = b"PK\x01\x02"

#: How a file begins that is something else under this name, and what it is (published file signatures).
_FOREIGN = (
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "it is locked with a password, or an old binary .doc under a new name",
     "open it where it was written, take the password off and save it as .docx or .odt"),
    (b"{\\rtf", "it is RTF under another name", "save it as .docx or .odt"),
    (b"%PDF", "it is a PDF under another name", "save the text itself as .docx or .odt"),
    (b"<?xml", "it is plain XML, not the zip package that this format is", "save it as .docx or .odt"),
)  # fmt: skip


class Package:
    """An open package: parts by their name, each read within its bound.

    Raises Refusal for what is no zip, is damaged, or would unpack to more than any draft holds.
    """

    def __init__(self, path: str, data: bytes) -> None:
        self.path = path
        _refuse_foreign(path, data)
        try:
            self.zip = ZipFile(BytesIO(data))
        except (BadZipFile, ValueError, OSError, EOFError, NotImplementedError, UnicodeDecodeError) as fault:
            raise _damaged(path) from fault
        self.names: dict[str, ZipInfo] = {}
        for info in self.zip.infolist():
            self.names.setdefault(info.filename.lstrip("/"), info)

    def __contains__(self, name: str) -> bool:
        return name in self.names

    def chunks(self, name: str, most: int = MOST_TEXT) -> Iterator[bytes]:
        """A part in pieces. Raises Refusal where it is not there, damaged, encrypted or too large."""
        info = self.names.get(name)
        if info is None:
            raise Refusal(f"the part {name!r} is missing in it, so it can't be read", path=self.path, remedy=_AGAIN)
        if info.flag_bits & 1:
            raise encrypted(self.path)
        if info.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
            raise Refusal("it is packed in a way that no word processor packs", path=self.path, remedy=_AGAIN)
        seen = 0
        try:
            with self.zip.open(info) as part:
                while chunk := part.read(_CHUNK):
                    seen += len(chunk)
                    if seen > most:
                        raise _too_large(self.path, name, most)
                    yield chunk
        except (BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError) as fault:
            raise _damaged(self.path) from fault

    def part(self, name: str) -> Iterator[bytes]:
        """A smaller part, such as styles; nothing where it is not there."""
        return self.chunks(name, MOST_PART) if name in self.names else iter(())


_AGAIN = "open it in the word processor and save it again"


def encrypted(path: str) -> Refusal:
    """A document that is locked with a password."""
    return Refusal(
        "it is encrypted with a password", path=path,
        remedy="open it where it was written, save it without a password, then try again",
    )  # fmt: skip


def _refuse_foreign(path: str, data: bytes) -> None:
    if len(data) > MOST_BYTES:
        raise Refusal(
            f"it is larger than {MOST_BYTES >> 20} MiB", path=path, remedy="take the pictures out, or save it as text"
        )
    for sign, said, remedy in _FOREIGN:
        if data.startswith(sign):
            raise Refusal(said, path=path, remedy=remedy)
    if not data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        said = "it is empty" if not data else "it is no document of a word processor: the zip package is not there"
        raise Refusal(said, path=path, remedy=_AGAIN)
    if data.count(_ENTRY) > MOST_ENTRIES:
        raise Refusal(f"it holds more than {MOST_ENTRIES:,} files, as no draft does", path=path, remedy=_AGAIN)


def _damaged(path: str) -> Refusal:
    return Refusal("it is damaged: its zip package can't be read to the end", path=path, remedy=_AGAIN)


def _too_large(path: str, name: str, most: int) -> Refusal:
    return Refusal(
        f"its part {name!r} unpacks to more than {most >> 20} MiB, as no draft does; nothing was read", path=path,
        remedy="save it again from the word processor, or as plain text",
    )  # fmt: skip
