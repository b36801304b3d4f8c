"""What a picture that is handed out will be known again by when it comes back."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ledger.model.lending import STEP, Known
from ledger.pictures.assistants import PIXELS_A_SECOND, SECONDS, allow
from ledger.pictures.decode import Unreadable, decode, digest_of, look

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image


def known(data: bytes) -> Known:
    """What a picture is known by, from one decoding. Raises Unreadable."""
    size = look(data).size
    allow(SECONDS + size[0] * size[1] // PIXELS_A_SECOND)
    return known_of(decode(data))


def known_or_why(data: bytes) -> Known | str:
    """The same, or why the picture can't be read: a job for an assistant."""
    try:
        return known(data)
    except Unreadable as fault:
        return fault.reason


def known_of(image: Image.Image) -> Known:
    """The same of a picture already decoded (mode "L" or "RGB", as `decode` gives it)."""
    rows, columns = _sums(image)
    return Known(image.size, digest_of(image), rows, columns)


def _sums(image: Image.Image) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sums of every `STEP` px from the top and from the left.

    What is grey counts as grey, piece by piece: a coloured spot in one place changes no sum but those of its place.
    """
    rows: list[int] = []
    columns = [0] * -(-image.width // STEP)
    for strip in _strips(image):
        grey = strip.ndim == 2
        tones = strip if grey else _as_grey(strip)
        rows.append(zlib.crc32(tones.tobytes()))
        for at in range(len(columns)):
            piece = tones[:, at * STEP : (at + 1) * STEP]
            piece = piece if piece.ndim == 2 else _as_grey(piece)
            columns[at] = zlib.crc32(piece.tobytes(), columns[at])
    return tuple(f"{each:08x}" for each in rows), tuple(f"{each:08x}" for each in columns)


def _strips(image: Image.Image) -> Iterator[NDArray[Any]]:
    import numpy as np

    for top in range(0, image.height, STEP):
        yield np.asarray(image.crop((0, top, image.width, min(top + STEP, image.height))))


def _as_grey(tones: NDArray[Any]) -> NDArray[Any]:
    """One channel where all three agree, else all of them."""
    first = tones[:, :, 0]
    same = (first == tones[:, :, 1]).all() and (first == tones[:, :, 2]).all()
    return first if same else tones
