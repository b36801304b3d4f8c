"""What `notes import` was given: a mail, plain text, a saved round, a word processor's file; read by what it is."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ledger.desk.notes.gathered import BookShelf
from ledger.desk.notes.writing import named_round, newest_script
from ledger.desk.opening import OpenBook
from ledger.judge.notes.places import find_places
from ledger.model.coming_in import NotesIn
from ledger.model.errors import Refusal
from ledger.model.script import Draft
from ledger.read.marginalia.places import Finds


@dataclass(frozen=True)
class ImportWish:
    """What `notes import` was asked: the file's name as typed, its bytes, its options, and where it lies.

    Without `greetings` one that stands alone is no note.
    """

    source: str
    data: bytes
    reader: str | None = None
    on: str | None = None
    place: Path | None = None
    greetings: bool = True


def source_bytes(place: Path, shown: str) -> bytes:
    """The bytes of a file. Raises Refusal for what is no plain file."""
    if not place.exists():
        raise Refusal("no such file", path=shown, remedy="name it as it lies on your disk")
    if not place.is_file():
        raise Refusal("this is no plain file", path=shown, remedy="name the file that holds the notes")
    return place.read_bytes()


def read_source(book: OpenBook, wish: ImportWish) -> NotesIn:
    """The notes of a file, by what it is, not by its name alone. Raises Refusal."""
    data = wish.data
    if not data.strip(b"\0 \t\r\n"):
        raise Refusal("it is empty", path=wish.source, remedy="name the file that holds the notes")
    kind = _document_kind(wish.source, data)
    if data.startswith(b"\xd0\xcf\x11\xe0") and not kind:
        raise Refusal("this is an old binary file of an office or a mail program", path=wish.source,
                      remedy="save a draft as .docx or .odt, a mail as .eml")  # fmt: skip
    finds = _finds(book, wish.on)
    pdf = b"%PDF-" in data[:1024] or wish.source.lower().endswith(".pdf")
    if pdf:
        found = _of_pdf(book, wish, finds)
    elif kind:
        from ledger.read.marginalia.margins import read_margins

        cast = book.working.book.cast
        found = read_margins(wish.source, kind, data, cast, finds)
        if found.on and not wish.on and BookShelf(book, book.working).moment(found.on):
            # A packet says which round it is of: its words are looked for there.
            found = read_margins(wish.source, kind, data, cast, _finds(book, found.on))
    else:
        from ledger.read.marginalia.letters import read_letter

        found = read_letter(wish.source, data, lambda anchor: finds(anchor) > 0, greetings=wish.greetings)
    if not found.notes:
        remedy = "is it the one with the marks?" if kind or pdf else "begin a row with its place: p12.3 too dark"
        raise Refusal("it holds no notes", path=wish.source, remedy=remedy)
    return found


def _of_pdf(book: OpenBook, wish: ImportWish, finds: Finds) -> NotesIn:
    from ledger.desk.notes.marked_pages import look, pages_of
    from ledger.read.marginalia.pdf import read_pdf
    from ledger.read.marginalia.pdf_notes import pdf_notes

    marked = read_pdf(wish.source, wish.data, look)
    labels, entry = pages_of(book, marked, wish.on)
    return pdf_notes(wish.source, marked, labels, finds, entry)


def _document_kind(source: str, data: bytes) -> str:
    """`.docx` or `.odt` for a word processor's file, by its name or else by what it holds; "" for any other."""
    ending = Path(source).suffix.lower()
    if ending in (".docx", ".odt"):
        return ending
    if not data.startswith(b"PK\x03\x04"):
        return ""
    return ".odt" if b"mimetypeapplication/vnd.oasis.opendocument.text" in data[:200] else ".docx"


def _finds(book: OpenBook, on: str | None) -> Finds:
    """Tells in how many places of the script that was read an anchor could be meant."""
    draft = draft_read(book, named_round(book, on) if on else newest_script(book))
    if draft is None:
        return lambda anchor: 0
    return lambda anchor: len(find_places(anchor, draft))


def draft_read(book: OpenBook, entry: str | None) -> Draft | None:
    """The script of a round, of an art pass the one it was made from; your files now where nothing is entered."""
    shelf = BookShelf(book, book.working)
    moment = shelf.moment(entry) if entry else None
    if moment and shelf.drawn(moment.pass_name):
        moment = shelf.script_under(moment)
    if moment:
        return shelf.draft(moment)
    script = book.working.book.main_script()
    return book.working.draft(script.name) if script else None
