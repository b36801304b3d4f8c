"""The chunks of a PNG file (W3C PNG Specification, 3rd edition), read without decoding a pixel.

Only what the pixels need is believed and handed to the decoder: a broken profile, comment or date never makes a
page unreadable.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from ledger.pictures.files.header import Look, Unreadable, guard, turned
from ledger.pictures.files.tiff_tags import exif_rotation

SIGNATURE = b"\x89PNG\r\n\x1a\n"
#: Colour type -> (mode, channels, depths allowed, alpha channel), PNG specification, table 11.1.
_COLOURS: dict[int, tuple[str, int, tuple[int, ...], bool]] = {
    0: ("grey", 1, (1, 2, 4, 8, 16), False),
    2: ("rgb", 3, (8, 16), False),
    3: ("indexed", 1, (1, 2, 4, 8), False),
    4: ("grey", 2, (8, 16), True),
    6: ("rgb", 4, (8, 16), True),
}
#: First column and row, then steps, of the seven passes of an interlaced picture (Adam7).
_PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
_INCH = 0.0254
_CUT = "it is cut short"
#: How many bytes of pixels are unpacked at once while looking whether all are there, and from how many packed ones.
_STEP, _FED = 1 << 20, 1 << 16
#: How many are unpacked at once of two files side by side, and by how many packed ones it shows who packed them.
_TOGETHER, _TELLING = 1 << 18, 256


@dataclass
class Chunks:
    """What a PNG holds: the header's fields, and the chunks that the pixels need."""

    width: int
    height: int
    depth: int
    colour: int
    interlaced: bool
    palette: bytes | None = None
    transparency: bytes | None = None
    profile: bytes | None = None
    pixels: list[bytes] = field(default_factory=list)
    ppi: tuple[float, float] | None = None
    rotation: int = 1
    frames: int = 1
    ended: bool = False

    @property
    def rows(self) -> Iterator[tuple[int, int]]:
        """(number of rows, bytes in a row with its filter byte) of each pass."""
        bits = self.depth * _COLOURS[self.colour][1]
        passes = _PASSES if self.interlaced else ((0, 0, 1, 1),)
        for left, top, across, down in passes:
            columns, rows = -(-(self.width - left) // across), -(-(self.height - top) // down)
            if columns > 0 and rows > 0:
                yield rows, 1 + -(-columns * bits // 8)


def look_png(data: bytes) -> Look:
    """The header of a PNG. Raises Unreadable where it is cut short, damaged or of no size."""
    chunks = read_chunks(data)
    if not chunks.ended:
        check_pixels(chunks)
    mode, _, _, alpha = _COLOURS[chunks.colour]
    mode = "1" if mode == "grey" and chunks.depth == 1 else mode
    seen = turned(chunks.width, chunks.height, chunks.rotation)
    return Look(
        *seen, mode, chunks.ppi, "PNG", chunks.frames, chunks.depth,
        alpha or chunks.transparency is not None, chunks.rotation,
    )  # fmt: skip


def read_chunks(data: bytes) -> Chunks:
    """Every chunk that matters. Raises Unreadable where one that the pixels need is damaged or missing."""
    found: Chunks | None = None
    for name, body, sound in _walk(data):
        if found is None:
            found = _header(name, body, sound)
        elif name == b"IEND":
            found.ended = True
        elif name in (b"PLTE", b"IDAT") and not sound:
            raise Unreadable("it is damaged: a checksum in it is wrong")
        elif name == b"IDAT":
            found.pixels.append(body)
        elif sound:
            _beside(found, name, body)
    if found is None or not found.pixels:
        raise Unreadable(_CUT)
    if found.colour == 3 and not found.palette:
        raise Unreadable("it is damaged: its colour table is missing")
    return found


def _walk(data: bytes) -> Iterator[tuple[bytes, bytes, bool]]:
    """Name, bytes and soundness of every chunk up to the end mark; pixels that are cut short are given as they are."""
    at = len(SIGNATURE)
    while at + 8 <= len(data):
        length, name = struct.unpack_from(">I4s", data, at)
        body = data[at + 8 : at + 8 + length]
        check = data[at + 8 + length : at + 12 + length]
        if len(check) < 4:
            if name == b"IDAT":
                yield name, body, True
            return
        yield name, body, zlib.crc32(body, zlib.crc32(name)) == int.from_bytes(check, "big")
        if name == b"IEND":
            return
        at += 12 + length


def _header(name: bytes, body: bytes, sound: bool) -> Chunks:
    if name != b"IHDR" or len(body) != 13 or not sound:
        raise Unreadable("it is damaged: its header is broken")
    width, height, depth, colour, packing, filtering, interlace = struct.unpack(">IIBBBBB", body)
    guard(width, height)
    kind = _COLOURS.get(colour)
    if kind is None or depth not in kind[2] or packing or filtering or interlace > 1:
        raise Unreadable("it is damaged: its header is broken")
    return Chunks(width, height, depth, colour, bool(interlace))


def _beside(chunks: Chunks, name: bytes, body: bytes) -> None:
    """Takes a chunk that is not pixels."""
    if name == b"PLTE":
        chunks.palette = body[: len(body) // 3 * 3]
    elif name == b"tRNS" and chunks.colour in (0, 2, 3):
        chunks.transparency = body
    elif name == b"pHYs" and len(body) == 9:
        across, down, unit = struct.unpack(">IIB", body)
        chunks.ppi = (across * _INCH, down * _INCH) if unit == 1 and across and down else None
    elif name == b"iCCP":
        chunks.profile = body
    elif name == b"eXIf":
        chunks.rotation = exif_rotation(body)
    elif name == b"acTL" and len(body) == 8:
        chunks.frames = max(1, int.from_bytes(body[:4], "big"))


def check_pixels(chunks: Chunks) -> None:
    """Unpacks the pixels without keeping them. Raises Unreadable where not all are there."""
    for _ in _sound(chunks, _STEP):
        pass


def _sound(chunks: Chunks, step: int) -> Iterator[bytes]:
    """The rows as they are packed, piece by piece. Raises Unreadable where they are damaged or not all there."""
    wanted = sum(rows * length for rows, length in chunks.rows)
    stride = 0 if chunks.interlaced else next(chunks.rows)[1]
    got = 0
    try:
        for block in _unpacked(chunks.pixels, wanted, step):
            if stride and max(block[-got % stride :: stride], default=0) > 4:
                raise Unreadable("it is damaged: its pixels can't be unpacked")
            got += len(block)
            yield block
    except zlib.error as fault:
        raise Unreadable("it is damaged: its pixels can't be unpacked") from fault
    if got < wanted:
        raise Unreadable(_CUT)


def only_packed_anew(one: Chunks, other: Chunks) -> bool:
    """Whether two files hold the same rows, packed harder or less hard, which takes half as long as decoding to see.

    Rows and all that says how they are shown are the same then, so every pixel is. False says nothing: the same pixels
    may be filtered otherwise. Raises Unreadable where either is damaged.
    """
    if one.interlaced or _shown_by(one) != _shown_by(other):
        return False
    begins = [b"".join(each.pixels[:_TELLING])[:_TELLING] for each in (one, other)]
    if begins[0] == begins[1]:
        # What begins the same was packed the same way; then the files would be equal if the pixels were.
        return False
    return _equal(_sound(one, _TOGETHER), _sound(other, _TOGETHER))


def _shown_by(chunks: Chunks) -> tuple[object, ...]:
    palette = chunks.palette if chunks.colour == 3 else None
    return (chunks.width, chunks.height, chunks.depth, chunks.colour, chunks.interlaced, chunks.rotation, palette,
            chunks.transparency, chunks.profile)  # fmt: skip


def _equal(one: Iterator[bytes], other: Iterator[bytes]) -> bool:
    """Whether two flows give the same bytes, however they are cut into pieces."""
    a = b = b""
    while True:
        a, b = a or next(one, b""), b or next(other, b"")
        size = min(len(a), len(b))
        if not size:
            return a == b
        if a[:size] != b[:size]:
            return False
        a, b = a[size:], b[size:]


def _unpacked(pieces: list[bytes], wanted: int, step: int) -> Iterator[bytes]:
    unpack = zlib.decompressobj()
    for whole in pieces:
        for start in range(0, len(whole), _FED):
            piece = whole[start : start + _FED]
            while piece and wanted > 0:
                block = unpack.decompress(piece, min(step, wanted))
                piece = unpack.unconsumed_tail
                wanted -= len(block)
                yield block
    if wanted > 0:
        yield unpack.flush()[:wanted]


def eight_as_one(chunks: Chunks) -> bytes | None:
    """An upright picture in black and white as a PNG in grey, each of whose tones is eight pixels, the first highest.

    Rows are packed and filtered byte by byte at both depths (clauses 7.2 and 9.2), so the header alone is another. The
    last tone of a row may reach beyond the edge. None for any other picture, and for one with a profile.
    """
    if (chunks.colour, chunks.depth, chunks.interlaced, chunks.rotation) != (0, 1, False, 1):
        return None
    if chunks.transparency is not None or chunks.profile is not None:
        return None
    return bare(replace(chunks, width=-(-chunks.width // 8), depth=8))


def bare(chunks: Chunks) -> bytes:
    """The same picture as a PNG with nothing beside its pixels, for the decoder."""
    header = struct.pack(
        ">IIBBBBB", chunks.width, chunks.height, chunks.depth, chunks.colour, 0, 0, int(chunks.interlaced)
    )
    parts = [SIGNATURE, *_chunk(b"IHDR", header)]
    if chunks.palette is not None and chunks.colour == 3:
        parts += _chunk(b"PLTE", chunks.palette)
    if chunks.transparency is not None:
        parts += _chunk(b"tRNS", _as_decoded(chunks, chunks.transparency))
    for piece in chunks.pixels:
        parts += _chunk(b"IDAT", piece)
    return b"".join([*parts, *_chunk(b"IEND", b"")])


def _chunk(name: bytes, body: bytes) -> list[bytes]:
    check = zlib.crc32(body, zlib.crc32(name))
    return [struct.pack(">I4s", len(body), name), body, struct.pack(">I", check)]


def _as_decoded(chunks: Chunks, key: bytes) -> bytes:
    """The transparent tone in the depth the decoder gives: it widens 2 and 4 bits to 8 and cuts 16-bit colour to 8."""
    if chunks.colour == 0 and chunks.depth in (2, 4) and len(key) >= 2:
        return struct.pack(">H", int.from_bytes(key[:2], "big") * (85 if chunks.depth == 2 else 17))
    if chunks.colour == 2 and chunks.depth == 16 and len(key) >= 6:
        return struct.pack(">HHH", key[0], key[2], key[4])
    return key
