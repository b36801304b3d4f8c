"""A folder or ZIP archive that comes back from a stranger, read within bounds: nothing is unpacked to disk.

Names are judged before anything is read (CWE-22 names that leave a folder, CWE-59 links, CWE-178 names that some disks
take for one, CWE-409 archives that unpack to far more than they are). What is wrong with one file is said of that file;
an archive is refused whole only where nothing in it can be told apart.
"""

from __future__ import annotations

import re
import stat
import struct
import unicodedata
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import BinaryIO, NamedTuple, Protocol
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from ledger.model.errors import Refusal

#: Bounds, own choice, far above any book: files in a folder or archive, bytes of an archive's list of files.
MOST_FILES = 20_000
MOST_DIRECTORY = 8 << 20
#: Bytes of a page: so many in any case, and so many for every pixel asked.
PAGE_BYTES, PIXEL_BYTES = 64 << 20, 16
#: Bytes of a page of which no size is asked, and of the list.
MOST_PAGE, MOST_LIST = 256 << 20, 16 << 20
_CHUNK = 1 << 20
#: What deflate can make of a byte at most (RFC 1951: 258 bytes for two bits, less what frames them), rounded up.
_MOST_RATIO = 1100
#: The end of an archive and its 64-bit form (APPNOTE.TXT 4.3.14 to 4.3.16).
_END, _END_SIZE, _LONG_END, _LONG_END_SIZE, _LOCATOR, _LOCATOR_SIZE = (
    b"PK\x05\x06",
    22,
    b"PK\x06\x06",
    56,
    b"PK\x06\x07",
    20,
)
_DRIVE = re.compile(r"[A-Za-z]:")
_AGAIN = "have it packed again by the program that comes with the system, or take the folder itself"


class Found(NamedTuple):
    """A file in what came back: its path, `size` in bytes as stated, and why it can't be used, "" where it can.

    `unfit` goes on after the name: "is a link, not a file".
    """

    path: str
    size: int
    unfit: str = ""


class Unfit(Exception):
    """A file that can't be read; `why` goes on after its name."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class Holder(Protocol):
    """A folder or an archive: what lies in it, and the bytes of one file."""

    def found(self) -> Iterator[Found]:
        """Every file, plain or not. Raises Refusal where there are too many."""

    def read(self, path: str, most: int) -> bytes:
        """The bytes of a file, at most so many. Raises Unfit."""


class Bundle:
    """What came back, from the folder that holds its list `name`: at the top, or in the one folder there.

    `files` maps paths from there to what was found. Raises Refusal where there is no list, or more than one.
    """

    def __init__(self, holder: Holder, name: str, shown: str) -> None:
        found = judged_names(each for each in holder.found() if not left_by_systems(each.path))
        self.holder, self.shown = holder, shown
        self.above = _above_the_list(found, name, shown)
        inside = [each for each in found.values() if each.path.startswith(self.above)]
        self.files = {each.path[len(self.above) :]: each for each in inside}
        #: Names that lead somewhere else, whatever folder they seem to lie in.
        self.stray = [each for each in found.values() if each.unfit and not each.path.startswith(self.above)]

    def read(self, path: str, most: int) -> bytes:
        """The bytes of a file. Raises Unfit."""
        found = self.files.get(path)
        if found is None:
            raise Unfit("is not there")
        if found.unfit:
            raise Unfit(found.unfit)
        return self.holder.read(found.path, most)


def _above_the_list(found: Mapping[str, Found], name: str, shown: str) -> str:
    if name in found:
        return ""
    places = [path for path in found if path.count("/") == 1 and path.endswith(f"/{name}")]
    if len(places) == 1:
        return places[0][: -len(name)]
    why = f"there is no {name} in it" if not places else f"there are several {name} in it"
    raise Refusal(f"{why}, so it can't be told what was asked", path=shown,
                  remedy=f"name the folder that holds {name}, as it was handed out")  # fmt: skip


def page_bound(px: tuple[int, int] | None) -> int:
    """Bytes that a page of this size may take."""
    return MOST_PAGE if px is None else PAGE_BYTES + PIXEL_BYTES * px[0] * px[1]


# -- names


def left_by_systems(path: str) -> bool:
    """What systems leave behind in folders, which nobody sent on purpose."""
    parts = path.split("/")
    if parts[-1].lower() in ("thumbs.db", "desktop.ini"):
        return True
    return any(part == "__MACOSX" or part.startswith(".") for part in parts) and not name_fault(path)


def judged_names(found: Iterable[Found]) -> dict[str, Found]:
    """Path -> what was found, its name judged too; two names that are one file on some disks are both unfit."""
    kept: dict[str, Found] = {}
    alike: dict[str, list[str]] = {}
    several: Counter[str] = Counter()
    for each in found:
        several[each.path] += 1
        why = name_fault(each.path) or each.unfit
        kept[each.path] = each._replace(unfit=why or ("is there twice" if several[each.path] > 1 else ""))
        alike.setdefault(folded(each.path), []).append(each.path)
    for paths in alike.values():
        names = list(dict.fromkeys(paths))
        for path in names if len(names) > 1 else ():
            other = next(each for each in names if each != path)
            kept[path] = kept[path]._replace(unfit=f"and {other} are one file on some disks")
    return kept


def name_fault(path: str) -> str:
    """What is wrong with a name, "" for nothing; it goes on after the name."""
    if path.startswith("/"):
        return "is a name that leads out of the folder"
    if _DRIVE.match(path):
        return "is a name with a drive letter"
    if "\\" in path:
        return "is a name with a backslash"
    if any(part in ("", ".", "..") for part in path.split("/")):
        return "is a name that leads out of the folder"
    if any(unicodedata.category(sign) in ("Cc", "Cs") for sign in path):
        return "is a name with signs in it that can't be shown"
    return ""


def folded(path: str) -> str:
    """The name as disks see it that know no capitals and no two ways to write an accent."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", path).casefold())


