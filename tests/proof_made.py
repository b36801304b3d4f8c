"""A book of drawn pages that was delivered, and proofs of it as a printer sends them."""

from __future__ import annotations

import random
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path

from PIL import Image

from tests.bench.pages.draw import draw_page
from tests.bench.pages.plan import make_plan
from tests.marked_pdf import MarkedFile
from tests.typed_book import TypedBook, typed_book

#: Pages of the book, and their size in px.
PAGES, SIZE = 8, (200, 300)


def drawn(seed: int, size: tuple[int, int] = SIZE) -> Image.Image:
    """A page of panels; from seed 100 on one of another book."""
    return draw_page(make_plan("grid", random.Random(seed)), "tones").convert("L").resize(size)


def entered(top: Path) -> TypedBook:
    """A book with pages 1 to 8 of letters entered, not delivered yet."""
    book = typed_book(top)
    book.change("book.toml", "pages = 4", f"pages = {PAGES}")
    book.change("book.toml", "ppi = 25", "ppi = 100")
    book.write("script/01.md", "# Chapter 1\n\nThe tide.\n")
    for number in range(1, PAGES + 1):
        put(book, f"art/letters/p{number:03d}.png", drawn(number))
    book.ledger("save", "-m", "typed")
    book.ledger("enter", "letters", "-m", "lettered")
    return book


def put(book: TypedBook, path: str, page: Image.Image) -> None:
    """A page as an export."""
    kept = BytesIO()
    page.save(kept, "PNG")
    book.write(path, kept.getvalue())


def sheet_of(what: str | int) -> Image.Image:
    """A sheet: of a page by its number, `blank`, `black`, `strange`, `-3` (page 3 upside down), `m3` (mirrored),
    `4+5` (facing pages)."""
    said = str(what)
    if said in ("blank", "black"):
        return Image.new("L", SIZE, 250 if said == "blank" else 4)
    if "+" in said:
        left, right = (sheet_of(each) for each in said.split("+"))
        both = Image.new("L", (left.width * 2, left.height))
        both.paste(left)
        both.paste(right, (left.width, 0))
        return both
    page = drawn(101 if said == "strange" else abs(int(said.removeprefix("m"))))
    if said.startswith("-"):
        page = page.transpose(Image.Transpose.ROTATE_180)
    if said.startswith("m"):
        page = page.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    wide, high = page.size
    return page.crop((wide // 40, high // 50, wide - wide // 40, high - high // 50)).resize((150, 225))


def laid(folder: Path, sheets: Sequence[str | int]) -> Path:
    """A folder of JPEGs in the order given."""
    folder.mkdir(parents=True, exist_ok=True)
    for number, what in enumerate(sheets, 1):
        sheet_of(what).save(folder / f"sheet-{number}.jpg", quality=60)
    return folder


def bound(place: Path, sheets: Sequence[str | int]) -> Path:
    """A PDF of them; `words` is a page with nothing but text, `bare` one with nothing at all, `flipped3` page 3 stored
    from below upwards, as many programs store pictures, and laid upright."""
    made = MarkedFile()
    for what in sheets:
        said = str(what)
        if said in ("words", "bare"):
            made.page(words="Proof" if said == "words" else "")
            continue
        flipped = said.startswith("flipped")
        page = sheet_of(said.removeprefix("flipped"))
        picture = place.with_suffix(".png")
        (page.transpose(Image.Transpose.FLIP_TOP_BOTTOM) if flipped else page).save(picture)
        made.page(picture, place="500 0 0 -750 0 750" if flipped else "500 0 0 750 0 0")
        picture.unlink()
    place.write_bytes(made.bytes())
    return place
