"""A picture that comes back from a helper, held against what was asked and what was given (trade facts T-171 to T-176).

Both judgements are jobs for an assistant: they answer with values and raise nothing for a file that can't be read. A
caller to whom an assistant says `Broken` tells that as `unreadable(broken.why)`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ledger.model.lending import Asked, Known, Lending
from ledger.pictures.assistants import PIXELS_A_SECOND, SECONDS, allow
from ledger.pictures.decode import Look, Unreadable, decode, look, verify

#: Returns that are laid under the line art and are all colour.
_COLOURED = ("flats", "colour")
_MODES = {"1": "black and white (1 bit)", "grey": "grey", "indexed": "indexed colours", "rgb": "RGB", "cmyk": "CMYK",
          "lab": "Lab colours"}  # fmt: skip


class Fault(NamedTuple):
    """What is wrong with a picture that came back.

    `rule` is a name of `ledger.model.finding.RULES`; `message` goes on after the name of the file ("is 4 px wide").
    `at` is a pixel from the left and from the top, both from 0, or the nearest known place; None for the whole.
    """

    rule: str
    message: str
    at: tuple[int, int] | None = None


class Wanted(NamedTuple):
    """What a page must be: width and height in px give or take `within`, mode, bits a channel; None: anything."""

    px: tuple[int, int] | None = None
    within: int = 0
    mode: str | None = None
    depth: int | None = None


def wanted_of(lending: Lending, asked: Asked) -> Wanted:
    """What is asked of a page; flats and colours are RGB with 8 bits where the list says nothing else."""
    coloured = lending.returns in _COLOURED
    mode = lending.mode or ("rgb" if coloured else None)
    return Wanted(asked.px, asked.within, mode, lending.depth or (8 if coloured else None))


def unreadable(why: str) -> Fault:
    """The fault of a file that is no whole picture; `why` continues "can't be read as a picture: "."""
    return Fault("export-unreadable", f"can't be read as a picture: {why}")


def judge_returned(
    returns: str, returned: bytes, given: bytes | None, wanted: Wanted, known: Known | None = None
) -> tuple[Fault, ...]:
    """What is wrong with a page that was made; nothing where it is good.

    `given` is the line art it lies under, as handed out; None where that is not at hand, then `known` is what the line
    art is known by. A size or mode that is wrong is told first, and what still can be judged is judged.
    """
    try:
        seen = look(returned)
        allow(SECONDS + 3 * (seen.width * seen.height) // PIXELS_A_SECOND)
        faults = [*_size(seen, wanted), *_mode(seen, returns, wanted)]
        verify(returned)
    except Unreadable as fault:
        return (unreadable(fault.reason),)
    return tuple(faults)


def judge_line_art(returned: bytes, given: bytes | None, known: Known | None = None) -> Fault | None:
    """Whether line art that came back along with the pages is still what was handed out, pixel for pixel.

    Held against `given`, or where that is None against what it is `known` by; None for line art that is as it was.
    """
    if returned == given:
        return None
    try:
        decode(returned)
    except Unreadable as fault:
        return unreadable(fault.reason)
    return None


def _size(seen: Look, wanted: Wanted) -> Iterator[Fault]:
    if wanted.px is None or all(abs(a - b) <= wanted.within for a, b in zip(seen.size, wanted.px, strict=True)):
        return
    around = f", give or take {wanted.within} px" if wanted.within else ""
    yield Fault(
        "return-size",
        f"measures {seen.width} x {seen.height} px; asked were {wanted.px[0]} x {wanted.px[1]} px{around}",
    )


def _mode(seen: Look, returns: str, wanted: Wanted) -> Iterator[Fault]:
    """Mode and bits a channel. A colour table is RGB with 8 bits that is packed; one bit of it is black and white."""
    if seen.format == "JPEG" and returns != "page":
        yield Fault("return-mode", "is a JPEG, which makes new colours along every edge")
        return
    have = _kind(seen)
    if wanted.mode is not None and have != wanted.mode and not (seen.mode == "indexed" and wanted.mode == "rgb"):
        yield Fault("return-mode", f"is in {_MODES[seen.mode]}; asked was {_MODES[wanted.mode]}")
    elif wanted.depth is not None and seen.depth != wanted.depth and seen.mode != "indexed":
        yield Fault("return-mode", f"has {seen.depth} bits a channel; asked were {wanted.depth}")
    if seen.frames > 1:
        yield Fault("return-mode", f"holds {seen.frames} pictures in one file; asked was the page alone")


def _kind(seen: Look) -> str:
    if seen.mode != "indexed":
        return seen.mode
    return "1" if seen.depth == 1 else "rgb"
