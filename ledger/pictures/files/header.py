"""What a picture says of itself in its header, and what makes a file unreadable."""

from __future__ import annotations

from dataclasses import dataclass

#: Largest picture that is decoded, in pixels. A spread of two A4 pages with bleed at 1200 ppi, the finest
#: line art that printers ask for, has 288 million; whatever is larger is no page but a trap for the decoder.
MOST_PIXELS = 300_000_000

#: Orientation values of the rotation tag that lay the picture on its side (TIFF 6.0, p. 36).
ON_ITS_SIDE = (5, 6, 7, 8)


class Unreadable(Exception):
    """Bytes that are no whole picture. `reason` continues "can't be read as a picture: "."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Look:
    """A picture's header. `width` and `height` are px as seen, the rotation tag applied.

    `mode` is "1" (black and white), "grey", "indexed", "rgb", "cmyk" or "lab", `depth` bits a channel,
    `alpha` whether anything may be transparent. `ppi` is pixels per inch across and down, None where the file
    states none. `frames` counts pictures in the file; the first one is the page.
    """

    width: int
    height: int
    mode: str
    ppi: tuple[float, float] | None
    format: str
    frames: int = 1
    depth: int = 8
    alpha: bool = False
    orientation: int = 1

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in px as seen."""
        return (self.width, self.height)


def guard(width: int, height: int) -> None:
    """Raises Unreadable for a size that no page can have."""
    if width < 1 or height < 1:
        raise Unreadable("it is a picture of zero size")
    if width * height > MOST_PIXELS:
        raise Unreadable(f"it says it is {width} x {height} px, larger than any page")


def turned(width: int, height: int, orientation: int) -> tuple[int, int]:
    """Width and height as seen once the rotation tag is applied."""
    return (height, width) if orientation in ON_ITS_SIDE else (width, height)


#: How files begin that are often put where a page should be, and what they are.
_OTHER_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"version https://git-lfs.github.com/spec/", "it is a large-file pointer, the picture itself is not here"),
    (b"8BPS", "it is a layered working file (PSD); export the page flat"),
    (b"gimp xcf", "it is a layered working file (XCF); export the page flat"),
    (b"PK\x03\x04", "it is a packed working file or an archive; export the page flat"),
    (b"SQLite format 3", "it is a layered working file; export the page flat"),
    (b"%PDF", "it is a PDF; export the page as a picture"),
    (b"%!PS", "it is PostScript; export the page as a picture"),
    (b"<", "it is text or a vector drawing, not a picture of pixels"),
)


def why_no_picture(data: bytes) -> str:
    """The reason for bytes that are in no format pages are exported in."""
    if not data:
        return "the file is empty"
    for begins, reason in _OTHER_KINDS:
        if data.startswith(begins):
            return reason
    return "it is no PNG, TIFF or JPEG, nor another format that pages are exported in"
