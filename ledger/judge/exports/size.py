"""What an export must measure: arithmetic of trim, bleed and resolution."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.model.book import Book, Pass
from ledger.model.pages import page_numbers

MM_TO_INCH = 25.4
#: Published sizes are rounded to 0.1 mm, the trim once and the bleed twice, so 0.2 mm is never a wrong page.
ROUNDED_MM = 0.2
#: Resolutions that pages are exported at as a rule; used only to say what a wrong size looks like.
_USUAL_PPI = (72, 100, 150, 200, 300, 350, 400, 450, 600, 800, 1200)


@dataclass(frozen=True, slots=True)
class Wanted:
    """The size an export must have: mm with bleed, ppi, and the exact size in px before rounding."""

    mm: tuple[float, float]
    bleed_mm: float
    ppi: float
    spread: bool = False

    @property
    def exact(self) -> tuple[float, float]:
        """Width and height in px, unrounded."""
        return (self.mm[0] / MM_TO_INCH * self.ppi, self.mm[1] / MM_TO_INCH * self.ppi)

    @property
    def px(self) -> tuple[int, int]:
        """Width and height in px."""
        return (round(self.exact[0]), round(self.exact[1]))

    @property
    def allowed(self) -> float:
        """Allowed difference in px: the larger of 1 px and 0.2 mm."""
        return max(1.0, ROUNDED_MM / MM_TO_INCH * self.ppi)

    def fits(self, size: tuple[int, int]) -> bool:
        """Whether a size in px is that of the page."""
        return all(
            min(abs(have - exact), abs(have - whole)) <= self.allowed + 1e-9
            for have, exact, whole in zip(size, self.exact, self.px, strict=True)
        )

    def at(self, ppi: float) -> Wanted:
        """The same page at another resolution."""
        return Wanted(self.mm, self.bleed_mm, ppi, self.spread)

    def trimmed(self) -> Wanted:
        """The same page without its bleed."""
        width, height = (side - 2 * self.bleed_mm for side in self.mm)
        return Wanted((width, height), 0.0, self.ppi, self.spread)


def wanted_size(book: Book, pass_: Pass, label: str) -> Wanted | None:
    """What the export of a page must measure; None where the book does not say (no `[page]`, no `[cover]`)."""
    page = book.page
    if page is None:
        return None
    ppi = pass_.ppi or page.ppi
    trim = book.cover_mm if label == "cover" else page.trim_mm
    if trim is None:
        return None
    spread = len(page_numbers(label)) == 2
    width = trim[0] * (2 if spread else 1) + 2 * page.bleed_mm
    return Wanted((width, trim[1] + 2 * page.bleed_mm), page.bleed_mm, ppi, spread)


def what_it_looks_like(size: tuple[int, int], wanted: Wanted) -> str:
    """What to do about a wrong size, from what it comes closest to."""
    if wanted.bleed_mm and wanted.trimmed().fits(size):
        return f"the bleed is missing: export with {wanted.bleed_mm:g} mm more on every side"
    if wanted.fits((size[1], size[0])):
        return "it lies on its side: turn it and export it again"
    for ppi in _USUAL_PPI:
        if ppi != wanted.ppi and wanted.at(ppi).fits(size):
            return f"this is the page at {ppi} ppi: export it at {wanted.ppi:g} ppi"
    trim = (wanted.mm[0] - 2 * wanted.bleed_mm) / (2 if wanted.spread else 1)
    other = trim * (1 if wanted.spread else 2) + 2 * wanted.bleed_mm
    if Wanted((other, wanted.mm[1]), wanted.bleed_mm, wanted.ppi).fits(size):
        if wanted.spread:
            return "this is one page: export both pages of the spread as one picture, or name it as one page"
        return "this is a spread: name the file by both its pages, such as p024-025"
    return "export the page again at that size"
