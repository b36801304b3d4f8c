"""Which page of the book a page of a marked PDF is: told by the picture it carries, else by its label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from ledger.desk.notes.gathered import BookShelf
from ledger.desk.notes.writing import named_round
from ledger.desk.opening import OpenBook
from ledger.desk.pictures.picture_memory import prints_remembered, remember_prints
from ledger.judge.notes.history import Moment
from ledger.judge.notes.pictures import Pictures
from ledger.model.errors import ContentMissing
from ledger.model.pages import page_label, page_numbers
from ledger.model.snapshot import FileAt
from ledger.read.marginalia.pdf import MarkedPdf, Sheet

#: No more exports of a pass than this are decoded to find a page by its looks (own choice).
_MOST = 600
#: A round counts that knows at least this share of the pages that the best one knows; a page is told from the next
#: likest one where that lies twice as far away (own choice: copies at a third of the size lie ten times nearer).
_NEARLY, _CLEARLY = 0.8, 2.0
#: So many rounds of a pass are asked for the very pixels, and so many before the newest one for the looks.
_ROUNDS, _BEFORE = 12, 3


@dataclass(frozen=True)
class Shelf:
    """The exports of one round; whether it is the newest of its pass."""

    entry: str
    pictures: Pictures
    newest: bool = True


def pages_of(book: OpenBook, marked: MarkedPdf, on: str | None) -> tuple[dict[int, str], str]:
    """Page of the file -> page of the book, and the round whose pictures they carry ("" where they carry none).

    The picture decides: the very pixels of an export, else one that looks like it and like no other as much. Then the
    label that the file gives the page counts, if the book has such a page. All others are no page of this book.
    """
    labelled = {sheet.number: label for sheet in marked.sheets if (label := _label(book, sheet)) is not None}
    carrying = [sheet for sheet in marked.sheets if sheet.picture]
    shelves = _shelves(book, on) if carrying else []
    same: dict[str, dict[int, str]] = {}
    for shelf in shelves:
        same[shelf.entry] = _same(book, shelf, carrying)
        if len(same[shelf.entry]) == len(carrying):
            break
    entry = max(same, key=lambda name: len(same[name]), default="")
    exact = same.get(entry, {})
    left = [sheet for sheet in carrying if sheet.number not in exact]
    asked = [shelf for shelf in shelves if (shelf.entry == entry if exact else shelf.newest)] if left else []
    entry_alike, looks = _likeliest([(shelf.entry, _alike(shelf, left, labelled)) for shelf in asked])
    if looks and not exact:
        pass_name = entry_alike.rpartition("-")[0]
        before = [each for each in shelves if not each.newest and each.entry.rpartition("-")[0] == pass_name]
        older = [(shelf.entry, _alike(shelf, left, labelled)) for shelf in before[:_BEFORE]]
        entry_alike, looks = _likeliest([(entry_alike, looks), *older])
    labels = {number: seen.label for number, seen in looks.items()}
    return {**labelled, **labels, **exact}, entry if exact else entry_alike


class Seen(NamedTuple):
    """The page that a picture looks like, and how far apart their tones lie."""

    label: str
    apart: float


def _likeliest(tried: Sequence[tuple[str, Mapping[int, Seen]]]) -> tuple[str, Mapping[int, Seen]]:
    """The round whose pages the pictures look like: of those that know nearly all of them the one with the nearest."""
    most = max((len(found) for _, found in tried), default=0)
    fit = [(entry, found) for entry, found in tried if found and len(found) >= _NEARLY * most]
    return min(fit, key=lambda each: sum(seen.apart for seen in each[1].values()) / len(each[1]), default=("", {}))


def look(data: bytes) -> tuple[str, str]:
    """What a picture is known by, and the tones it is known again by. Raises Unreadable."""
    from ledger.pictures.guarded import digest, mark

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


def _shelves(book: OpenBook, on: str | None) -> list[Shelf]:
    """The round that was asked for if it is drawn; else the newest round of every art pass, then the older ones."""
    shelf = BookShelf(book, book.working)
    found: list[Shelf] = []
    for pass_ in reversed(book.working.book.passes):
        numbers = list(reversed(shelf.numbers(pass_.name))) if pass_.kind == "art" else []
        for number in numbers[:_ROUNDS]:
            pictures = shelf.pictures(Moment(pass_.name, number))
            if pictures:
                found.append(Shelf(f"{pass_.name}-{number}", pictures, number == numbers[0]))
    if on:
        name = named_round(book, on)
        return [replace(each, newest=True) for each in found if each.entry == name]
    return sorted(found, key=lambda each: not each.newest)


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
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import digest

    try:
        return digest(shelf.pictures.read(file))
    except (Unreadable, ContentMissing, OSError):
        return ""


def _alike(shelf: Shelf, carrying: Sequence[Sheet], labelled: Mapping[int, str]) -> dict[int, Seen]:
    """Pages whose picture looks like one export, and like no other half as much; a label breaks a tie."""
    from ledger.pictures.guarded import mark
    from ledger.pictures.looking import alike
    from ledger.pictures.verdicts import Mark

    marks: dict[str, Mark] = {}
    for label, file in list(shelf.pictures.files.items())[:_MOST]:
        data = _bytes(shelf, file)
        seen = mark(data) if data else None
        if seen and seen.thumb:
            marks[label] = seen
    tones = {sheet.number: bytes.fromhex(sheet.tones) for sheet in carrying}
    near = alike(list(marks.items()), [(f"sheet {number}", Mark(thumb)) for number, thumb in tones.items()])
    found = {}
    for number, thumb in tones.items():
        ranked = sorted((_apart(thumb, marks[label].thumb), label) for label in near.get(f"sheet {number}", []))
        clear = [label for apart, label in ranked if apart <= _CLEARLY * ranked[0][0]]
        likeliest = _one(clear, labelled.get(number))
        if likeliest:
            found[number] = Seen(likeliest, _apart(thumb, marks[likeliest].thumb))
    return found


def _apart(one: bytes, other: bytes) -> float:
    """The mean of the squares by which two pictures' tones differ."""
    return sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) / max(1, len(one))


def _bytes(shelf: Shelf, file: FileAt) -> bytes | None:
    try:
        return shelf.pictures.read(file)
    except (ContentMissing, OSError):
        return None
