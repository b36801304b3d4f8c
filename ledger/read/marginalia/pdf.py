"""The marks of a PDF, bytes to plain values (ISO 32000-1, 12.5: annotations; 12.4.2: page labels).

Spots are fractions of the page as it is shown, across from the left and down from the top.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from io import BytesIO
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from ledger.model.errors import Refusal
from ledger.read.marginalia.apart import SECONDS, apart
from ledger.read.marginalia.plain import one_row, plain

if TYPE_CHECKING:
    from pypdf import PageObject, PdfReader

#: Bounds (own choice): bytes of a file, its pages, marks on all of them.
MOST_BYTES, MOST_PAGES, MOST_MARKS = 1 << 30, 5_000, 50_000

#: Kinds of marks and what they are called where they carry no words (12.5.6.1, table 169; those that mark up).
STROKES = {
    "Text": "note", "FreeText": "words typed on the page", "Highlight": "highlight", "Underline": "underline",
    "Squiggly": "wavy underline", "StrikeOut": "strikeout", "Caret": "caret", "Ink": "ink stroke", "Square": "square",
    "Circle": "circle", "Line": "line", "Polygon": "polygon", "PolyLine": "line", "Stamp": "stamp",
    "FileAttachment": "enclosed file", "Redact": "redaction",
}  # fmt: skip
#: Kinds whose quadrilaterals lie on words.
ON_WORDS = ("Highlight", "Underline", "Squiggly", "StrikeOut")
_AGAIN = "open it where it was marked and save it again"
Found = TypeVar("Found")
_DATE = re.compile(r"(?:D:)?(\d{4})-?(\d{2})?-?(\d{2})?")
_DATE_BEHIND = r",\s*\d{1,4}([./-])\d{1,2}\1\d{1,4}\.?,?\s*\Z"


class Mark(NamedTuple):
    """One mark. `page` counts from 1; `spot` is the middle of what it covers; `words` are those under it.

    `answers` is the place in the list of the mark that it belongs to, -1 for none: a reply, or with `grouped` a part of
    it. `box` tells marks apart that carry no name.
    """

    page: int
    kind: str
    text: str
    author: str
    date: str
    name: str
    spot: tuple[float, float]
    box: str
    words: str = ""
    answers: int = -1
    grouped: bool = False


class Sheet(NamedTuple):
    """A page that carries marks: its label, "" where none is given; what its picture is known by, "" where it carries
    none; the tones by which it is known again, in hexadecimal digits; whether the page holds words."""

    number: int
    label: str
    picture: str = ""
    tones: str = ""
    words: bool = False


#: Tells of a picture's bytes what it is known by and its tones, as two strings; raises for what is no picture.
Look = Callable[[bytes], tuple[str, str]]


class MarkedPdf(NamedTuple):
    """A PDF's marks, the pages that they are on, and how many pages it has."""

    marks: list[Mark]
    sheets: list[Sheet]
    pages: int


def read_pdf(path: str, data: bytes, look: Look) -> MarkedPdf:
    """Reads the marks in a process of its own; `look` looks at pictures there.

    A file that opens without a password is read, whatever its owner forbids (7.6.3.2). Raises Refusal for what is
    damaged, encrypted or too large.
    """
    if len(data) > MOST_BYTES:
        raise Refusal(f"it is larger than {MOST_BYTES >> 20} MiB", path=path, remedy="send fewer pages")
    import pypdf  # noqa: F401  (once, before the child is made)

    seconds = SECONDS + (len(data) >> 20)
    marks, sheets, pages = apart(lambda: _read(path, data, look), path, seconds=seconds)
    return MarkedPdf(
        [Mark._make(each)._replace(spot=tuple(each[6])) for each in marks],
        [Sheet._make(each) for each in sheets],
        pages,
    )


def _read(path: str, data: bytes, look: Look) -> MarkedPdf:
    return opened(path, data, lambda reader: _marked(path, reader, look))


def opened(path: str, data: bytes, work: Callable[[PdfReader], Found]) -> Found:
    """What `work` finds in a PDF. To be called in a process of its own (`apart`).

    Raises Refusal for whatever the file makes go wrong: part of a file is never taken for it all.
    """
    logging.disable(logging.CRITICAL)
    if b"%PDF-" not in data[:1024] or b"%%EOF" not in data[-2048:]:
        raise Refusal("it is damaged: it does not begin and end as a PDF does", path=path, remedy=_AGAIN)
    from pypdf import PdfReader
    from pypdf.errors import DependencyError

    try:
        reader = PdfReader(BytesIO(data), strict=False)
        if reader.is_encrypted and not reader.decrypt(""):
            raise _encrypted(path)
        return work(reader)
    except Refusal:
        raise
    except DependencyError as fault:
        # Ciphers that pypdf leaves to a further library, which is an extra of ours (AES, 7.6.2).
        raise Refusal(
            "it is encrypted with AES, and what opens that is not installed", path=path,
            remedy="pip install 'inkledger[encrypted-pdf]', or save it without encryption, then try again",
        ) from fault  # fmt: skip
    except Exception as fault:
        raise Refusal(f"it is damaged ({type(fault).__name__}), and nothing of it was taken in", path=path,
                      remedy=_AGAIN) from fault  # fmt: skip


def _encrypted(path: str) -> Refusal:
    return Refusal("it is encrypted", path=path, remedy="save it without a password, then try again")


