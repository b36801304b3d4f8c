"""A folder, or an archive, that goes out with an entry of the ledger: both are there, or neither.

It is made whole beside its place. Then the entry is recorded, which happens at once or not at all, and then it gets its
name. What is killed between the two left the folder whole: the same command finds it there and gives it its name.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from hashlib import sha256

from ledger.gitedge.complaints import of_the_machine
from ledger.model.errors import Refusal

#: What is added to the name of the place while it is being filled.
FRESH = ".inkledger-new"
#: The earliest moment that a ZIP archive can hold (APPNOTE.TXT 4.4.6, dates of MS-DOS).
_FIRST = (1980, 1, 1, 0, 0, 0)


@dataclass
class Parcel:
    """What is being made ready for `place`; `paths` are the files in it so far."""

    place: str
    archive: bool
    paths: list[str] = field(default_factory=list)
    recorded: bool = False
    zip: zipfile.ZipFile | None = None
    stamp: tuple[int, int, int, int, int, int] = _FIRST

    @property
    def work(self) -> str:
        """Where it lies until it gets its name."""
        return self.place + FRESH

    def dated(self, when: datetime | date) -> None:
        """Files in an archive bear this date, so that what is packed again is the same bytes."""
        if when.year >= _FIRST[0]:
            clock = (when.hour, when.minute, when.second) if isinstance(when, datetime) else (0, 0, 0)
            self.stamp = (when.year, when.month, when.day, *clock)

    def folder(self, name: str) -> None:
        """An empty folder in it. Raises OSError."""
        if self.zip is None:
            os.mkdir(os.path.join(self.work, name))
        else:
            self.zip.writestr(self._facts(name + "/", 0o040755), b"")

    def put(self, path: str, data: bytes) -> str:
        """A file in it, in the folder that its path names; gives the SHA-256 of the bytes. Raises OSError."""
        if self.zip is None:
            os.makedirs(os.path.dirname(os.path.join(self.work, path)), exist_ok=True)
            with open(os.path.join(self.work, path), "xb") as file:
                file.write(data)
        else:
            self.zip.writestr(self._facts(path, 0o100644), data)
        self.paths.append(path)
        return sha256(data).hexdigest()

    def _facts(self, path: str, mode: int) -> zipfile.ZipInfo:
        facts = zipfile.ZipInfo(path, self.stamp)
        facts.create_system, facts.external_attr = 3, mode << 16 | 0x10 * path.endswith("/")
        return facts

    def arrive(self) -> None:
        """Gives it its name. Raises Refusal where something was put there meanwhile; then it waits beside it."""
        try:
            if self.archive and os.path.lexists(self.place):
                raise FileExistsError(17, "it is there already", self.place)
            os.rename(self.work, self.place)
        except OSError as fault:
            raise Refusal(f"it is recorded and made, but can't be put there ({fault.strerror})", path=self.place,
                          remedy=f"it lies whole in {self.work}: give it another name") from None  # fmt: skip


@contextmanager
def parcel(place: str, *, archive: bool = False) -> Iterator[Parcel]:
    """A parcel to be filled, held against a second command; whatever ends this, nothing half-made is left.

    Once it is `recorded` it stays, under its name or beside it. Raises Refusal where it can't be written.
    """
    made = Parcel(place, archive)
    above = missing_above(place)
    hold, ours = None, False
    try:
        os.makedirs(os.path.dirname(place), exist_ok=True)
        if archive:
            made.zip = zipfile.ZipFile(made.work, "x")
        else:
            os.mkdir(made.work)
        ours = True
        hold = _held(made.work)
        yield made
    except OSError as fault:
        raise of_the_machine(fault) from None
    finally:
        if made.zip is not None and not made.recorded:
            _ended(made.zip)
        if ours and not made.recorded:
            clear(made.work)
        if not made.recorded:
            for folder in above:
                drop_empty(folder)
        if hold is not None:
            os.close(hold)


def _ended(packed: zipfile.ZipFile) -> None:
    """Lets an archive go that will not be kept: its end can't be written where the disk is full."""
    try:
        packed.close()
    except (OSError, ValueError):
        return


def sealed(made: Parcel) -> None:
    """Ends an archive, so that it can be opened. Raises OSError."""
    if made.zip is not None:
        made.zip.close()
        made.zip = None


def left_behind(place: str, name: str) -> bytes | None:
    """The file `name` of a whole parcel for this place that never got its name; what is half-made is taken away.

    `name` is the file that is written last. Raises Refusal where another command is filling it.
    """
    work = place + FRESH
    if not os.path.lexists(work) or os.path.islink(work):
        return None
    try:
        hold = _held(work)
        try:
            found = _read(work, name)
            if found is None:
                clear(work)
            return found
        finally:
            os.close(hold)
    except OSError as fault:
        raise of_the_machine(fault) from None


def _read(work: str, name: str) -> bytes | None:
    try:
        if os.path.isdir(work):
            with open(os.path.join(work, name), "rb") as file:
                return file.read()
        with zipfile.ZipFile(work) as packed:
            return packed.read(name)
    except (OSError, KeyError, ValueError, zipfile.BadZipFile):
        return None


def drop(place: str) -> None:
    """Takes a parcel away that waits beside its place."""
    clear(place + FRESH)


def _held(work: str) -> int:
    """Holds it as long as the number stays open. Raises Refusal where another command does, OSError."""
    hold = os.open(work, os.O_RDONLY)
    try:
        fcntl.flock(hold, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(hold)
        raise Refusal("another inkledger is writing this", path=work.removesuffix(FRESH),
                      remedy="wait until it is done, or name another place") from None  # fmt: skip
    return hold


def clear(work: str) -> None:
    """Takes away what an interrupted run left, never what a link leads to; what can't be taken away stays."""
    if os.path.isdir(work) and not os.path.islink(work):
        shutil.rmtree(work, ignore_errors=True)
    elif os.path.isfile(work) and not os.path.islink(work):
        with suppress(OSError):
            os.unlink(work)


def missing_above(place: str) -> list[str]:
    """The folders above a place that are not there, the lowest first."""
    found, above = [], os.path.dirname(place)
    while not os.path.lexists(above):
        found.append(above)
        above = os.path.dirname(above)
    return found


def drop_empty(folder: str) -> None:
    """Takes a folder away that was made for nothing; it stays where somebody has put something there meanwhile."""
    with suppress(OSError):
        os.rmdir(folder)
