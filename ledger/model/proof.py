"""A printer's or publisher's proof: its sheets, what each shows, and what is wrong with the whole."""

from typing import NamedTuple


class ProofSheet(NamedTuple):
    """One sheet of a proof, a picture or a page of a PDF.

    `number` counts the sheets from 1; `path` is the file that holds it, `at` the page of it from 1 where that is a PDF,
    0 for a picture. `unread` is why it could not be read, "" where it was. `seen` is a short digest of what it shows.
    `pages` are labels of the pages on it in reading order: one, two where facing pages share a sheet, none where it is
    known as none; `blank` says that it is bare paper. `likest` is the page that it is like without being it. Of a
    picture the SHA-256 (hex) and size (bytes) of its file, and its mode and resolution.
    """

    number: int
    path: str
    at: int = 0
    unread: str = ""
    seen: str = ""
    pages: tuple[str, ...] = ()
    blank: bool = False
    likest: str = ""
    sha256: str = ""
    size: int = 0
    px: tuple[int, int] = (0, 0)
    mode: str = ""
    ppi: float | None = None


class Astray(NamedTuple):
    """One thing about a proof.

    `kind` is missing, not-read, doubled, swapped, out-of-order, upside-down, mirrored, older, unknown, blank or unread.
    `page` is the page of the book, "" for a sheet that is known as none. `sheet` counts from 1, 0 where there is none.
    `other` is the page that it was swapped with, or that a sheet not known is like. `unsure` says that a missing page
    may be on a sheet that was not known. `also` is the other sheet of a doubled page, or the sheet that
    stands where a missing page belongs. `after` is the page it stands after, `due` the one it belongs after, "" for
    the beginning. `entry` is the delivery an older page went out with.
    """

    kind: str
    page: str
    sheet: int = 0
    other: str = ""
    unsure: bool = False
    also: int = 0
    after: str = ""
    due: str = ""
    entry: str = ""


class Run(NamedTuple):
    """The same thing about pages that follow each other, as when a whole folded sheet is missing."""

    every: tuple[Astray, ...]

    @property
    def kind(self) -> str:
        """That of each."""
        return self.every[0].kind

    @property
    def first(self) -> Astray:
        """The first of them."""
        return self.every[0]

    @property
    def last(self) -> Astray:
        """The last of them."""
        return self.every[-1]


class Proof(NamedTuple):
    """A proof set against what was delivered.

    `deliveries` are the entries it was set against, the newest last, `passes` theirs, `pages` the labels expected in
    the order of the book, `not_here` those of which the content is not on this machine, so that they could not be
    looked for. `runs` are the things to be said, by sheet, then the missing pages.
    """

    book: str
    deliveries: tuple[str, ...]
    passes: tuple[str, ...]
    pages: tuple[str, ...]
    sheets: tuple[ProofSheet, ...]
    runs: tuple[Run, ...] = ()
    not_here: tuple[str, ...] = ()

    @property
    def astray(self) -> tuple[Astray, ...]:
        """Each of them by itself."""
        return tuple(each for run in self.runs for each in run.every)

    @property
    def right(self) -> list[str]:
        """The pages that are there once, in their place and as delivered."""
        wrong = {page for each in self.astray if each.kind != "blank" for page in (each.page, each.other)}
        there = {page for sheet in self.sheets for page in sheet.pages}
        return [page for page in self.pages if page in there and page not in wrong]
