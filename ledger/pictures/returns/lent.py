"""What a picture that is handed out will be known again by when it comes back."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from ledger.model.lending import STEP, Known
from ledger.pictures.assistants import allow_for
from ledger.pictures.files.decode import Unreadable, decode, look
from ledger.pictures.files.png_chunks import eight_as_one, read_chunks

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL import Image


def known(data: bytes) -> Known:
    """What a picture is known by, from one decoding. Raises Unreadable."""
    seen = look(data)
    allow_for(seen.width * seen.height)
    if seen.mode == "1" and seen.format == "PNG" and (eights := eight_as_one(read_chunks(data))):
        return _summed(seen.size, _strips_of_bits(seen.size, decode(eights)))
    return known_of(decode(data))


def known_or_why(data: bytes) -> Known | str:
    """The same, or why the picture can't be read: a job for an assistant."""
    try:
        return known(data)
    except Unreadable as fault:
        return fault.reason


def known_of(image: Image.Image) -> Known:
    """The same of a picture already decoded (mode "L" or "RGB", as `decode` gives it).

    It is looked at square by square of `STEP` px, each once: the digests of a row of squares make the sum of that row,
    those of a column that of the column, and all of them, with the size, the digest of the whole.
    """
    return _summed(image.size, map(_as_plain, _strips(image)))


def _summed(size: tuple[int, int], strips: Iterable[list[bytes]]) -> Known:
    whole = sha256(f"{size[0]} x {size[1]} px\n".encode())
    rows: list[int] = []
    columns = [0] * -(-size[0] // STEP)
    for squares in strips:
        digests = [sha256(each).digest() for each in squares]
        together = b"".join(digests)
        whole.update(together)
        rows.append(zlib.crc32(together))
        columns = [zlib.crc32(each, so_far) for each, so_far in zip(digests, columns, strict=True)]
    return Known(size, whole.hexdigest(), *(tuple(f"{each:08x}" for each in sums) for sums in (rows, columns)))


def _strips_of_bits(size: tuple[int, int], eights: Image.Image) -> Iterator[list[bytes]]:
    """Strip after strip of a picture in black and white as `_as_plain` gives them; a tone of `eights` is eight px."""
    import numpy as np

    (width, height), across = size, -(-size[0] // STEP)
    rows = np.full((height, across * STEP // 8), 0xFF, np.uint8)
    rows[:, : eights.width] = np.asarray(eights)
    rows[:, eights.width - 1] |= 0xFF >> (width - 1) % 8 + 1  # beyond the edge
    for top in range(0, height, STEP):
        strip = rows[top : top + STEP].reshape(-1, across, STEP // 8).swapaxes(0, 1)
        yield [b"bits" + each.tobytes() for each in strip]


def _strips(image: Image.Image) -> Iterator[NDArray[Any]]:
    """Strip after strip from the top as squares (square, pixels): 8 bits for grey, 32 for colour (red the lowest, the
    highest eight nobody's).

    Squares reach beyond the right edge: there they are white.
    """
    import numpy as np

    colour = image.mode == "RGB"
    kind, white = (np.dtype("<u4"), 0xFFFFFF) if colour else (np.dtype("u1"), 0xFF)
    within, across = image.width // STEP, -(-image.width // STEP)
    for top in range(0, image.height, STEP):
        high = min(STEP, image.height - top)
        raw = image.crop((0, top, image.width, top + high)).tobytes("raw", "RGBX" if colour else "L")
        strip = np.frombuffer(raw, kind).reshape(high, image.width)
        squares = np.full((across, high, STEP), white, kind)
        squares[:within] = strip[:, : within * STEP].reshape(high, within, STEP).swapaxes(0, 1)
        if within < across:
            squares[within, :, : image.width % STEP] = strip[:, within * STEP :]
        yield squares.reshape(across, high * STEP)


def _as_plain(squares: NDArray[Any]) -> list[bytes]:
    """Every square in the plainest form that holds it: one tone, a bit a pixel, a byte (grey), or four (colour).

    So it is the same whatever the mode of its file, and a coloured spot changes no square but its own.
    """
    import numpy as np

    if squares.dtype.itemsize == 1:
        return _as_grey(squares)
    crossed = squares >> np.uint32(8)
    crossed ^= squares
    coloured = np.bitwise_or.reduce(crossed, axis=1) & np.uint32(0xFFFF) > 0
    grey = iter(_as_grey(squares[~coloured].astype(np.uint8)))
    own = squares[coloured] & np.uint32(0xFFFFFF)  # the fourth byte is nobody's
    one = (own == own[:, :1]).all(axis=1)
    colour = (b"one" + own[n, :1].tobytes() if one[n] else b"colour" + own[n].tobytes() for n in range(len(own)))
    return [next(colour) if each else next(grey) for each in coloured]


def _as_grey(squares: NDArray[Any]) -> list[bytes]:
    """The same of squares without colour; black is 0 and white 255, what lies between is a tone."""
    import numpy as np

    if not len(squares):
        return []
    plain = (squares + np.uint8(1)).max(axis=1) <= 1
    bits = np.packbits(squares, axis=1)
    return [b"bits" + bits[n].tobytes() if plain[n] else b"grey" + squares[n].tobytes() for n in range(len(squares))]
