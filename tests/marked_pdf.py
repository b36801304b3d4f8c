"""PDFs with marks as their readers' programs write them, made object by object (ISO 32000-1)."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    StreamObject,
    TextStringObject,
)

#: Units of a page of these files.
WIDTH, HEIGHT = 500, 750


def as_object(value: Any) -> Any:
    """A plain value as an object of the format: `/Name` is a name, any other string is text."""
    if isinstance(value, str):
        return NameObject(value) if value.startswith("/") else TextStringObject(value)
    if isinstance(value, (list, tuple)):
        return ArrayObject([as_object(each) for each in value])
    if isinstance(value, dict) and not isinstance(value, DictionaryObject):
        return DictionaryObject({NameObject(key): as_object(each) for key, each in value.items()})
    if isinstance(value, float):
        return FloatObject(value)
    return NumberObject(value) if isinstance(value, int) else value


class MarkedFile:
    """A PDF in the making; pages count from 0."""

    def __init__(self) -> None:
        self.writer = PdfWriter()

    def page(
        self, picture: Path | None = None, *, words: str = "", place: str = "500 0 0 750 0 0", turn: int = 0,
        kerned: bool = False, matrix: str = "1 0 0 1 50 700",
    ) -> int:  # fmt: skip
        """A page with a picture that fills it, or with words set from its top in 20 units.

        `kerned` sets every row in pieces of two signs with the space between them tightened (9.4.3), `matrix` is that
        of the text (9.4.2).
        """
        page = self.writer.add_blank_page(WIDTH, HEIGHT)
        drawn, resources = b"", {}
        if picture is not None:
            drawn = f"q {place} cm /Im0 Do Q".encode()
            resources = {"/XObject": {"/Im0": self.writer._add_object(_image(Image.open(picture)))}}
        if words:
            rows = " ".join(f"{_kerned(row) if kerned else f'({row}) Tj'} 0 -24 Td" for row in words.split("\n"))
            drawn += f" BT /F0 20 Tf {matrix} Tm {rows} ET".encode()
            resources["/Font"] = {"/F0": {"/Type": "/Font", "/Subtype": "/Type1", "/BaseFont": "/Courier",
                                          "/FirstChar": 32, "/LastChar": 126, "/Widths": [600] * 95}}  # fmt: skip
        stream = DecodedStreamObject()
        stream.set_data(drawn)
        page[NameObject("/Contents")] = self.writer._add_object(stream)
        page[NameObject("/Resources")] = as_object(resources)
        if turn:
            page[NameObject("/Rotate")] = NumberObject(turn)
        return len(self.writer.pages) - 1

    def mark(self, page: int, kind: str, rect: Sequence[float] = (200, 300, 300, 400), **more: Any) -> IndirectObject:
        """An annotation; `more` are its entries, as `Contents="too dark"`."""
        entries = {"/Type": "/Annot", "/Subtype": f"/{kind}", "/Rect": list(map(float, rect))}
        entries |= {f"/{key}": value for key, value in more.items()}
        if kind in ("Highlight", "Underline", "StrikeOut", "Squiggly") and "QuadPoints" not in more:
            left, bottom, right, top = map(float, rect)
            entries["/QuadPoints"] = [left, top, right, top, left, bottom, right, bottom]
        return self.put(page, as_object(entries))

    def put(self, page: int, entry: Any) -> IndirectObject:
        """Puts an object among a page's annotations."""
        made: IndirectObject = self.writer._add_object(entry)
        sheet = self.writer.pages[page]
        listed = sheet.get("/Annots", ArrayObject())
        sheet[NameObject("/Annots")] = ArrayObject([*listed, made])
        return made

    def label(self, page: int, prefix: str) -> None:
        """Labels one page (12.4.2)."""
        self.writer.set_page_label(page, page, prefix=prefix)

    def bytes(self) -> bytes:
        """The file."""
        kept = BytesIO()
        self.writer.write(kept)
        return kept.getvalue()

    def encrypted(self, password: str = "rain", algorithm: str = "RC4-128") -> bytes:
        """The file under a password; with an empty one it opens, and its owner alone may change what is allowed."""
        self.writer.encrypt(password, owner_password="rain", algorithm=algorithm)
        return self.bytes()


class LetteredFile:
    """A PDF of lettered pages: balloons as text at their places, in the order in which they are given."""

    def __init__(self) -> None:
        self.writer = PdfWriter()

    @property
    def count(self) -> int:
        """Sheets so far."""
        return len(self.writer.pages)

    def sheet(self, balloons: Sequence[tuple[float, float, Sequence[str]]], width: float = WIDTH) -> None:
        """A sheet with balloons: left, top (from below, in points) and rows, set in 9 units."""
        page = self.writer.add_blank_page(width, HEIGHT)
        drawn = b""
        for left, top, rows in balloons:
            set_rows = " ".join(f"({_typed(row)}) Tj 0 -10 Td" for row in rows)
            drawn += f" BT /F0 9 Tf {left:.1f} {top:.1f} Td {set_rows} ET".encode("cp1252")
        stream = DecodedStreamObject()
        stream.set_data(drawn)
        page[NameObject("/Contents")] = self.writer._add_object(stream)
        font = {"/Type": "/Font", "/Subtype": "/Type1", "/BaseFont": "/Courier", "/Encoding": "/WinAnsiEncoding",
                "/FirstChar": 32, "/LastChar": 255, "/Widths": [600] * 224}  # fmt: skip
        page[NameObject("/Resources")] = as_object({"/Font": {"/F0": font}})

    def bytes(self) -> bytes:
        """The file."""
        kept = BytesIO()
        self.writer.write(kept)
        return kept.getvalue()


def _kerned(row: str) -> str:
    return f"[{' 40 '.join(f'({row[at : at + 2]})' for at in range(0, len(row), 2))}] TJ"


def _typed(row: str) -> str:
    """A row between the brackets of a string (7.3.4.2)."""
    return row.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")


def _image(picture: Image.Image) -> StreamObject:
    grey = picture.convert("L")
    made = StreamObject()
    made._data = zlib.compress(grey.tobytes())
    made.update(as_object({
        "/Type": "/XObject", "/Subtype": "/Image", "/Width": grey.width, "/Height": grey.height,
        "/ColorSpace": "/DeviceGray", "/BitsPerComponent": 8, "/Filter": "/FlateDecode",
    }))  # fmt: skip
    return made


def pages_in(data: bytes) -> int:
    """How many pages a file has, as its own library counts them."""
    return len(PdfReader(BytesIO(data)).pages)
