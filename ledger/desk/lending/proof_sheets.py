"""The sheets of a proof, of a folder of pictures or a PDF: in their order, each brought down by an assistant."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from pathlib import PurePosixPath
from typing import NamedTuple

from ledger.model.errors import Refusal
from ledger.model.proof import ProofSheet
from ledger.pictures.assistants import Broken, Job, done
from ledger.pictures.files.header import Unreadable
from ledger.pictures.guarded import look, small
from ledger.pictures.returns.known_again import Small, laid, packed, small_or_why, unpacked
from ledger.read.marginalia.pdf import MOST_BYTES
from ledger.read.marginalia.pdf_sheets import PdfSheet, read_sheets
from ledger.read.page_names import PICTURES, natural
from ledger.read.returned_bundle import MOST_PAGE, Holder, Unfit, judged_names, left_by_systems, name_fault

#: What a PDF begins with, somewhere in its first KiB.
PDF = b"%PDF-"
_NO_PICTURE = "it carries no picture of the page"


class Sheets(NamedTuple):
    """The sheets in their order with what each shows, and the files that are none, with why."""

    every: list[tuple[ProofSheet, Small | None]]
    aside: list[tuple[str, str]]


def read_proof(holder: Holder, shown: str, most: int, *, pdf: bool = False) -> Sheets:
    """Reads what came: pictures and PDFs in the order of their names, or one PDF (`pdf`), whatever its name.

    Raises Refusal for what holds no sheet, or more than `most`, and for a PDF that can't be read.
    """
    if pdf:
        return _one_pdf(holder, shown, most)
    found = {path: each for path, each in judged_names(holder.found()).items() if not left_by_systems(path)}
    paths = sorted((path for path in found if _kind(path) and not name_fault(path)), key=natural)
    taken = set(paths)
    aside = [(path, each.unfit or "is no picture and no PDF") for path, each in found.items() if path not in taken]
    if len(paths) > most:
        raise _too_many(len(paths), shown, most)
    reading = _Reading(holder, {path: each.unfit for path, each in found.items()}, shown, most)
    for path in paths:
        reading.take(path)
    reading.look()
    if not reading.every:
        raise Refusal("it holds no sheets of a proof", path=shown,
                      remedy="name a folder of pictures, or a PDF")  # fmt: skip
    return Sheets([(sheet, reading.smalls.get(sheet.number)) for sheet in reading.every], aside)


def _one_pdf(holder: Holder, shown: str, most: int) -> Sheets:
    reading = _Reading(holder, {}, shown, most)
    for each in holder.found():
        reading.pages(each.path)
    return Sheets([(sheet, reading.smalls.get(sheet.number)) for sheet in reading.every], [])


def _kind(path: str) -> str:
    suffix = PurePosixPath(path).suffix.lower()
    return "pdf" if suffix == ".pdf" else "picture" if suffix in PICTURES else ""


class _Reading:
    """A proof on its way in; pictures are looked at together at the end."""

    def __init__(self, holder: Holder, unfit: dict[str, str], shown: str, most: int) -> None:
        self.holder, self.unfit, self.shown, self.most = holder, unfit, shown, most
        self.every: list[ProofSheet] = []
        self.smalls: dict[int, Small] = {}

    def take(self, path: str) -> None:
        """The next file: a sheet, or as many as a PDF has pages."""
        if _kind(path) == "picture" or self.unfit[path]:
            self._next(path, 0, self.unfit[path])
        else:
            self.pages(path)

    def pages(self, path: str) -> None:
        """The pages of a PDF."""
        try:
            data = self.holder.read(path, MOST_BYTES)
        except Unfit as fault:
            self._next(path, 0, fault.why)
            return
        for page in read_sheets(self._name(path), data, looked_at):
            self._page(path, page)
        if len(self.every) > self.most:
            raise _too_many(len(self.every), self.shown, self.most)

    def _name(self, path: str) -> str:
        return self.shown if PurePosixPath(self.shown).name == path else f"{self.shown}: {path}"

    def _next(self, path: str, at: int, unread: str = "") -> int:
        self.every.append(ProofSheet(len(self.every) + 1, path, at, unread))
        return len(self.every)

    def _page(self, path: str, page: PdfSheet) -> None:
        unread = "" if page.small or page.bare else "its picture can't be unpacked" if page.known else _NO_PICTURE
        number = self._next(path, page.number, unread)
        if page.bare:
            self.every[-1] = self.every[-1]._replace(blank=True)
        elif page.small:
            self._seen(number, laid(unpacked(page.small), *page.lies))

    def look(self) -> None:
        """Brings the pictures down; two are looked at at a time."""
        asked: list[int] = []

        def jobs() -> Iterator[Job]:
            for sheet in [each for each in self.every if not (each.at or each.unread)]:
                try:
                    data = self.holder.read(sheet.path, MOST_PAGE)
                except Unfit as fault:
                    self.every[sheet.number - 1] = sheet._replace(unread=fault.why)
                    continue
                self.every[sheet.number - 1] = _facts(sheet, data)
                asked.append(sheet.number)
                yield small_or_why, (data,)

        for at, answer in done(jobs()):
            if isinstance(answer, (Broken, str)):
                why = answer.why if isinstance(answer, Broken) else answer
                sheet = self.every[asked[at] - 1]
                self.every[asked[at] - 1] = sheet._replace(unread=f"can't be read as a picture: {why}")
            else:
                self._seen(asked[at], answer)

    def _seen(self, number: int, small_: Small) -> None:
        self.smalls[number] = small_
        seen = sha256(repr(small_.size).encode() + small_.tones).hexdigest()[:16]
        self.every[number - 1] = self.every[number - 1]._replace(seen=seen, px=small_.px)


def _facts(sheet: ProofSheet, data: bytes) -> ProofSheet:
    """Digest, size, mode and resolution of a picture's file, as far as its header tells."""
    sheet = sheet._replace(sha256=sha256(data).hexdigest(), size=len(data))
    try:
        seen = look(data)
    except Unreadable:
        return sheet
    return sheet._replace(px=seen.size, mode=seen.mode, ppi=round(seen.ppi[0], 2) if seen.ppi else None)


def looked_at(data: bytes) -> tuple[str, str]:
    """What a picture of a PDF is known by: its form, and itself brought down. Raises Unreadable."""
    return "picture", packed(small(data))


def _too_many(count: int, shown: str, most: int) -> Refusal:
    return Refusal(f"it holds {count:,} sheets, many more than pages were delivered", path=shown,
                   remedy=f"name the proof alone; more than {most:,} sheets are not looked at")  # fmt: skip
