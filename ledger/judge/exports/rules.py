"""The rules for one export: can it be read, is it of the right size, in the right mode."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ledger.judge.exports.size import wanted_size, what_it_looks_like
from ledger.model.book import MODES, Book, Pass
from ledger.model.finding import Finding
from ledger.model.pages import page_name
from ledger.model.snapshot import FileAt
from ledger.pictures.files.header import Look
from ledger.pictures.files.ink import Heaviest

#: How the modes are called; the keys are those of `mode` in book.toml, but for the two that are never asked for.
#: Passes of these names hold lines or flat colours, whatever else the book says of them.
_LINES_OR_FLATS = ("inks", "lines", "flats")
#: How far a stated resolution may lie from the right one (whole pixels a metre, cut instead of rounded: a share),
#: and for JPEG, which has whole dots a centimetre, in ppi.
_TAG_SHARE, _JPEG_STEP = 0.001, 1.27


@dataclass(frozen=True, slots=True)
class Export:
    """One export of a page with its header; `ink` is its heaviest spot, where the book limits ink and it has inks."""

    book: Book
    pass_: Pass
    label: str
    file: FileAt
    look: Look
    ink: Heaviest | None = None

    def says(self, rule: str, words: str, remedy: str) -> Finding:
        """A finding about this export; `words` go on after "page 12 of inks"."""
        return Finding(
            rule, "query", f"{page_name(self.label)} of {self.pass_.name} {words}", self.file.path, page=self.label,
            remedy=remedy,
        )  # fmt: skip


def size(export: Export) -> Iterator[Finding]:
    """Pixels first; a stated resolution is only looked at where the pixels are right."""
    wanted = wanted_size(export.book, export.pass_, export.label)
    if wanted is None:
        return
    have, width, height = export.look.size, *wanted.mm
    if not wanted.fits(have):
        yield export.says(
            "export-size",
            f"is {have[0]} x {have[1]} px; it must be {wanted.px[0]} x {wanted.px[1]} px "
            f"({width:.4g} x {height:.4g} mm {'with bleed ' if wanted.bleed_mm else ''}at {wanted.ppi:g} ppi)",
            what_it_looks_like(have, wanted),
        )  # fmt: skip
    elif export.look.ppi and not _agrees(export.look, wanted.ppi):
        across, down = (_ppi_words(value) for value in export.look.ppi)
        stated = across if across == down else f"{across} x {down}"
        yield export.says(
            "export-size",
            f"states {stated} ppi, but its pixels are those of {wanted.ppi:g} ppi",
            f"set the resolution to {wanted.ppi:g} ppi when exporting; the pixels are right",
        )


def _ppi_words(ppi: float) -> str:
    """A resolution as it was meant: PNG stores whole pixels a metre, which makes 72.009 of 72 ppi."""
    return str(round(ppi)) if abs(ppi - round(ppi)) <= _TAG_SHARE * ppi else f"{ppi:.4g}"


def _agrees(look: Look, ppi: float) -> bool:
    allowed = max(_TAG_SHARE * ppi, _JPEG_STEP if look.format == "JPEG" else 0)
    return all(abs(stated - ppi) <= allowed for stated in look.ppi or ())


def mode(export: Export) -> Iterator[Finding]:
    """JPEG for lines or flats, since it makes new colours along every edge; else another mode than the pass's own."""
    wanted, have = export.pass_.mode, export.look.mode
    if export.look.format == "JPEG" and _lines_or_flats(export.pass_):
        yield export.says(
            "export-mode", "is a JPEG, which smears lines and makes new colours along them",
            f"export it as PNG or TIFF{f', in {MODES[wanted]}' if wanted else ''}",
        )  # fmt: skip
    elif wanted is not None and have != wanted:
        yield export.says(
            "export-mode", f"is in {MODES[have]}, the pass asks for {MODES[wanted]}", f"export it in {MODES[wanted]}"
        )


def _lines_or_flats(pass_: Pass) -> bool:
    return pass_.mode == "1" or "drawing" in pass_.locks or pass_.returns == "flats" or pass_.name in _LINES_OR_FLATS


def ink(export: Export) -> Iterator[Finding]:
    """More ink on one spot than the paper takes, where `[page] ink_limit` says how much that is."""
    limit = export.book.page.ink_limit if export.book.page else None
    if limit is None or export.ink is None or not export.ink.over:
        return
    share = 100 * export.ink.over
    area = f"{share:.0f} %" if share >= 10 else f"{share:.2g} %" if share >= 0.01 else "less than 0.01 %"
    yield export.says(
        "ink-limit", f"lays up to {export.ink.most:.0f} % ink on one spot; the book's limit is {limit:g} % "
        f"({area} of the page is over it)",
        f"bring its darkest colours down to {limit:g} % in all, or convert it with a profile that keeps that limit",
    )  # fmt: skip


def several(export: Export) -> Iterator[Finding]:
    """More than one picture in a file: the first is the page, and nobody is to be surprised by that."""
    count = export.look.frames
    if count > 1:
        yield export.says(
            "export-mode", f"holds {count} pictures in one file; the first is taken for the page",
            "export the page alone, without further pages, layers or frames",
        )  # fmt: skip


#: One rule a function, each given one readable export.
EXPORT_RULES: tuple[Callable[[Export], Iterator[Finding]], ...] = (size, mode, ink, several)
