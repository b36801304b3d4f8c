"""The tags of a TIFF file (TIFF Revision 6.0, 1992), read without decoding a pixel; also those of EXIF."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import Any

from ledger.pictures.files.header import Look, Unreadable, guard, turned

WIDTH, HEIGHT, BITS, PHOTOMETRIC, ORIENTATION, SAMPLES = 256, 257, 258, 262, 274, 277
STRIP_OFFSETS, STRIP_BYTES, TILE_OFFSETS, TILE_BYTES = 273, 279, 324, 325
X_RESOLUTION, Y_RESOLUTION, UNIT, EXTRA_SAMPLES = 282, 283, 296, 338

#: Type number -> its letter for `struct`; a rational is two longs (TIFF 6.0, p. 15).
_LETTERS = {1: "B", 2: "B", 3: "H", 4: "I", 5: "II", 6: "b", 7: "B", 8: "h", 9: "i", 10: "ii", 11: "f", 12: "d"}
_MODES = {2: "rgb", 3: "indexed", 5: "cmyk", 6: "rgb", 8: "lab"}
#: Inches in a resolution unit: 2 is the inch, also where no unit is stated, 3 the centimetre; 1 is none (p. 18).
_UNITS = {2: 1.0, 3: 2.54}
#: No tag of one page holds more values than this, no file more pages.
_MOST_VALUES, _MOST_FRAMES = 1_000_000, 10_000

Tags = Mapping[int, tuple[Any, ...]]


def is_tiff(data: bytes) -> bool:
    """Whether bytes begin as TIFF does, BigTIFF included."""
    return data[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")


def look_tiff(data: bytes) -> Look:
    """The first page of a TIFF. Raises Unreadable where the file is cut short, BigTIFF, or of no size."""
    if data[2:4] in (b"+\0", b"\0+"):
        raise Unreadable("it is a BigTIFF; export it as plain TIFF")
    tags, following = read_tags(data, _word(data, 4))
    if not tags.get(WIDTH) or not tags.get(HEIGHT):
        raise Unreadable("it is a TIFF that states no size")
    width, height = int(tags[WIDTH][0]), int(tags[HEIGHT][0])
    guard(width, height)
    _whole(data, tags)
    orientation = rotation_of(tags)
    depth, samples = _first(tags, BITS, 1), _first(tags, SAMPLES, 1)
    seen = turned(width, height, orientation)
    return Look(
        *seen, _mode(tags, depth, samples), ppi_of(tags), "TIFF", 1 + _count(data, following), depth,
        bool(set(tags.get(EXTRA_SAMPLES, ())) & {1, 2}), orientation,
    )  # fmt: skip


def read_tags(data: bytes, offset: int) -> tuple[Tags, int]:
    """The tags at an offset, and the offset of the next set (0 for none). Raises Unreadable where they are cut."""
    order = "<" if data[:2] == b"II" else ">"
    try:
        (count,) = struct.unpack_from(order + "H", data, offset)
        tags = dict(_tag(data, order, offset + 2 + 12 * n) for n in range(count))
        after = offset + 2 + 12 * count
        following = struct.unpack_from(order + "I", data, after)[0] if after + 4 <= len(data) else 0
    except struct.error as fault:
        raise Unreadable("it is cut short or damaged") from fault
    return tags, following


def _tag(data: bytes, order: str, at: int) -> tuple[int, tuple[Any, ...]]:
    number, kind, count = struct.unpack_from(order + "HHI", data, at)
    letter = _LETTERS.get(kind)
    if letter is None or count > _MOST_VALUES:
        return number, ()
    form = f"{order}{count}{letter}" if len(letter) == 1 else order + letter * count
    size = struct.calcsize(form)
    place = at + 8 if size <= 4 else struct.unpack_from(order + "I", data, at + 8)[0]
    needed = number in (BITS, STRIP_OFFSETS, STRIP_BYTES, TILE_OFFSETS, TILE_BYTES)
    if place + size > len(data) and not needed:
        return number, ()
    values = struct.unpack_from(form, data, place)
    if len(letter) == 2:
        values = tuple(a / b if b else 0.0 for a, b in zip(values[::2], values[1::2], strict=True))
    return number, values


def black_is_zero(data: bytes) -> bytes | None:
    """A 16-bit WhiteIsZero page called BlackIsZero, for a decoder that knows only that; None for any other page."""
    order, first = ("<" if data[:2] == b"II" else ">"), _word(data, 4)
    tags, _ = read_tags(data, first)
    if _first(tags, PHOTOMETRIC, 1) != 0 or _first(tags, BITS, 1) != 16:
        return None
    (count,) = struct.unpack_from(order + "H", data, first)
    for at in range(first + 2, first + 2 + 12 * count, 12):
        if struct.unpack_from(order + "HHI", data, at) == (PHOTOMETRIC, 3, 1):
            return data[: at + 8] + struct.pack(order + "H", 1) + data[at + 10 :]
    return None


def _word(data: bytes, at: int) -> int:
    if len(data) < at + 4:
        raise Unreadable("it is cut short")
    return int.from_bytes(data[at : at + 4], "little" if data[:2] == b"II" else "big")


def _first(tags: Tags, number: int, default: int) -> int:
    values = tags.get(number)
    return int(values[0]) if values else default


def _whole(data: bytes, tags: Tags) -> None:
    """Raises Unreadable where a strip or tile lies beyond the end of the file."""
    for offsets, counts in ((STRIP_OFFSETS, STRIP_BYTES), (TILE_OFFSETS, TILE_BYTES)):
        starts, sizes = tags.get(offsets, ()), tags.get(counts, ())
        if len(sizes) != len(starts):
            sizes = (1,) * len(starts)
        if any(start + size > len(data) for start, size in zip(starts, sizes, strict=True)):
            raise Unreadable("it is cut short")


def _count(data: bytes, following: int) -> int:
    """How many pages follow the first."""
    seen: set[int] = set()
    order = "little" if data[:2] == b"II" else "big"
    while following and following not in seen and following + 2 <= len(data) and len(seen) < _MOST_FRAMES:
        seen.add(following)
        entries = int.from_bytes(data[following : following + 2], order)  # type: ignore[arg-type]
        after = following + 2 + 12 * entries
        following = int.from_bytes(data[after : after + 4], order)  # type: ignore[arg-type]
    return len(seen)


def _mode(tags: Tags, depth: int, samples: int) -> str:
    default = 2 if samples >= 3 else 1
    mode = _MODES.get(_first(tags, PHOTOMETRIC, default), "grey")
    return "1" if mode == "grey" and depth == 1 and samples == 1 else mode


def ppi_of(tags: Tags) -> tuple[float, float] | None:
    """Pixels per inch across and down; None where they are not stated or only the shape of a pixel is."""
    inches = _UNITS.get(_first(tags, UNIT, 2))
    across, down = tags.get(X_RESOLUTION, ()), tags.get(Y_RESOLUTION, ())
    if inches is None or not across or not down or across[0] <= 0 or down[0] <= 0:
        return None
    return (across[0] * inches, down[0] * inches)


def rotation_of(tags: Tags) -> int:
    """The rotation tag, 1 (upright) to 8; whatever it can't be counts as upright."""
    orientation = _first(tags, ORIENTATION, 1)
    return orientation if 1 <= orientation <= 8 else 1


def exif_rotation(exif: bytes) -> int:
    """The rotation tag of an EXIF block; a broken block counts as upright."""
    exif = exif.removeprefix(b"Exif\0\0")
    if not is_tiff(exif):
        return 1
    try:
        tags, _ = read_tags(exif, _word(exif, 4))
    except Unreadable:
        return 1
    return rotation_of(tags)
