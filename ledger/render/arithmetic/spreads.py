"""The book as a strip of openings on a terminal, a row a signature, and as a document."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from ledger.model.pages import page_numbers
from ledger.plan.openings import Opening, Side, Spreads
from ledger.plan.unmarked import Guess
from ledger.render.finding_documents import findings_list
from ledger.render.findings_text import findings_text
from ledger.render.plain import clip, columns, one_line, plural, wrapped

#: Columns kept for the number of the signature.
_MARGIN = 5
_GUTTER, _OVER, _REVEAL, _LOOK, _BLANK = "|", "=", "*", "?", "-"


def spreads_document(found: Spreads) -> dict[str, Any]:
    """`spreads`: openings in reading order; a side that is not there is null."""
    return {
        "reading": found.reading,
        "front_matter": found.block.front,
        "extent": found.block.extent,
        "signature": found.block.signature,
        "blanks": found.block.blanks,
        "openings": [_opening_document(opening, found.reading) for opening in found.openings],
        "findings": findings_list(found.findings),
    }


def _opening_document(opening: Opening, reading: str) -> dict[str, Any]:
    verso, recto = _side_document(opening.verso), _side_document(opening.recto)
    left, right = (verso, recto) if reading == "ltr" else (recto, verso)
    return {
        "left": left, "right": right, "spread": opening.spread, "reveals": list(opening.reveals),
        "signature": opening.signature,
    }  # fmt: skip


def _side_document(side: Side | None) -> dict[str, Any] | None:
    return {"book": side.book, "page": side.page} if side else None


def spreads_text(found: Spreads) -> str:
    """The strip of openings, what its signs mean, the spreads and reveals, and what there is to look at."""
    rows = [clip(one_line(found.title), 80), wrapped(extent_words(found)), wrapped(sheets_words(found))]
    rows += [wrapped(guess_words(found.guess)), ""] if found.guess else [""]
    rows += [*_strip(found), "", *_signs(found)]
    if found.findings:
        rows += ["", findings_text(found.findings)]
    return "\n".join(rows)


def extent_words(found: Spreads) -> str:
    """How many pages of what, and on which hand odd pages stand."""
    block = found.block
    parts = [(block.front, "of front matter"), (block.story, "of story"), (block.back, "of back matter")]
    told = " + ".join(f"{count} {what}" for count, what in parts if count or what == "of story")
    hand = "left to right: odd pages stand on the right"
    if found.reading == "rtl":
        hand = "right to left: odd pages stand on the left"
    said = f"{told} = {plural(block.extent, 'page')}, read {hand}."
    if block.front > block.story:
        said += " There is more front matter than story: is front_matter in book.toml as you mean it?"
    return said if found.marked else f"{said} The script has no page marks yet: the story pages are those of book.toml."


def guess_words(guess: Guess) -> str:
    """What a draft without page marks may come to, and from what that was computed."""
    rate = guess.rate
    each = f"{rate.few:g} to {rate.many:g}" if rate.few != rate.many else f"{rate.few:g}"
    pages = f"{guess.least} to {guess.most}" if guess.least != guess.most else str(guess.least)
    return (
        f"By its words the draft comes to {pages} pages: {plural(guess.words, 'lettered word')} in "
        f"{plural(guess.scenes, 'scene')}, {each} words a page ({rate.source})."
    )


def sheets_words(found: Spreads) -> str:
    """How many signatures, and blanks."""
    block = found.block
    blanks = f"{plural(block.blanks, 'page')} blank at the end" if block.blanks else "none blank"
    return f"{plural(block.sheets, 'signature')} of {block.signature} pages, {blanks}."


def _strip(found: Spreads) -> list[str]:
    """Rows of pages, each within one signature; a row that is read from right to left starts at its right end."""
    cells = _cells(found)
    width = max(columns(cell.label) for cell in cells)
    a_row = _pages_in_a_row(found.block.signature, width)
    rows = []
    for start in range(0, len(cells), a_row):
        first = start % found.block.signature == 0
        margin = f"{start // found.block.signature + 1:>{_MARGIN - 2}}  " if first else " " * _MARGIN
        rows.append((margin + _row(cells[start : start + a_row], width, found.reading)).rstrip())
    return rows


class _Cell:
    """A page as it stands in the strip."""

    __slots__ = ("label", "look", "over", "recto", "reveal")

    def __init__(self, label: str, recto: bool, over: bool, reveal: bool, look: bool) -> None:
        self.label, self.recto, self.over, self.reveal, self.look = label, recto, over, reveal, look

    @property
    def sign(self) -> str:
        return _LOOK if self.look else _REVEAL if self.reveal else ""


def _cells(found: Spreads) -> list[_Cell]:
    wrong = {n for f in found.findings if f.page and f.rule != "page-number" for n in page_numbers(f.page)[:1]}
    cells = []
    for opening in found.openings:
        shown = {number for label in opening.reveals for number in page_numbers(label)[:1]}
        for side in (opening.verso, opening.recto):
            if side is not None:
                number = next(iter(page_numbers(side.page)), 0)
                told = (number in shown, number in wrong)
                cells.append(_Cell(side.page, side is opening.recto, opening.spread, *told))
    blanks = range(found.block.extent + 1, found.block.extent + found.block.blanks + 1)
    return [*cells, *(_Cell(_BLANK, page % 2 == 1, False, False, False) for page in blanks)]


def _pages_in_a_row(signature: int, width: int) -> int:
    """The largest whole part of a signature whose openings fit beside the margin; an even number of pages."""
    fitting = [n for n in range(2, signature + 1, 2) if signature % n == 0 and _columns_of(n, width) <= 80 - _MARGIN]
    return max(fitting, default=2)


def _columns_of(pages: int, width: int) -> int:
    """A row begins with a recto and ends with a verso: half an opening at each end."""
    return pages * (width + 1) + pages // 2 + 1


def _row(cells: Iterable[_Cell], width: int, reading: str) -> str:
    kept = list(cells)
    told = [_page(cell, width, reading) for cell in kept]
    gutters = [(_OVER if cell.over else _GUTTER) if cell.recto else "" for cell in kept]
    if reading == "rtl":
        told.reverse()
        return "".join(text + gutter for text, gutter in zip(told, reversed(gutters), strict=True))
    return "".join(gutter + text for text, gutter in zip(told, gutters, strict=True))


def _page(cell: _Cell, width: int, reading: str) -> str:
    """The number next to the gutter, its sign on the outer side."""
    left = cell.recto == (reading == "rtl")
    return f"{cell.sign}{cell.label}".rjust(width + 1) if left else f"{cell.label}{cell.sign}".ljust(width + 1)


def _signs(found: Spreads) -> Iterator[str]:
    """What the signs mean, and what they stand on; only those that are there."""
    starts = "right" if found.reading == "rtl" else "left"
    yield wrapped(f"A row is (part of) a signature and starts at the {starts}; {_GUTTER} is the gutter of an opening.")
    wide = [f"{o.verso.page}-{o.recto.page}" for o in found.openings if o.spread and o.verso and o.recto]
    reveals = [label for opening in found.openings for label in opening.reveals]
    looks = {f.page for f in found.findings if f.page and f.rule != "page-number"}
    if wide:
        yield wrapped(f"{_OVER} spread, one picture over both pages: {', '.join(wide)}")
    if reveals:
        yield wrapped(f"{_REVEAL} reveal, met on turning the page: {', '.join(reveals)}")
    if looks:
        yield f"{_LOOK} on the wrong side, see below"
    if found.block.blanks:
        yield f"{_BLANK} blank"