def labelled(path: str, reader: PdfReader) -> list[str]:
    """The label of every page, "" where it has none. Raises Refusal for a file of no pages, or of too many."""
    count = len(reader.pages)
    if not count or count > MOST_PAGES:
        said = "it has no pages" if not count else f"it has {count:,} pages, more than {MOST_PAGES:,}"
        raise Refusal(said, path=path, remedy=_AGAIN)
    labels = reader.page_labels if "/PageLabels" in reader.root_object else []
    return [one_row(labels[at]) if at < len(labels) else "" for at in range(count)]


def _marked(path: str, reader: PdfReader, look: Look) -> MarkedPdf:
    labels = labelled(path, reader)
    marks: list[Mark] = []
    sheets: list[Sheet] = []
    for number, page in enumerate(reader.pages, 1):
        own = list(_own(page))
        if len(marks) + len(own) > MOST_MARKS:
            raise Refusal(f"it carries more than {MOST_MARKS:,} marks", path=path, remedy="is it the file you meant?")
        if own:
            from ledger.read.marginalia.pdf_page import View

            view = View.of(page)
            marks += _on_page(number, own, view, len(marks))
            sheets.append(Sheet(number, labels[number - 1], *view.looked_at(look), view.has_words))
    return MarkedPdf(marks, sheets, len(labels))


def _own(page: PageObject) -> Iterator[dict[str, Any]]:
    """The annotations of a page that are marks; links, pop-ups, form fields and what is no dictionary are none."""
    listed = _object(page.get("/Annots"))
    seen: set[int] = set()
    for each in listed if isinstance(listed, list) else ():
        found = _object(each)
        if not isinstance(found, dict) or id(found) in seen:
            continue
        seen.add(id(found))
        if str(_object(found.get("/Subtype")))[1:] in STROKES:
            yield found


def _object(value: Any) -> Any:
    """What a reference leads to."""
    return value.get_object() if hasattr(value, "get_object") else value


def _on_page(number: int, own: list[dict[str, Any]], view: Any, before: int) -> list[Mark]:
    """The marks of a page from the top down, what answers another one after it."""
    drawn = [(each, view.box(_numbers(each.get("/Rect")))) for each in own]
    drawn.sort(key=lambda pair: (round(pair[1].top, 3), pair[1].left))
    places = {id(each): at for at, (each, _) in enumerate(drawn)}
    names = {_text(each.get("/NM")): at for at, (each, _) in enumerate(drawn) if each.get("/NM")}
    return [_mark(number, each, view, before, places, names) for each, _ in drawn]


def _mark(
    number: int, each: dict[str, Any], view: Any, before: int, places: dict[int, int], names: dict[str, int]
) -> Mark:
    kind = str(_object(each.get("/Subtype")))[1:]
    quads = _numbers(each.get("/QuadPoints")) if kind in ON_WORDS else []
    covered = view.box(quads or _numbers(each.get("/Rect")))
    target = _object(each.get("/IRT"))
    at = -1 if target is None else places.get(id(target), names.get(_text(target), -1))
    own = places[id(each)]
    return Mark(
        number, kind, _words(each), _author(each), _day(each), one_row(_text(each.get("/NM"))),
        view.spot(covered), " ".join(f"{n:.0f}" for n in _numbers(each.get("/Rect"))[:4]),
        view.words_under(quads) if quads else "", -1 if at in (-1, own) else before + at,
        str(_object(each.get("/RT"))) == "/Group",
    )  # fmt: skip


def _numbers(value: Any) -> list[float]:
    found = []
    listed = _object(value)
    for each in listed if isinstance(listed, list) else ():
        with suppress(TypeError, ValueError, OverflowError):
            found.append(float(_object(each)))
    return [n for n in found if abs(n) < 1e9]


def _text(value: Any) -> str:
    """A text string (7.9.2.2); one in no known encoding is read as Latin-1."""
    found = _object(value)
    if isinstance(found, bytes):
        return plain(found.decode("latin-1"))
    return plain(found) if isinstance(found, str) else ""


def _author(each: dict[str, Any]) -> str:
    """Who made a mark; a word processor that writes its comments into a PDF puts their date behind the name."""
    return re.sub(_DATE_BEHIND, "", one_row(_text(each.get("/T"))))


def _words(each: dict[str, Any]) -> str:
    """What a mark says: its contents, else its rich text without the signs of XML, else a state it sets (12.5.6.3)."""
    said = _text(each.get("/Contents")).strip()
    if not said and each.get("/RC"):
        from ledger.read.marginalia.hypertext_mail import hypertext_rows

        said = "\n".join(hypertext_rows(_text(each.get("/RC")))).strip()
    if not said and each.get("/State"):
        said = f"set to {_text(each.get('/State')).lower()}"
    if not said and str(_object(each.get("/Subtype"))) == "/Stamp" and each.get("/Name"):
        said = f"stamp: {one_row(str(_object(each.get('/Name')))[1:])}"
    return said


def _day(each: dict[str, Any]) -> str:
    """The day it was last changed, else made, as it stands (7.9.4); "" where it says none."""
    for key in ("/M", "/CreationDate"):
        found = _DATE.match(_text(each.get(key)))
        if found and found[2] and found[3] and "01" <= found[2] <= "12" and "01" <= found[3] <= "31":
            return f"{found[1]}-{found[2]}-{found[3]}"
    return ""
