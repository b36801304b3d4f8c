"""Which of a round's pages lie open together, and on which side."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from ledger.model.pages import label_order, page_numbers
from ledger.plan.block import Block, is_recto


class Lying(NamedTuple):
    """A page and where it lies: "left", "right", or "wide" for a spread."""

    label: str
    side: str


def facing_pages(labels: Iterable[str], block: Block, *, rtl: bool) -> tuple[tuple[Lying, ...], ...]:
    """Pages by openings in reading order; odd pages of the book are rectos in either direction (trade facts T-001).

    A page whose neighbour is not among them lies alone, on its own side; the cover lies alone as a recto does.
    """
    found: dict[object, list[Lying]] = {}
    for label in sorted(set(labels), key=label_order):
        if len(page_numbers(label)) > 1:
            found[label] = [Lying(label, "wide")]
            continue
        book_page = _book_page(label, block)
        right = is_recto(book_page) != rtl
        opening: object = book_page - book_page % 2 if book_page > 0 else label
        found.setdefault(opening, []).append(Lying(label, "right" if right else "left"))
    return tuple(map(tuple, found.values()))


def _book_page(label: str, block: Block) -> int:
    """The page of the book, counted from its first leaf; -1, odd as a recto is, for the cover."""
    numbers = page_numbers(label)
    if numbers:
        return block.book_page(numbers[0])
    number = int(label[1:]) if label[1:].isdecimal() else -1
    return number + block.front + block.story if label.startswith("b") and number > 0 else number
