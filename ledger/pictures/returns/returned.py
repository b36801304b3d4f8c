"""A picture that comes back from a helper, held against what was asked and what was given (trade facts T-171 to T-176).

Both judgements are jobs for an assistant: they answer with values and raise nothing for a file that can't be read. A
caller to whom an assistant says `Broken` tells that as `unreadable(broken.why)`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from ledger.model.book import MODES
from ledger.model.lending import STEP, Asked, Known, Lending
from ledger.pictures.assistants import allow_for
from ledger.pictures.files.decode import Look, Unreadable, decode, decode_with_alpha, look
from ledger.pictures.returns.colours import White, bands
from ledger.pictures.returns.lent import known_of
from ledger.pictures.rounds.pair import packed_anew
from ledger.pictures.rounds.still import same_pixels

if TYPE_CHECKING:
    from PIL import Image

    from ledger.pictures.returns.known_again import Small

#: Returns that are laid under the line art and are all colour.
_COLOURED = ("flats", "colour")


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
        allow_for(3 * seen.width * seen.height)
        page, alpha = decode_with_alpha(returned)
    except Unreadable as fault:
        return (unreadable(fault.reason),)
    faults = [*_size(seen, wanted), *_mode(seen, returns, wanted)]
    white = White(page) if returns == "flats" and alpha is None else None
    if returns == "flats" and seen.format != "JPEG":
        faults += _edges(page, white)
    if returns in _COLOURED:
        faults += _uncoloured(returns, alpha, lambda: _line_art(given, page.size), white)
    return tuple(faults)


def judge_whole_page(returned: bytes, wanted: Wanted) -> tuple[tuple[Fault, ...], Small | None]:
    """The same of a page that comes back whole, and that page brought down; None where it can't be read."""
    from ledger.pictures.returns.known_again import brought_down

    try:
        seen = look(returned)
        allow_for(3 * seen.width * seen.height)
        page = decode(returned)
    except Unreadable as fault:
        return (unreadable(fault.reason),), None
    return (*_size(seen, wanted), *_mode(seen, "page", wanted)), brought_down(page)


def _edges(page: Image.Image, white: White | None) -> Iterator[Fault]:
    from ledger.pictures.returns.returned_edges import bands_for_edges, smoothed_edges

    passing = bands_for_edges(page)
    found = smoothed_edges(page, white.watching(passing) if white else passing)
    if found:
        yield Fault("edges-smoothed", f"has smoothed edges: {_pixels(found.pixels)} between two fills",
                    (found.x, found.y))  # fmt: skip


def _uncoloured(
    returns: str, alpha: Image.Image | None, line_art: Callable[[], Image.Image | None], white: White | None
) -> Iterator[Fault]:
    from ledger.pictures.returns.uncoloured import half_transparent, uncoloured

    half = half_transparent(alpha) if alpha and returns == "flats" else None
    bare = uncoloured(alpha, line_art, white.mask if white else None)
    if bare:
        yield Fault("pixels-uncoloured", f"has {_pixels(bare.pixels)} without colour", (bare.x, bare.y))
    elif half:
        yield Fault("pixels-uncoloured", f"has {_pixels(half.pixels)} of half a colour, neither opaque nor transparent",
                    (half.x, half.y))  # fmt: skip


def _line_art(given: bytes | None, size: tuple[int, int]) -> Image.Image | None:
    """The line art under a page; None where there is none, or it is of another size."""
    try:
        if given is None or look(given).size != size:
            return None
        return decode(given)
    except Unreadable:
        return None


def _pixels(count: int) -> str:
    return f"{count:,} pixel{'s' * (count != 1)}"


def judge_line_art(returned: bytes, given: bytes | None, known: Known | None = None) -> Fault | None:
    """Whether line art that came back along with the pages is still what was handed out, pixel for pixel.

    Held against `given`, or where that is None against what it is `known` by; None for line art that is as it was.
    """
    if given is not None and returned == given:
        return None
    try:
        seen = look(returned)
        if given is not None and packed_anew(given, returned):
            return None
        allow_for(3 * seen.width * seen.height)
        page = decode(returned)
        lines = decode(given) if given is not None else None
    except Unreadable as fault:
        return unreadable(fault.reason)
    return _held_against(page, lines) if lines is not None else _known_again(page, known)


def _held_against(page: Image.Image, lines: Image.Image) -> Fault | None:
    if same_pixels(page, lines):
        return None
    turn = next((words for turn, words in _turns() if same_pixels(page.transpose(turn), lines)), None)
    if turn or page.size != lines.size:
        return Fault("line-art-changed", turn or _resized(page.size, lines.size))
    at, several = _differing(page, lines)
    differ = f"{_pixels(several)} differ{'s' * (several == 1)}"
    return Fault("line-art-changed", f"is not the line art that was given: {differ}", at)


def _known_again(page: Image.Image, known: Known | None) -> Fault | None:
    """The same where the line art is not at hand: where it differs is told to the nearest `STEP` px."""
    if known is None:
        return None
    own = known_of(page)
    if own.sha256 == known.sha256:
        return None
    turn = next((words for turn, words in _turns() if known_of(page.transpose(turn)).sha256 == known.sha256), None)
    if turn or page.size != known.px:
        return Fault("line-art-changed", turn or _resized(page.size, known.px))
    at = tuple(
        next((n * STEP for n, (a, b) in enumerate(zip(mine, theirs, strict=False)) if a != b), 0)
        for mine, theirs in ((own.columns, known.columns), (own.rows, known.rows))
    )
    return Fault("line-art-changed", f"is not the line art that was given: it differs within {STEP} px of this place",
                 (at[0], at[1]))  # fmt: skip


def _turns() -> Iterator[tuple[Image.Transpose, str]]:
    """What turns a picture back, and what it is then."""
    from PIL.Image import Transpose

    yield Transpose.ROTATE_180, "is upside down"
    yield Transpose.FLIP_LEFT_RIGHT, "is turned over, left for right"
    yield Transpose.ROTATE_90, "lies on its side"
    yield Transpose.ROTATE_270, "lies on its side"


def _resized(size: tuple[int, int], was: tuple[int, int]) -> str:
    return f"measures {size[0]} x {size[1]} px; given were {was[0]} x {was[1]} px"


def _differing(page: Image.Image, lines: Image.Image) -> tuple[tuple[int, int], int]:
    """The first pixel that differs in reading order, and how many do."""
    import numpy as np

    at, several = -1, 0
    for one, other in zip(bands(page.convert("RGB")), bands(lines.convert("RGB")), strict=True):
        off = np.flatnonzero(one.colours != other.colours)
        if len(off) and at < 0:
            at = int(off[0]) + one.top * page.width
        several += len(off)
    y, x = divmod(at, page.width)
    return (x, y), several


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
        yield Fault("return-mode", f"is in {MODES[seen.mode]}; asked was {MODES[wanted.mode]}")
    elif wanted.depth is not None and seen.depth != wanted.depth and seen.mode != "indexed":
        yield Fault("return-mode", f"has {seen.depth} bits a channel; asked were {wanted.depth}")
    if seen.frames > 1:
        yield Fault("return-mode", f"holds {seen.frames} pictures in one file; asked was the page alone")


def _kind(seen: Look) -> str:
    if seen.mode != "indexed":
        return seen.mode
    return "1" if seen.depth == 1 else "rgb"
