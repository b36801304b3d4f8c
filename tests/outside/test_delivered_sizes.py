"""The preflight of `deliver` on published page sizes, through the real command; what was written is read by Pillow.

The sizes and their sources are those of `test_page_sizes`; they are delivered at 300 ppi.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from tests.books import Book
from tests.outside.test_page_sizes import INCH, PAGES, US, white
from tests.schema_check import checked
from tests.typed_book import TypedBook

#: Name -> trim and bleed in mm, the page's label, its size in px with bleed at 300 ppi.
SIZES = {name: (trim, bleed[0], "001", sizes[0]) for name, (trim, bleed, sizes) in PAGES.items()}
# Spreads: twice the trim width, bleed outside alone (arithmetic on the sizes above).
SIZES["US comic, a spread"] = ((6.625 * INCH, 10.187 * INCH), 0.125 * INCH, "001-002", (4050, 3131))
SIZES["the convention's page, a spread"] = ((168.3, 258.8), 3.2, "001-002", (4051, 3132))


def made(top: Path, trim: tuple[float, float], bleed: float, label: str, size: tuple[int, int]) -> TypedBook:
    """A book of this page size with one export in it, committed by git alone."""
    toml = (
        f'[book]\ntitle = "The Ninth Supper"\npages = {2 if "-" in label else 1}\n[page]\n'
        f"trim_mm = [{trim[0]:.6f}, {trim[1]:.6f}]\nbleed_mm = {bleed:.6f}\nppi = 300\n"
        '[[pass]]\nname = "inks"\nkind = "art"\nfiles = "art/inks/p{page}.png"\nmode = "1"\n'
    )
    Book.new(top, {"book.toml": toml, f"art/inks/p{label}.png": white(size)})
    return TypedBook(top)


@pytest.mark.parametrize("name", SIZES)
def test_pages_of_published_sizes_are_delivered(tmp_path: Path, name: str) -> None:
    trim, bleed, label, size = SIZES[name]
    book = made(tmp_path / "book", trim, bleed, label, size)
    done = checked(book.ledger("deliver", "inks", "--to", "../out", "--json").out)
    assert [each["rule"] for each in done["findings"]] == ["not-as-signed"]
    [page] = done["pages"]
    with Image.open(tmp_path / "out" / page["path"]) as seen:
        seen.load()
        assert seen.size == size == tuple(page["px"]) and seen.mode == "1" == page["mode"]


def test_a_page_without_its_bleed_is_not_delivered(tmp_path: Path) -> None:
    """The US comic trimmed at 300 ppi, 6.625 x 10.187 in: the bleed was forgotten."""
    book = made(tmp_path / "book", *US, "001", (1988, 3056))
    done = checked(book.ledger("deliver", "inks", "--to", "../out", "--json", code=1).out)
    assert [each["rule"] for each in done["findings"] if each["level"] == "block"] == ["export-size"]
    assert not (tmp_path / "out").exists() and not (book.top / "ledger").exists()
