"""The pictures that the pages of a PDF carry, as they lie there."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from ledger.model.errors import Refusal
from ledger.read.marginalia.pdf_sheets import PdfSheet, read_sheets
from tests.marked_pdf import MarkedFile

UPRIGHT = (False, False, False)


def known(data: bytes) -> tuple[str, str]:
    """The tones of the corners, from the upper left in rows."""
    with Image.open(BytesIO(data)) as page:
        spots = [(0, 0), (page.width - 1, 0), (0, page.height - 1), (page.width - 1, page.height - 1)]
        return "picture", " ".join(str(page.convert("L").getpixel(spot)) for spot in spots)


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    page = Image.new("L", (4, 6), 255)
    for spot, tone in (((0, 0), 10), ((3, 0), 20), ((0, 5), 30), ((3, 5), 40)):
        page.putpixel(spot, tone)
    page.save(tmp_path / "page.png")
    return tmp_path / "page.png"


def test_pages_with_a_picture_with_words_and_with_nothing(picture: Path) -> None:
    made = MarkedFile()
    made.page(picture)
    made.page(words="Proof")
    made.page()
    made.page(picture, place="60 0 0 90 0 0")
    assert read_sheets("p.pdf", made.bytes(), known) == [
        PdfSheet(1, "picture", "10 20 30 40"), PdfSheet(2, "", ""), PdfSheet(3, "", "", True), PdfSheet(4, "", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(("place", "turn", "lies"), [
    ("500 0 0 750 0 0", 0, UPRIGHT), ("500 0 0 -750 0 750", 0, (False, False, True)),
    ("-500 0 0 750 500 0", 0, (False, True, False)), ("-500 0 0 -750 500 750", 0, (False, True, True)),
    ("500 0 0 750 0 0", 180, (False, True, True)), ("0 750 -500 0 500 0", 90, UPRIGHT),
    ("0 -750 500 0 0 750", 0, (True, True, False)), ("0 750 -500 0 500 0", 0, (True, False, True)),
])  # fmt: skip
def test_how_a_picture_lies_on_its_page(picture: Path, place: str, turn: int, lies: tuple[bool, bool, bool]) -> None:
    made = MarkedFile()
    made.page(picture, place=place, turn=turn)
    assert read_sheets("p.pdf", made.bytes(), known) == [PdfSheet(1, "picture", "10 20 30 40", False, lies)]


def test_a_picture_that_can_not_be_looked_at(picture: Path) -> None:
    made = MarkedFile()
    made.page(picture)

    def broken(data: bytes) -> tuple[str, str]:
        raise ValueError(len(data))

    assert read_sheets("p.pdf", made.bytes(), broken) == [PdfSheet(1, "?", "")]


def test_what_is_no_pdf_is_refused(picture: Path) -> None:
    made = MarkedFile()
    made.page(picture)
    for data, why in ((b"words", "damaged"), (made.bytes()[:200], "damaged"), (made.encrypted(), "encrypted")):
        with pytest.raises(Refusal, match=why):
            read_sheets("p.pdf", data, known)
