"""Which page of the book a page of a marked PDF is: told by the picture it carries, else by its label."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ledger.desk.note_writing import named_round
from ledger.desk.notes import BookShelf
from ledger.desk.numbers import newest_round
from ledger.desk.opening import OpenBook
from ledger.desk.picture_memory import prints_remembered, remember_prints
from ledger.judge.note_pictures import Pictures
from ledger.model.errors import ContentMissing
from ledger.model.pages import page_label, page_numbers
from ledger.model.snapshot import FileAt
from ledger.read.marginalia.pdf import MarkedPdf, Sheet

#: No more exports of a pass than this are decoded to find a page by its looks (own choice).
_MOST = 600


@dataclass(frozen=True)
class Shelf:
    """The exports of one round."""

    entry: str
    pictures: Pictures


def pages_of(book: OpenBook, marked: MarkedPdf, on: str | None) -> tuple[dict[int, str], str]:
    """Page of the file -> page of the book, and the round whose pictures they carry ("" where they carry none).

    The picture decides: the very pixels of an export, else one that looks like it and like no other as much. Then the
    label that the file gives the page counts, if the book has such a page. All others are no page of this book.
    """
    labelled = {sheet.number: label for sheet in marked.sheets if (label := _label(book, sheet)) is not None}
    carrying = [sheet for sheet in marked.sheets if sheet.picture]
    shelves = list(_shelves(book, on)) if carrying else []
    same = {shelf.entry: _same(book, shelf, carrying) for shelf in shelves}
    entry = max(same, key=lambda name: len(same[name]), default="")
    exact = same.get(entry, {})
    left = [sheet for sheet in carrying if sheet.number not in exact]
    looks: dict[int, str] = {}
    for shelf in shelves if left else ():
        if exact and shelf.entry != entry:
            continue
        found = _alike(shelf, left, labelled)
        if len(found) > len(looks):
            looks, entry = found, shelf.entry
    return {**labelled, **looks, **exact}, entry if exact or looks else ""


def look(data: bytes) -> tuple[str, str]:
    """What a picture is known by, and the tones it is known again by. Raises Unreadable."""
    from ledger.pictures.decode import digest
    from ledger.pictures.looking import mark

    seen = mark(data)
    return digest(data), seen.thumb.hex() if seen else ""


def _label(book: OpenBook, sheet: Sheet) -> str | None:
    """The page of the book that a label names, as `12`, `p012`, `Page 12`, `24-25`, `f1` or `cover`."""
    typed = sheet.label.lower()
    label = page_label(typed.removeprefix("page").strip())
    if label is None:
        return None
    numbers = page_numbers(label)
    state = book.working
    script = state.book.main_script()
    drawn = {each for pass_ in state.book.passes if pass_.kind == "art" for each in state.exports(pass_)}
    written = {page.label for page in state.draft(script.name).pages} if script else set()
    there = {str(n) for each in drawn | written for n in page_numbers(each)} | drawn | written
    most = state.book.pages or 0
    return label if label in there or (numbers and all(str(n) in there or 0 < n <= most for n in numbers)) else None


def _shelves(book: OpenBook, on: str | None) -> Iterator[Shelf]:
    """The round that was asked for if it is drawn; without one the newest round of every art pass."""
    shelf = BookShelf(book, book.working)
    names = [named_round(book, on)] if on else []
    if not on:
        newest = [
            newest_round(shelf.rounds.values(), each.name) for each in book.working.book.passes if each.kind == "art"
        ]
        names = [each.name for each in reversed(newest) if each]
    for name in names:
        moment = shelf.moment(name)
        pictures = shelf.pictures(moment) if moment and shelf.drawn(moment.pass_name) else None
        if pictures:
            yield Shelf(name, pictures)


def _same(book: OpenBook, shelf: Shelf, carrying: Sequence[Sheet]) -> dict[int, str]:
    """Pages that carry the very pixels of one export; of several alike, the one that the label names."""
    prints = prints_remembered(book.repo)
    known = len(prints)
    by_print: dict[str, list[str]] = {}
    for label, file in shelf.pictures.files.items():
        shown = prints.get(file.oid or "") or _print(shelf, file)
        if file.oid and shown:
            prints[file.oid] = shown
        by_print.setdefault(shown, []).append(label)
    if len(prints) > known:
        remember_prints(book.repo, prints)
    found = {sheet.number: _one(by_print.get(sheet.picture, []), _label(book, sheet)) for sheet in carrying}
    return {number: label for number, label in found.items() if label}


def _one(labels: Sequence[str], named: str | None) -> str | None:
    """The only page, or the one that the label names; None where neither is."""
    return labels[0] if len(labels) == 1 else named if named in labels else None


def _print(shelf: Shelf, file: FileAt) -> str:
    from ledger.pictures.decode import Unreadable, digest

    try:
        return digest(shelf.pictures.read(file))
    except (Unreadable, ContentMissing, OSError):
        return ""


def _alike(shelf: Shelf, carrying: Sequence[Sheet], labelled: Mapping[int, str]) -> dict[int, str]:
    """Pages whose picture looks like one export and like no other; a label breaks a tie."""
    from ledger.pictures.looking import Mark, alike, mark

    marks = []
    for label, file in list(shelf.pictures.files.items())[:_MOST]:
        data = _bytes(shelf, file)
        seen = mark(data) if data else None
        if seen and seen.thumb:
            marks.append((label, seen))
    asked = [(f"sheet {sheet.number}", Mark(bytes.fromhex(sheet.tones))) for sheet in carrying]
    near = alike(marks, asked)
    found = {n: _one(near.get(f"sheet {n}", []), labelled.get(n)) for n in (sheet.number for sheet in carrying)}
    return {number: label for number, label in found.items() if label}


def _bytes(shelf: Shelf, file: FileAt) -> bytes | None:
    try:
        return shelf.pictures.read(file)
    except (ContentMissing, OSError):
        return None
