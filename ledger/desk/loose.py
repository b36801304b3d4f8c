"""Plain files and folders that no book holds: drafts and pages to be compared all the same."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.desk.contents import Contents, Exports, Sources
from ledger.model.book import Book, Person
from ledger.model.errors import Refusal
from ledger.model.pages import label_order
from ledger.model.script import Draft
from ledger.read.page_names import PICTURES, pages_by_name

if TYPE_CHECKING:
    from ledger.model.snapshot import FileAt, Snapshot

#: Formats of word processors; what reads them is imported only for them.
WRITTEN = (".docx", ".odt")
TEXTS = (".md", ".txt", *WRITTEN)
#: Files that are not read as they are; each is refused with the way out.
OTHER = {
    ".doc": "save it as .docx or .odt first",
    ".rtf": "save it as .docx or .odt first",
    ".pages": "save it as .docx or plain text (.txt) first",
}
#: What to do with lettered pages, which are compared by the words on them.
_LETTERED = "name a script and a PDF that is there: inkledger compare script letters.pdf"


def of_path(path: Path, name: str, book: Book, top: Path | None) -> Contents:
    """A file or folder as contents. Raises Refusal where nothing in it can be compared.

    `book` is the one that one stands in, or one without cast and passes; `top` is its folder.
    """
    if not path.is_dir():
        return _file(path, name, book, top)
    from ledger.gitedge.snapshots import of_folder

    found = of_folder(path)
    paths = _nearest(found)
    drafts = [p for p in paths if _suffix(p) in TEXTS]
    pages = _pages(found, paths)
    if not drafts and not pages:
        raise Refusal(
            f"{name}: nothing in this folder can be compared", path=name,
            remedy="it needs drafts (.md, .txt, .docx, .odt) or pages with numbers in their names (p001.png)",
        )  # fmt: skip
    prefix = _within(path, top)
    files = partial(_sources, found, drafts, prefix)
    return Contents(
        name,
        book,
        {"": partial(_draft, files, book.cast)} if drafts else {},
        {path.resolve().name: lambda: Exports(pages, found.store.read)} if pages else {},
        loose=True,
        sources={"": partial(_typed, files, book.cast)} if drafts else {},
    )


def _file(path: Path, name: str, book: Book, top: Path | None) -> Contents:
    suffix = path.suffix.lower()
    if suffix == ".pdf":
        raise Refusal("a PDF is set against a script, by the words on its pages", path=name, remedy=_LETTERED)
    if suffix in OTHER:
        raise Refusal("this kind of file can't be compared", path=name, remedy=OTHER[suffix])
    if suffix in PICTURES:
        raise Refusal("one picture alone says no page", path=name, remedy="name the folder it lies in")
    if not path.is_file():
        raise Refusal("this is neither a file nor a folder", path=name)
    shown = _within(path.parent, top) + path.name

    def files() -> Sources:
        return [(shown, path.read_bytes())]

    return Contents(
        name,
        book,
        {"": partial(_draft, files, book.cast)},
        loose=True,
        sources={"": partial(_typed, files, book.cast)},
    )


def _draft(files: Callable[[], Sources], cast: tuple[Person, ...]) -> Draft:
    found = files()
    if not any(_suffix(path) in WRITTEN for path, _ in found):
        from ledger.read.script import read_script

        return read_script(found, cast)
    from ledger.read.word_processor.drafts import read_any_script

    return read_any_script(found, cast)


def _typed(files: Callable[[], Sources], cast: tuple[Person, ...]) -> Sources:
    """The files as a person types a script, those of word processors converted."""
    from ledger.read.word_processor.drafts import as_typed

    return [(path, as_typed(path, data, cast)[0]) for path, data in files()]


def _sources(found: Snapshot, drafts: list[str], prefix: str) -> Sources:
    return [(prefix + path, found.read(path)) for path in drafts]


def _within(folder: Path, top: Path | None) -> str:
    """What stands before a file's name: its folder inside the book, nothing outside one."""
    if top is None or not folder.resolve().is_relative_to(top.resolve()):
        return ""
    inside = folder.resolve().relative_to(top.resolve()).as_posix()
    return "" if inside == "." else inside + "/"


def _nearest(found: Snapshot) -> list[str]:
    """The folder's own files in name order, hidden ones and locks left out; where it has none, those of its folders."""
    shown = [p for p in found.files if not any(part.startswith((".", "~$")) for part in p.split("/"))]
    known = [p for p in shown if _suffix(p) in (*TEXTS, *PICTURES)]
    own = [p for p in known if "/" not in p]
    return sorted(own or known, key=lambda path: path.encode("utf-8", "surrogateescape"))


def _suffix(path: str) -> str:
    return Path(path).suffix.lower()


def _pages(found: Snapshot, paths: list[str]) -> dict[str, FileAt]:
    """Page label -> picture, by what the names say (`p012`) or where they differ (`tide_012_v3`, `tide_013_v3`)."""
    labelled: dict[str, FileAt] = {}
    for path, label in pages_by_name([path for path in paths if _suffix(path) in PICTURES]).items():
        if label:
            labelled.setdefault(label, found.files[path])
    return {label: labelled[label] for label in sorted(labelled, key=label_order)}
