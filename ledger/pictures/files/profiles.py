"""The colours a file means: an embedded profile is applied, so that two files that look alike are compared alike.

Only colour (RGB and CMYK) is turned into sRGB, by relative colorimetry with black point compensation, as viewers show
it; greys and lines are left as they are, since they are printed as they are. A profile that can't be read is none.
"""

from __future__ import annotations

import io
import zlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image

#: No profile of a printing process is larger, in bytes.
_LARGEST = 8_000_000


def unpacked(chunk: bytes | None) -> bytes | None:
    """The profile in a PNG's iCCP chunk (W3C PNG Specification, 11.3.2.3); None for a broken one."""
    _, _, packed = (chunk or b"").partition(b"\0")
    if packed[:1] != b"\0":
        return None
    try:
        return zlib.decompressobj().decompress(packed[1:], _LARGEST) or None
    except zlib.error:
        return None


def as_meant(image: Image.Image, profile: bytes | None) -> Image.Image:
    """The picture in sRGB."""
    if not profile or len(profile) > _LARGEST:
        return image
    if image.mode in ("P", "PA"):
        image = image.convert("RGBA" if image.has_transparency_data else "RGB")
    # Bytes 16 to 20 of a profile say what it is for (ICC.1, 7.2.6).
    if (image.mode, profile[16:20]) not in (("RGB", b"RGB "), ("RGBA", b"RGB "), ("CMYK", b"CMYK")):
        return image
    from PIL import ImageCms

    try:
        embedded = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if "sRGB" in str(getattr(getattr(embedded, "profile", None), "profile_description", "")):
            return image
        meant = ImageCms.profileToProfile(
            image, embedded, ImageCms.createProfile("sRGB"), ImageCms.Intent.RELATIVE_COLORIMETRIC,
            "RGB" if image.mode == "CMYK" else image.mode, flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )  # fmt: skip
    except (OSError, ValueError, TypeError, ImageCms.PyCMSError):
        return image
    return meant or image
