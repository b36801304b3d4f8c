"""What the preflight asks of pictures, each unpacked in one go, two at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from ledger.pictures.assistants import Broken, allow_for, done
from ledger.pictures.files.decode import blank_digest, digest, look, verify
from ledger.pictures.files.header import Unreadable
from ledger.pictures.files.ink import Heaviest, heaviest_ink

#: What a picture is known by that is nothing but white paper.
WHITE = "white"


class Asked(NamedTuple):
    """What is asked of a picture: whether every pixel is there, what it is known by, its ink above so many per cent."""

    data: bytes
    whole: bool = False
    known_by: bool = False
    ink_limit: float | None = None


class Examined(NamedTuple):
    """Why a picture can't be unpacked; what it is known by (SHA-256 in hex, or WHITE); its heaviest spot of ink.

    None is what was not asked for; what could not be answered has a `fault`, or no ink where it has none.
    """

    fault: str | None = None
    shown: str | None = None
    ink: Heaviest | None = None


def examined(pictures: Iterable[Asked]) -> Iterator[tuple[int, Examined]]:
    """(number from 0, what was found) in whatever order it is found; a picture is asked for when its turn has come."""
    for number, answer in done((_examine, tuple(each)) for each in pictures):
        yield number, Examined(answer.why) if isinstance(answer, Broken) else answer


def _examine(data: bytes, whole: bool, known_by: bool, ink_limit: float | None) -> Examined:
    """A job for an assistant."""
    try:
        seen = look(data)
        allow_for(seen.width * seen.height)
        if whole and (seen.format == "PNG" or not known_by):
            verify(data)
        shown = digest(data) if known_by else None
        shown = WHITE if shown and shown == blank_digest(*seen.size) else shown
    except Unreadable as fault:
        return Examined(fault.reason)
    except MemoryError:
        return Examined("it is too large for this machine's memory")
    return Examined(None, shown, _ink(data, ink_limit))


def _ink(data: bytes, limit: float | None) -> Heaviest | None:
    try:
        return None if limit is None else heaviest_ink(data, limit)
    except (Unreadable, MemoryError):
        return None