# -- archives


class Archive:
    """A ZIP archive in an open file of `size` bytes. Raises Refusal where it is none, is damaged, or is a trap."""

    def __init__(self, file: BinaryIO, size: int, shown: str) -> None:
        self.shown = shown
        _refuse_large_list(file, size, shown)
        try:
            self.zip = ZipFile(file)
        except (BadZipFile, ValueError, OSError, EOFError, NotImplementedError, UnicodeDecodeError, struct.error):
            raise _damaged(shown) from None
        entries = self.zip.infolist()
        if len(entries) > MOST_FILES:
            raise too_many(shown)
        self._refuse_overlaps(entries, size)
        self.entries = {each.orig_filename: each for each in entries}

    def _refuse_overlaps(self, entries: list[ZipInfo], size: int) -> None:
        """Parts that lie over each other unpack to more than they are (CWE-409)."""
        ordered = sorted(entries, key=lambda each: each.header_offset)
        ends = [(each.header_offset + 30 + each.compress_size) for each in ordered]
        starts = [each.header_offset for each in ordered]
        if any(end > start for end, start in zip(ends, [*starts[1:], size], strict=False)) or min([0, *starts]) < 0:
            raise Refusal("parts of this archive lie over each other, as no program packs them; nothing was taken",
                          path=self.shown, remedy=_AGAIN)  # fmt: skip
        if any(a == b for a, b in pairwise(starts)):
            raise _damaged(self.shown)

    def found(self) -> Iterator[Found]:
        """See `Holder`."""
        for each in self.zip.infolist():
            if not each.orig_filename.endswith("/") or _fault(each):
                yield Found(each.orig_filename, each.file_size, _fault(each))

    def read(self, path: str, most: int) -> bytes:
        """See `Holder`."""
        info = self.entries[path]
        if info.file_size > most:
            raise Unfit(f"unpacks to more than {most >> 20} MiB, as no such page does")
        parts, seen = [], 0
        try:
            with self.zip.open(info) as part:
                while chunk := part.read(_CHUNK):
                    parts.append(chunk)
                    seen += len(chunk)
                    if seen > most:
                        raise Unfit(f"unpacks to more than {most >> 20} MiB, as no such page does")
        except (BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError, RuntimeError, struct.error):
            raise Unfit("is damaged in the archive") from None
        return b"".join(parts)


def _fault(info: ZipInfo) -> str:
    """Why an entry of an archive can't be used."""
    kind = stat.S_IFMT(info.external_attr >> 16)
    if kind == stat.S_IFLNK:
        return "is a link, not a file"
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR) or (kind == stat.S_IFDIR and not info.orig_filename.endswith("/")):
        return "is no plain file"
    if info.flag_bits & 0x41:
        return "is encrypted"
    if info.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
        return f"is packed in a way that is not read here (ZIP method {info.compress_type})"
    if info.file_size > PAGE_BYTES and info.file_size > _MOST_RATIO * info.compress_size:
        return "says it unpacks to more than it can"
    return ""


def _refuse_large_list(file: BinaryIO, size: int, shown: str) -> None:
    """Looks at the end of an archive for how long its list of files is, before anything reads that list."""
    file.seek(max(0, size - _END_SIZE - 0xFFFF))
    tail = file.read(_END_SIZE + 0xFFFF)
    at = len(tail) - _END_SIZE
    if not (tail[max(at, 0) :].startswith(_END) and tail.endswith(b"\0\0")):
        at = tail.rfind(_END)
    if at < 0 or len(tail) < at + _END_SIZE:
        raise Refusal("this is no ZIP archive" if size else "this file is empty", path=shown,
                      remedy="name the folder, or a ZIP archive of it")  # fmt: skip
    counted, bytes_listed = struct.unpack_from("<HI", tail, at + 10)
    counts, sizes = [counted], [bytes_listed]
    if at >= _LOCATOR_SIZE and tail[at - _LOCATOR_SIZE : at].startswith(_LOCATOR):
        file.seek(max(0, size - len(tail) + at - _LOCATOR_SIZE - _LONG_END_SIZE))
        long_end = file.read(_LONG_END_SIZE)
        if len(long_end) == _LONG_END_SIZE and long_end.startswith(_LONG_END):
            more, longer = struct.unpack_from("<QQ", long_end, 32)
            counts, sizes = [more], [longer]
    if max(sizes) > min(MOST_DIRECTORY, size) or max(counts) > MOST_FILES:
        raise too_many(shown) if max(counts) > MOST_FILES or max(sizes) <= size else _damaged(shown)
    file.seek(0)


def too_many(shown: str) -> Refusal:
    """A folder or archive with more files than any hand-off."""
    return Refusal(f"it holds more than {MOST_FILES:,} files, as no pages handed out do; nothing was taken", path=shown,
                   remedy="name the folder as it was handed out, with the pages in it and nothing else")  # fmt: skip


def _damaged(shown: str) -> Refusal:
    return Refusal("this archive is damaged: it can't be read to the end", path=shown, remedy=_AGAIN)
