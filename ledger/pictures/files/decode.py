"""A page's picture from its bytes: its header, its pixels on white paper, and a digest of what is seen.

Two files show the same picture when every pixel is the same once both are decoded at 8 bits a channel, laid on white
paper and turned as their rotation tag says. Depth, mode, compression, profiles and comments make no difference.
"""

from __future__ import annotations

import hashlib
import io
import os
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.pictures.files.header import MOST_PIXELS, Look, Unreadable, guard, turned, why_no_picture
from ledger.pictures.files.png_chunks import SIGNATURE, bare, check_pixels, look_png, read_chunks
from ledger.pictures.files.profiles import as_meant, unpacked
from ledger.pictures.files.tiff_tags import black_is_zero, exif_rotation, is_tiff, look_tiff

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["Look", "Unreadable", "blank_digest", "decode", "decode_with_alpha", "digest", "look", "same_picture",
           "verify"]  # fmt: skip

#: How the formats begin that are opened besides PNG and TIFF; none starts another program or reads another file.
_BEGINNINGS = ((b"\xff\xd8\xff", "JPEG"), (b"GIF8", "GIF"), (b"BM", "BMP"), (b"RIFF", "WEBP"),
               (b"P4", "PPM"), (b"P5", "PPM"), (b"P6", "PPM"))  # fmt: skip
_MODES = {"1": "1", "L": "grey", "LA": "grey", "I;16": "grey", "I": "grey", "F": "grey", "P": "indexed",
          "CMYK": "cmyk"}  # fmt: skip
#: A TIFF whose tags were found sound can still hold pixels in a way that few programs read.
_NOT_OPENED = {"TIFF": "it is damaged, or a kind of TIFF that is not read here; export it with 8 bits as TIFF or PNG"}
_COLOURS_UNREAD = "its colours ({}) can't be read; export it as grey, RGB or CMYK"
#: Rows of a picture that are held at once, as pixels.
_BAND = 1 << 20


def look(data: bytes) -> Look:
    """Size, mode and resolution from the header alone. Raises Unreadable.

    Half a PNG or TIFF is found out here; whether the pixels can be unpacked only `verify` tells.
    """
    if data.startswith(SIGNATURE):
        return look_png(data)
    if is_tiff(data):
        return look_tiff(data)
    with _opened(data, _format_of(data)) as image:
        rotation = exif_rotation(image.info.get("exif", b""))
        seen = turned(*image.size, rotation)
        return Look(
            *seen, _MODES.get(image.mode, "rgb"), _ppi(image), "JPEG" if image.format == "MPO" else image.format or "",
            getattr(image, "n_frames", 1), 1 if image.mode == "1" else 8, image.has_transparency_data, rotation,
        )  # fmt: skip


def _format_of(data: bytes) -> str:
    """The format by its first bytes, whatever the file is called. Raises Unreadable."""
    for begins, name in _BEGINNINGS:
        if data.startswith(begins):
            return name
    raise Unreadable(why_no_picture(data))


def _ppi(image: Image.Image) -> tuple[float, float] | None:
    """The resolution the file states; a JPEG without a unit states the shape of a pixel only."""
    if image.format in ("JPEG", "MPO") and image.info.get("jfif_unit", 1) == 0:
        return None
    stated = image.info.get("dpi")
    try:
        across, down = (float(value) for value in stated or ())
    except (TypeError, ValueError):
        return None
    return (across, down) if across > 0 and down > 0 else None


def verify(data: bytes) -> Look:
    """The header, after making sure that every pixel can be unpacked. Raises Unreadable."""
    seen = look(data)
    if seen.format == "PNG":
        check_pixels(read_chunks(data))
    else:
        decode(data)
    return seen


def decode(data: bytes) -> Image.Image:
    """The picture as seen: mode "L" or "RGB", 8 bits, on white paper, upright, the first of several.

    Raises Unreadable.
    """
    seen = look(data)
    image = _loaded(data, seen)
    try:
        return _upright(_on_paper(image), 1 if seen.format == "TIFF" else seen.orientation)
    except (ValueError, OSError) as fault:
        raise Unreadable(_COLOURS_UNREAD.format(image.mode)) from fault


