"""What is asked about pictures by their bytes: jobs that an assistant does, with answers of plain values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ledger.pictures.assistants import allow_for
from ledger.pictures.files.decode import Unreadable, decode, digest_of, look
from ledger.pictures.verdicts import Against, Mark, Seen, Verdict

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image

#: Width and height of what a page is known again by.
THUMB = (16, 24)
#: Bytes of a mark: none for white paper.
MARK_SIZES = (0, THUMB[0] * THUMB[1])
#: Correlation of two thumbs from which they may be of one drawing, and how many such pages are looked at.
_RESEMBLES, _MOST_ALIKE = 0.85, 3


def pair(old: bytes, new: bytes, rtl: bool) -> Seen:
    """Two rounds of one page; of both sides it is said where they can't be read."""
    from ledger.pictures.rounds.pair import at_once, brought_down, of_sheets, packed_anew

    if packed_anew(old, new):
        return Seen(Verdict("same"))
    sides, faults = _both(old, new)
    if len(sides) < 2:
        return Seen(None, *faults)
    try:
        marks = [_mark(page) for page in sides]
        told = at_once(*sides)
        if told is None:
            sheets = brought_down(*sides)
            sides.clear()  # the pages take more memory than all that is found out about them
            told = of_sheets(sheets, rtl=rtl)
    except MemoryError:
        return Seen(None, None, "it is too large for this machine's memory")
    return Seen(told, None, None, marks[0], None if told.kind == "same" else marks[1])


def passes(old: bytes, new: bytes, rtl: bool) -> Seen:
    """A page of one pass and the same of another, in which every line differs."""
    from ledger.pictures.rounds.pair import across_passes

    sides, faults = _both(old, new)
    return Seen(across_passes(*sides, rtl=rtl) or Verdict("same")) if len(sides) == 2 else Seen(None, *faults)


def against(agreed: bytes, now: bytes, rtl: bool) -> Against | None:
    """What both show and, where the pixels differ, what became of the picture; None where either can't be read."""
    from ledger.pictures.rounds.pair import verdict

    sides, _ = _both(agreed, now)
    if len(sides) < 2:
        return None
    try:
        then, shown = (digest_of(page) for page in sides)
        return Against(shown, then, None if shown == then else verdict(sides[0], sides[1], rtl=rtl))
    except MemoryError:
        return None


def readable(data: bytes) -> str | None:
    """Why a picture can't be unpacked; None where it can."""
    try:
        _decoded(data)
    except Unreadable as fault:
        return fault.reason
    return None


def mark(data: bytes) -> Mark | None:
    """What a page is known again by; None where it can't be read."""
    try:
        return _mark(_decoded(data))
    except Unreadable:
        return None


def _both(old: bytes, new: bytes) -> tuple[list[Image.Image], tuple[str | None, str | None]]:
    """The pictures that can be read, and why either can't."""
    sides: list[Image.Image] = []
    faults: list[str | None] = []
    for data in (old, new):
        try:
            sides.append(_decoded(data))
            faults.append(None)
        except Unreadable as fault:
            faults.append(fault.reason)
    return sides, (faults[0], faults[1])


def _decoded(data: bytes) -> Image.Image:
    """The picture; a larger one may take longer. Raises Unreadable."""
    wide, high = look(data).size
    allow_for(wide * high)
    return decode(data)


def _mark(page: Image.Image) -> Mark:
    from PIL import Image

    # A pixel in sixteen is enough to be known by, and twenty times as quick.
    few = page.resize((max(1, page.width // 4), max(1, page.height // 4)), Image.Resampling.NEAREST)
    small = few.reduce(max(1, min(few.size) // 64)).convert("L").resize(THUMB)
    return Mark(b"" if min(small.tobytes()) == 255 and _white(page) else small.tobytes())


def _white(page: Image.Image) -> bool:
    """Whether a page is nothing but paper."""
    from PIL import ImageOps

    return ImageOps.invert(page).getbbox() is None


def alike(marks: Sequence[tuple[str, Mark]], asked: Sequence[tuple[str, Mark]]) -> dict[str, list[str]]:
    """Pages that may show what an asked one shows, the likeliest first; never the page of the same label."""
    import numpy as np

    found = {}
    rows = [(label, _tones(each.thumb)) for label, each in marks if each.thumb]
    for label, each in asked:
        if not each.thumb or not rows:
            continue
        near = np.stack([tones for _, tones in rows]) @ _tones(each.thumb) / (THUMB[0] * THUMB[1])
        order = [(rows[n][0], float(near[n])) for n in np.argsort(-near, kind="stable").tolist()]
        found[label] = [other for other, close in order if other != label and close > _RESEMBLES][:_MOST_ALIKE]
    return found


def _tones(thumb: bytes) -> NDArray[Any]:
    """Tones around 0."""
    import numpy as np

    tones = np.frombuffer(thumb, dtype=np.uint8).astype(np.float32)
    return np.asarray((tones - tones.mean()) / max(1.0, float(tones.std())))
