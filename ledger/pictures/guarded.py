"""What other rooms ask about pictures of strangers: an assistant unpacks them, bounded in time and memory.

A file that breaks what unpacks it, floods it or holds it up is `Unreadable` here, and nothing else comes to harm. The
functions are those of the modules that do the work, under the same names. Each raises Unreadable.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from ledger.pictures.assistants import Broken, allow_for, one
from ledger.pictures.files.header import Look, Unreadable
from ledger.pictures.files.png_chunks import SIGNATURE, look_png
from ledger.pictures.files.tiff_tags import is_tiff, look_tiff

if TYPE_CHECKING:
    from ledger.model.plate import Shown
    from ledger.pictures.files.ink import Heaviest
    from ledger.pictures.plates import Frame
    from ledger.pictures.returns.known_again import Small
    from ledger.pictures.verdicts import Mark, Verdict


def look(data: bytes) -> Look:
    """Size, mode and resolution from the header alone; no library reads those of PNG and TIFF."""
    if data.startswith(SIGNATURE):
        return look_png(data)
    if is_tiff(data):
        return look_tiff(data)
    from ledger.pictures.files import decode

    found: Look = _guarded(decode.look, (data,))
    return found


def verify(data: bytes) -> Look:
    """The header, after making sure that every pixel can be unpacked."""
    from ledger.pictures.files import decode

    found: Look = _guarded(decode.verify, (data,))
    return found


def digest(data: bytes) -> str:
    """SHA-256 in hex of the picture as seen."""
    from ledger.pictures.files import decode

    found: str = _guarded(decode.digest, (data,))
    return found


def became(old: bytes, new: bytes, *, rtl: bool = False) -> Verdict:
    """What became of a picture."""
    from ledger.pictures.rounds import pair

    found: Verdict = _guarded(pair.became, (old, new), rtl=rtl)
    return found


def mark(data: bytes) -> Mark | None:
    """What a page is known again by; None where it can't be read."""
    from ledger.pictures import looking

    try:
        found: Mark | None = _guarded(looking.mark, (data,))
    except Unreadable:
        return None
    return found


def small(data: bytes) -> Small:
    """A page brought down to the small picture that it is known again by."""
    from ledger.pictures.returns import known_again

    found: Small = _guarded(known_again.small, (data,))
    return found


def heaviest_ink(data: bytes, limit: float) -> Heaviest:
    """The heaviest spot of a page in CMYK; `limit` is in per cent."""
    from ledger.pictures.files import ink

    found: Heaviest = _guarded(ink.heaviest_ink, (data,), limit)
    return found


def plate(data: bytes, frames: Sequence[Frame], side: int, most: int, **how: float) -> Shown:
    """A page as WebP with frames."""
    from ledger.pictures import plates

    found: Shown = _guarded(plates.plate, (data,), frames, side, most, **how)
    return found


def difference(old: bytes, new: bytes, frames: Sequence[Frame], on_old: Sequence[Frame]) -> bytes:
    """Old, both in one, and new side by side as PNG."""
    from ledger.pictures import plates

    found: bytes = _guarded(plates.difference, (old, new), frames, on_old)
    return found


def leaf(data: bytes, share: int, first: int = 0) -> tuple[Shown, int]:
    """A page of a packet, and the step of coarseness to begin the next one with."""
    from ledger.pictures import leaves

    found: tuple[Shown, int] = _guarded(leaves.leaf, (data,), share, first)
    return found


def _guarded(work: Callable[..., Any], pictures: tuple[bytes, ...], *facts: Any, **named: Any) -> Any:
    """What an assistant says; raises Unreadable also where it broke."""
    try:
        answer = one(_at_length, work, pictures, facts, named)
    except MemoryError as fault:
        raise Unreadable("it is too large for this machine's memory") from fault
    if isinstance(answer, Broken):
        raise Unreadable(answer.why)
    return answer


def _at_length(
    work: Callable[..., Any], pictures: tuple[bytes, ...], facts: tuple[Any, ...], named: dict[str, Any]
) -> Any:
    """Does the work in an assistant; large pictures may take longer."""
    from ledger.pictures.files import decode

    sizes = [decode.look(data).size for data in pictures]
    allow_for(sum(wide * high for wide, high in sizes))
    return work(*pictures, *facts, **named)