def decode_with_alpha(data: bytes) -> tuple[Image.Image, Image.Image | None]:
    """The same, and how opaque each pixel is ("L", 255 being opaque); None where all are. Raises Unreadable."""
    seen = look(data)
    image = _loaded(data, seen)
    orientation = 1 if seen.format == "TIFF" else seen.orientation
    try:
        alpha = _alpha(image)
        return _upright(_on_paper(image), orientation), alpha and _upright(alpha, orientation)
    except (ValueError, OSError) as fault:
        raise Unreadable(_COLOURS_UNREAD.format(image.mode)) from fault


def _alpha(image: Image.Image) -> Image.Image | None:
    if not image.has_transparency_data:
        return None
    alpha = (image if image.mode in ("LA", "RGBA") else image.convert("RGBA")).getchannel("A")
    return None if alpha.getextrema() == (255, 255) else alpha


def inks(data: bytes) -> Image.Image:
    """The four inks of a picture in CMYK, 255 being full ink, as the file has them: not turned, no profile applied.

    Raises Unreadable, also for a picture that is not in CMYK.
    """
    seen = look(data)
    if seen.mode != "cmyk":
        raise Unreadable("it is not in CMYK")
    image = _loaded(data, seen)
    # A JPEG with Adobe's marker stores the inks turned over; without it they stand as they are, and opening the file
    # has turned them over for nothing.
    return image.point(lambda tone: 255 - tone) if seen.format == "JPEG" and "adobe" not in image.info else image


def _loaded(data: bytes, seen: Look) -> Image.Image:
    if seen.format == "PNG":
        chunks = read_chunks(data)
        image = _pixels(_opened(bare(chunks), "PNG"))
        if _ends_in_nothing(image):
            check_pixels(chunks)
        return as_meant(image, unpacked(chunks.profile))
    if seen.format == "TIFF":
        turned_over = black_is_zero(data) if seen.depth == 16 else None
        image = _pixels(_opened(turned_over or data, "TIFF"))
        return _negative(_on_paper(image)) if turned_over else as_meant(image, image.info.get("icc_profile"))
    image = _pixels(_opened(data, _format_of(data)))
    return as_meant(image, image.info.get("icc_profile"))


def _ends_in_nothing(image: Image.Image) -> bool:
    """Whether one of the last two rows is all zero, as rows are that the decoder never got and does not miss."""
    rows = [image.crop((0, top, image.width, top + 1)) for top in range(max(0, image.height - 2), image.height)]
    return not all(any(row.tobytes()) for row in rows)


def _negative(image: Image.Image) -> Image.Image:
    return image.point(lambda tone: 255 - tone)


def _opened(data: bytes, form: str) -> Image.Image:
    """The picture with its header read and its size found sound. Raises Unreadable."""
    from PIL import Image

    if form in ("TIFF", "WEBP"):
        from PIL import TiffImagePlugin, WebPImagePlugin  # noqa: F401  (saves loading every format there is)

    # The library's own limit would refuse a spread at 1200 ppi; the guard below asks before anything is decoded.
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    with _quietly():
        try:
            image = Image.open(io.BytesIO(data), formats=(form,))
        except Exception as fault:  # what a decoder raises on foreign bytes is anybody's guess
            raise Unreadable(_NOT_OPENED.get(form, "it is cut short or damaged")) from fault
    guard(*image.size)
    return image


@contextmanager
def _quietly() -> Iterator[None]:
    """Keeps what decoders say of broken files off the terminal: the finding says it in words of our own.

    The TIFF library writes straight to the standard error stream, past Python, so the stream itself is set aside.
    """
    import logging

    logging.getLogger("PIL").setLevel(logging.CRITICAL + 1)
    sys.stderr.flush()
    try:
        aside = os.dup(2)
    except OSError:
        yield
        return
    try:
        with Path(os.devnull).open("wb") as nowhere, warnings.catch_warnings():
            os.dup2(nowhere.fileno(), 2)
            warnings.simplefilter("ignore")
            yield
    finally:
        os.dup2(aside, 2)
        os.close(aside)


def _pixels(image: Image.Image) -> Image.Image:
    with _quietly():
        try:
            image.load()
        except MemoryError as fault:
            raise Unreadable("it is too large for this machine's memory") from fault
        except Exception as fault:  # what a decoder raises on foreign bytes is anybody's guess
            raise Unreadable("it is cut short or damaged") from fault
    return image


