"""Whole folders that come back, judged by the real command: pages missing, renamed, too many, and a base that moved.

`tests.bench.returns.run` judges one page after the other; what a folder as a whole can be wrong in shows only here.
"""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

from PIL import ImageChops

from tests.bench.returns.made import Made, make_return, packed
from tests.typed_book import FLATS, TypedBook, typed_book

_PAGES = ("1", "2", "3", "4")
#: (rule, page) as the command names it.
Named = tuple[str, str | None]


@dataclass
class Folder:
    """A book that handed out pages, the folder that came back beside it, and what must be said of it.

    `held` are the pages that may not be taken; `left` those that no fault has been planted on yet.
    """

    book: TypedBook
    dice: random.Random
    must: set[Named] = field(default_factory=set)
    held: set[str] = field(default_factory=set)
    left: list[str] = field(default_factory=lambda: list(_PAGES))

    @property
    def out(self) -> Path:
        """The folder that came back."""
        return self.book.top.parent / "out"

    def answer(self, page: str) -> Path:
        """Where a page of flats is to lie."""
        return self.out / f"flats/p{int(page):03d}.png"

    def chosen(self) -> str:
        """A page with nothing wrong so far."""
        return self.left.pop(self.dice.randrange(len(self.left)))


def _missing(folder: Folder) -> None:
    page = folder.chosen()
    folder.answer(page).unlink()
    folder.must.add(("return-count", page))
    folder.held.add(page)


def _renamed(folder: Folder) -> None:
    page = folder.chosen()
    place = folder.answer(page)
    place.rename(place.with_name(folder.dice.choice([f"p{page}.png", f"page {page} final-2.png", f"P{page:>03}.PNG"])))
    folder.must.add(("return-names", page))
    folder.held.add(page)


def _too_many(folder: Folder) -> None:
    shutil.copy(folder.answer(folder.chosen()), folder.out / "flats/p009.png")
    folder.must.add(("return-names", None))


def _base_moved(folder: Folder) -> None:
    """We draw the page anew and enter it while it is out."""
    page = folder.chosen()
    place = folder.book.top / f"art/inks/p{int(page):03d}.png"
    folder.book.write(f"art/inks/{place.name}", packed(ImageChops.offset(_inks(folder, page).given, 0, 40), "png 6"))
    folder.book.ledger("enter", "inks", "--pages", page, "-m", "a hand mended")
    folder.must.add(("basis-moved", page))


def _another_size(folder: Folder) -> None:
    page = folder.chosen()
    flats = _inks(folder, page).flats
    folder.answer(page).write_bytes(packed(flats.crop((0, 0, flats.width - 1, flats.height)), "png 6"))
    folder.must.add(("return-size", page))
    folder.held.add(page)


FAULTS: Mapping[str, Callable[[Folder], None]] = {
    "missing": _missing, "renamed": _renamed, "too many": _too_many, "base moved": _base_moved,
    "size": _another_size,
}  # fmt: skip
#: Nothing wrong, each fault by itself, and every two.
PLANTED: tuple[tuple[str, ...], ...] = ((), *((name,) for name in FAULTS), *combinations(FAULTS, 2))


def _inks(folder: Folder, page: str) -> Made:
    return make_return(int((folder.book.top / "drawn").read_text()) + int(page))


def lent_out(first: int, top: Path) -> Folder:
    """A book of four inked pages, handed out for flats, and every page made as it was asked."""
    book = typed_book(top / "book")
    book.write("drawn", str(first))
    book.write("book.toml", (book.top / "book.toml").read_text() + FLATS)
    folder = Folder(book, random.Random(first))
    for page in _PAGES:
        book.write(f"art/inks/p{int(page):03d}.png", packed(_inks(folder, page).given, "png 6"))
    book.ledger("enter", "inks", "-m", "inked")
    book.ledger("handoff", "flats", "--pages", "1-4", "--to", "../out", "--for", "Odd")
    for page in _PAGES:
        folder.answer(page).write_bytes(packed(_inks(folder, page).flats, "png 6"))
    return folder


def returned_folders(seeds: range, top: Path) -> Iterator[tuple[str, str, str]]:
    """Of each fault and pair: its name, the way the files are saved, and what was said wrongly ("" where nothing)."""
    for first in seeds:
        kept = lent_out(first, top / str(first) / "kept")
        for number, names in enumerate(PLANTED):
            for form in ("png 6", "png 0"):
                here = top / str(first) / f"{number}-{form[-1]}"
                shutil.copytree(kept.book.top.parent, here, symlinks=True)
                folder = Folder(TypedBook(here / "book"), random.Random(first * 100 + number))
                for name in names:
                    FAULTS[name](folder)
                _save_anew(folder, form)
                yield " + ".join(names) or "good", form, _wrong(folder)
                shutil.rmtree(here)


def _save_anew(folder: Folder, form: str) -> None:
    from PIL import Image

    for place in sorted(folder.out.glob("*/*.[pP][nN][gG]")):
        with Image.open(place) as picture:
            picture.load()
        place.write_bytes(packed(picture, form))


def _wrong(folder: Folder) -> str:
    """What the command says that is not so, or leaves out; pages taken count too."""
    ran = folder.book.ledger("receive", "../out", "--json", code=1 if folder.held or _extra(folder) else 0)
    said = {(each["rule"], each["page"]) for each in ran.document["findings"]}
    taken = {each["page"] for each in ran.document["pages"] if each["accepted"]}
    if said == folder.must and taken == set(_PAGES) - folder.held:
        return ""
    return f"said {sorted(said, key=str)}, taken {sorted(taken)}; so it is {sorted(folder.must, key=str)}"


def _extra(folder: Folder) -> bool:
    return ("return-names", None) in folder.must
