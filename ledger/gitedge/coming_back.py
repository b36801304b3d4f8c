"""A folder or archive that came back, opened without following a link or waiting for a pipe."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager

from ledger.model.errors import Refusal
from ledger.read.returned_bundle import MOST_FILES, Archive, Bundle, Found, Holder, Unfit, too_many

#: Folders in folders that are looked into: that of the pages, in one that was packed around all, and one more.
_DEEPEST = 3
_FLAGS = os.O_RDONLY | os.O_CLOEXEC | os.O_NONBLOCK


class Folder:
    """An open folder; whatever becomes of its name, this one is read."""

    def __init__(self, top: int, shown: str) -> None:
        self.top, self.shown = top, shown

    def found(self) -> Iterator[Found]:
        """See `Holder`."""
        for seen, each in enumerate(self._within(self.top, "", _DEEPEST)):
            if seen >= MOST_FILES:
                raise too_many(self.shown)
            if each is not None:
                yield each

    def _within(self, folder: int, above: str, deep: int) -> Iterator[Found | None]:
        """Files below an open folder; None for a folder, which counts as well."""
        with os.scandir(folder) as listed:
            for each in listed:
                path, facts = above + each.name, each.stat(follow_symlinks=False)
                if stat.S_ISDIR(facts.st_mode):
                    yield None
                    if deep and not each.name.startswith("."):
                        yield from self._below(folder, each.name, path, deep)
                else:
                    yield Found(path, facts.st_size, _fault(facts.st_mode))

    def _below(self, folder: int, name: str, path: str, deep: int) -> Iterator[Found | None]:
        try:
            inner = os.open(name, _FLAGS | os.O_DIRECTORY | os.O_NOFOLLOW, dir_fd=folder)
        except OSError as fault:
            yield Found(path, 0, f"can't be opened ({fault.strerror})")
            return
        try:
            yield from self._within(inner, path + "/", deep - 1)
        finally:
            os.close(inner)

    def read(self, path: str, most: int) -> bytes:
        """See `Holder`."""
        *folders, name = path.split("/")
        opened: list[int] = []
        try:
            for each in folders:
                opened.append(os.open(each, _FLAGS | os.O_DIRECTORY | os.O_NOFOLLOW, dir_fd=[self.top, *opened][-1]))
            opened.append(os.open(name, _FLAGS | os.O_NOFOLLOW, dir_fd=[self.top, *opened][-1]))
            return _bounded(opened[-1], most)
        except OSError as fault:
            raise Unfit(f"can't be read ({fault.strerror})") from None
        finally:
            for each_open in opened:
                os.close(each_open)


def _fault(mode: int) -> str:
    if stat.S_ISLNK(mode):
        return "is a link, not a file"
    return "" if stat.S_ISREG(mode) else "is no plain file"


def _bounded(file: int, most: int) -> bytes:
    """The bytes of an open file. Raises Unfit, OSError."""
    facts = os.fstat(file)
    if not stat.S_ISREG(facts.st_mode):
        raise Unfit("is no plain file")
    parts, left = [], most + 1
    while left and (part := os.read(file, min(left, 1 << 22))):
        parts.append(part)
        left -= len(part)
    if not left:
        raise Unfit(f"is larger than {most >> 20} MiB, as no such page is")
    return b"".join(parts)


class OneFile:
    """A file that came back by itself, open."""

    def __init__(self, file: int, name: str) -> None:
        self.file, self.name = file, name

    def found(self) -> Iterator[Found]:
        """See `Holder`."""
        yield Found(self.name, os.fstat(self.file).st_size)

    def read(self, path: str, most: int) -> bytes:
        """See `Holder`."""
        os.lseek(self.file, 0, os.SEEK_SET)
        return _bounded(self.file, most)


@contextmanager
def opened(place: str, name: str, shown: str) -> Iterator[Bundle]:
    """What came back, open for reading; `name` is its list, `shown` what a person calls it.

    Raises Refusal where it can't be read, or is neither a folder nor an archive.
    """
    with held(place, shown) as holder:
        yield Bundle(holder, name, shown)


@contextmanager
def held(place: str, shown: str, *, begins: bytes = b"") -> Iterator[Holder]:
    """A folder, an archive, or a file that begins as `begins` in its first KiB, open for reading.

    Raises Refusal where it can't be read, or is none of these.
    """
    try:
        file = os.open(place, _FLAGS)
    except OSError as fault:
        raise _unread(fault, shown) from None
    try:
        facts = os.fstat(file)
        if stat.S_ISDIR(facts.st_mode):
            yield Folder(file, shown)
        elif stat.S_ISREG(facts.st_mode) and begins and begins in os.pread(file, 1024, 0):
            yield OneFile(file, os.path.basename(place))
        elif stat.S_ISREG(facts.st_mode):
            with os.fdopen(os.dup(file), "rb") as archive:
                yield Archive(archive, facts.st_size, shown)
        else:
            raise Refusal("this is neither a folder nor an archive", path=shown,
                          remedy="name the folder that came back, or a ZIP archive of it")  # fmt: skip
    finally:
        os.close(file)


def _unread(fault: OSError, shown: str) -> Refusal:
    if isinstance(fault, FileNotFoundError):
        return Refusal("no such folder or file", path=shown, remedy="name the folder that came back")
    return Refusal(f"it can't be read ({fault.strerror})", path=shown, remedy="see that it is yours to read")
