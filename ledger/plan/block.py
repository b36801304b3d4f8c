"""The block of a book: its pages counted from the first leaf, their sides, leaves and signatures.

A book page is a position in the block (trade facts T-050): front matter first, then the story pages, then back matter.
Odd pages are rectos in either reading direction (T-001).
"""

from typing import NamedTuple

from ledger.model.book import Book
from ledger.model.pages import page_numbers
from ledger.model.script import Draft


class Block(NamedTuple):
    """Pages of front matter, story and back matter, and how many go on a folded sheet."""

    front: int
    story: int
    back: int
    signature: int

    @property
    def extent(self) -> int:
        """All pages of the book."""
        return self.front + self.story + self.back

    @property
    def sheets(self) -> int:
        """Folded sheets that hold the extent: ceil(n / s)."""
        return -(-self.extent // self.signature)

    @property
    def blanks(self) -> int:
        """Pages left empty on the last sheet."""
        return self.sheets * self.signature - self.extent

    def book_page(self, story: int) -> int:
        """The book page of a story page (convention: story page + front matter)."""
        return story + self.front

    def label(self, book_page: int) -> str | None:
        """What stands on a book page: "f1" front matter, "12" story, "b1" back matter; None for a blank."""
        if not 1 <= book_page <= self.extent:
            return None
        if book_page <= self.front:
            return f"f{book_page}"
        after = book_page - self.front - self.story
        return f"b{after}" if after > 0 else str(book_page - self.front)


def is_recto(book_page: int) -> bool:
    """Whether a book page is a recto: odd, whatever the reading direction."""
    return book_page % 2 == 1


def facing(book_page: int) -> int | None:
    """The book page beside this one; None for page 1, which stands alone."""
    if book_page == 1:
        return None
    return book_page - 1 if is_recto(book_page) else book_page + 1


def leaf(book_page: int) -> int:
    """The leaf of a book page: ceil(b / 2)."""
    return (book_page + 1) // 2


def signature_of(book_page: int, size: int) -> int:
    """The signature of a book page: ceil(b / s), counted from 1."""
    return -(-book_page // size)


def story_pages(draft: Draft, book: Book) -> int:
    """Story pages: up to the script's last one once it has page marks, else what `book.toml` says.

    A page marked `[omitted]` keeps its number and its place.
    """
    return page_numbers(draft.pages[-1].label)[-1] if draft.pages else book.pages


def block_of(draft: Draft, book: Book) -> Block:
    """The block of a book whose script is this draft."""
    return Block(book.front_matter, story_pages(draft, book), book.back_matter, book.signature)
