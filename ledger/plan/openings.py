"""The book as openings: what faces what, where a picture goes over both pages, where a turn reveals something."""

from collections.abc import Iterator
from typing import NamedTuple

from ledger.model.book import Book
from ledger.model.finding import Finding
from ledger.model.pages import page_numbers
from ledger.model.script import Draft, Page
from ledger.plan.block import Block, block_of, signature_of
from ledger.plan.unmarked import Guess


class Side(NamedTuple):
    """One page of an opening: its book page, and the label of what stands there ("f1", "12", "b1")."""

    book: int
    page: str


class Opening(NamedTuple):
    """Two facing pages, the even one and the odd one after it; None where there is none.

    `spread` is whether one page of the script goes over both; `reveals` are the script's pages with a reveal;
    `signature` counts folded sheets from 1, that of the first of the two pages.
    """

    verso: Side | None
    recto: Side | None
    spread: bool
    reveals: tuple[str, ...]
    signature: int


class Spreads(NamedTuple):
    """The whole answer of `spreads`; `guess` is what a draft without page marks may come to."""

    title: str
    reading: str
    block: Block
    openings: tuple[Opening, ...]
    marked: bool
    findings: tuple[Finding, ...] = ()
    guess: Guess | None = None


def openings(draft: Draft, book: Book) -> tuple[Opening, ...]:
    """Every opening of a book in reading order; the first holds page 1 alone (trade facts T-002)."""
    block = block_of(draft, book)
    wide, told = _wide(draft, block), _reveals(draft, block)
    return tuple(_opening(block, even, wide, told) for even in range(0, block.extent + 1, 2))


def _opening(block: Block, even: int, wide: set[int], told: dict[int, list[str]]) -> Opening:
    verso, recto = (_side(block, page) for page in (even, even + 1))
    reveals = (*told.get(even, ()), *told.get(even + 1, ()))
    return Opening(verso, recto, even in wide, reveals, signature_of(max(even, 1), block.signature))


def _side(block: Block, book_page: int) -> Side | None:
    label = block.label(book_page)
    return Side(book_page, label) if label is not None else None


def _wide(draft: Draft, block: Block) -> set[int]:
    """Even book pages on which a spread of the script begins."""
    first = (block.book_page(page_numbers(page.label)[0]) for page in spreads_in(draft))
    return {page for page in first if page % 2 == 0}


def spreads_in(draft: Draft) -> Iterator[Page]:
    """Pages of the script that are spreads."""
    return (page for page in draft.pages if not page.omitted and len(page_numbers(page.label)) > 1)


def reveals_in(draft: Draft) -> Iterator[tuple[Page, tuple[int, ...]]]:
    """Pages of the script that reveal something, with the panels that do; a mark outside any panel is panel 1."""
    for page in draft.pages:
        panels = [1] if page.reveal else []
        panels += [panel.number for panel in page.panels if panel.reveal]
        if panels and not page.omitted:
            yield page, tuple(panels)


def _reveals(draft: Draft, block: Block) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for page, _ in reveals_in(draft):
        found.setdefault(block.book_page(page_numbers(page.label)[0]), []).append(page.label)
    return found