def _on_paper(image: Image.Image) -> Image.Image:
    """Mode "L" or "RGB", 8 bits, what is transparent shown white."""
    if image.mode.startswith("I;16"):
        return _from_sixteen(image)
    if image.mode in ("I", "F"):
        return _from_numbers(image)
    if image.has_transparency_data:
        return _flat(image)
    return image if image.mode in ("L", "RGB") else image.convert("L" if image.mode in ("1", "LA") else "RGB")


def _flat(image: Image.Image) -> Image.Image:
    from PIL import Image

    whole = image if image.mode in ("LA", "RGBA") else image.convert("RGBA")
    mode = "L" if whole.mode == "LA" else "RGB"
    alpha = whole.getchannel("A")
    if alpha.histogram()[255] == alpha.width * alpha.height:
        return whole.convert(mode)
    paper = Image.new(mode, whole.size, "white")
    paper.paste(whole.convert(mode), mask=alpha)
    return paper


def _from_sixteen(image: Image.Image) -> Image.Image:
    """The high byte of every 16-bit tone: 8-bit tones widened to 16 in either usual way come back exactly."""
    from PIL import Image

    raw = image.tobytes()
    grey = Image.frombytes("L", image.size, raw[0 if image.mode.endswith("B") else 1 :: 2])
    key = image.info.get("transparency")
    if isinstance(key, int):
        wide = key.to_bytes(2, "big" if image.mode.endswith("B") else "little")
        mask = bytes(255 * (raw[n : n + 2] == wide) for n in range(0, len(raw), 2))
        grey.paste(255, mask=Image.frombytes("L", image.size, mask))
    return grey


def _from_numbers(image: Image.Image) -> Image.Image:
    """Whole numbers are 16-bit tones, fractions run from 0 to 1 (or to 255 where they go beyond 1)."""
    import numpy as np
    from PIL import Image

    tones = np.nan_to_num(np.asarray(image).astype(np.float64))
    if image.mode == "I":
        tones = np.floor(tones / 256)
    elif tones.max() <= 1.0:
        tones = np.rint(tones * 255)
    return Image.fromarray(np.clip(tones, 0, 255).astype(np.uint8))


def _upright(image: Image.Image, orientation: int) -> Image.Image:
    from PIL.Image import Transpose

    turns = (Transpose.FLIP_LEFT_RIGHT, Transpose.ROTATE_180, Transpose.FLIP_TOP_BOTTOM, Transpose.TRANSPOSE,
             Transpose.ROTATE_270, Transpose.TRANSVERSE, Transpose.ROTATE_90)  # fmt: skip
    return image if orientation == 1 else image.transpose(turns[orientation - 2])


def digest(data: bytes) -> str:
    """SHA-256 in hex of the picture as seen; equal for every file that shows the same pixels. Raises Unreadable."""
    return digest_of(decode(data))


def digest_of(image: Image.Image) -> str:
    """The same of a picture already decoded. One all of whose pixels are grey counts as grey, whatever its mode."""
    grey = _summed(image, "grey")
    return grey if grey is not None else _summed(image, "colour") or ""


def _summed(image: Image.Image, kind: str) -> str | None:
    """The digest band by band; None where a grey one was asked for and there is colour."""
    total = hashlib.sha256(_begins(image.width, image.height, kind))
    for band in _bands(image):
        planes = [plane.tobytes() for plane in band.split()]
        if kind == "colour":
            for plane in planes:
                total.update(plane)
        elif any(plane != planes[0] for plane in planes[1:]):
            return None
        else:
            total.update(planes[0])
    return total.hexdigest()


def _begins(width: int, height: int, kind: str) -> bytes:
    return f"{width} x {height} px, {kind}\n".encode()


def _bands(image: Image.Image) -> Iterator[Image.Image]:
    step = max(1, _BAND // image.width)
    for top in range(0, image.height, step):
        yield image.crop((0, top, image.width, min(top + step, image.height)))


def blank_digest(width: int, height: int) -> str:
    """The digest of white paper of this size in px: an empty page is nobody's double."""
    total = hashlib.sha256(_begins(width, height, "grey"))
    row = b"\xff" * width
    for _ in range(height):
        total.update(row)
    return total.hexdigest()


def same_picture(a: bytes, b: bytes) -> bool:
    """Whether two files show exactly the same pixels. Raises Unreadable where either can't be read."""
    if a == b:
        verify(a)
        return True
    return look(a).size == look(b).size and digest(a) == digest(b)
