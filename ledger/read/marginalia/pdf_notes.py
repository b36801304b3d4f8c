"""The marks of a PDF as notes: strokes named, groups put together, answers under what they answer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from ledger.model.coming_in import Left, NoteIn, NotesIn
from ledger.model.note import Anchor, Reply
from ledger.read.marginalia.margins import reply_of
from ledger.read.marginalia.pdf import ON_WORDS, STROKES, Mark, MarkedPdf, Sheet
from ledger.read.marginalia.places import Finds, phrase, settled, told
from ledger.read.marginalia.plain import one_row


def pdf_notes(source: str, marked: MarkedPdf, labels: Mapping[int, str], finds: Finds, on: str = "") -> NotesIn:
    """The notes of a PDF. `labels` says which page of the book a page of the file is; one that is none is named."""
    reading = _Reading(source, marked, labels, finds)
    notes = tuple(reading.notes())
    left = [Left("foreign", times, f"page {number}") for number, times in sorted(reading.foreign.items())]
    return NotesIn(source, notes, tuple(left), on)


class _Reading:
    """Marks by what they belong to: `parts` of a group, `answers` to a mark."""

    def __init__(self, source: str, marked: MarkedPdf, labels: Mapping[int, str], finds: Finds) -> None:
        self.source, self.marks, self.labels, self.finds = source, marked.marks, labels, finds
        self.sheets: dict[int, Sheet] = {sheet.number: sheet for sheet in marked.sheets}
        self.foreign: Counter[int] = Counter()
        self.parts: dict[int, list[Mark]] = {}
        self.answers: dict[int, list[Mark]] = {}
        self.heads: list[int] = []
        for at, mark in enumerate(self.marks):
            head = self._head(at)
            if head == at:
                self.heads.append(at)
            elif mark.grouped and mark.answers == head:
                self.parts.setdefault(head, []).append(mark)
            else:
                self.answers.setdefault(head, []).append(mark)

    def _head(self, at: int) -> int:
        """The mark at the top of what one belongs to; a ring has none, so each of it stands alone."""
        seen: set[int] = set()
        here = at
        while (above := self.marks[here].answers) != -1:
            if here in seen or not 0 <= above < len(self.marks):
                return at
            seen.add(here)
            here = above
        return here

    def notes(self) -> Iterator[NoteIn]:
        """One note for each mark that belongs to no other, in the order of the pages."""
        for at in self.heads:
            yield self._note(self.marks[at], self.parts.get(at, []), self.answers.get(at, []))

    def _note(self, mark: Mark, parts: list[Mark], answers: list[Mark]) -> NoteIn:
        group = [mark, *parts]
        under = next((each.words for each in group if each.words), "")
        spot = next((each for each in group if each.kind in ON_WORDS), mark)
        place = self._place(spot, phrase(under))
        text = _replacing(group, under) or "\n".join(filter(None, (_said(each, place) for each in group)))
        own = "\n".join(each.text for each in group if each.text) or _said(mark, Anchor())
        if not told(place):
            self.foreign[mark.page] += 1
            text = f"page {mark.page} of {one_row(self.source.rpartition('/')[2])}: {text}"
        kind = "replace" if _replacing(group, under) else mark.kind.lower()
        replies = tuple(self._reply(each) for each in answers)
        return NoteIn(
            text, told(place), mark.author, mark.date, kind, mark.name, f"{mark.page} {mark.box}", replies, own=own
        )

    def _reply(self, mark: Mark) -> Reply:
        return reply_of(mark.author, mark.date, mark.text or STROKES[mark.kind])

    def _place(self, mark: Mark, quote: str) -> Anchor:
        """The words under a stroke where the script has them, on their page if that is known; else the spot."""
        label = self.labels.get(mark.page)
        quoted = [Anchor(page=label, quote=quote)] * bool(quote and label) + [Anchor(quote=quote)] * bool(quote)
        if self.sheets[mark.page].picture:
            quoted = quoted[:-1]
        found = settled(quoted, self.finds)
        if told(found):
            return found
        return Anchor(page=label, spot=mark.spot) if label else Anchor()


def _replacing(group: list[Mark], under: str) -> str:
    """What a struck-out word and a caret of one group ask for: to replace the one by what the other says."""
    struck = next((each for each in group if each.kind == "StrikeOut"), None)
    caret = next((each for each in group if each.kind == "Caret"), None)
    if struck is None or caret is None:
        return ""
    new = caret.text or struck.text
    more = f"\n{struck.text}" if caret.text and struck.text else ""
    return f"replace \u201c{one_row(under) or '...'}\u201d with \u201c{new}\u201d{more}"


def _said(mark: Mark, place: Anchor) -> str:
    """The words of a mark; a bare one says what stroke it is; a struck word and a caret say so in any case."""
    words = f"\u201c{one_row(mark.words)}\u201d" if mark.words else ""
    if mark.kind in ("StrikeOut", "Caret") or not mark.text:
        head = " ".join(filter(None, (STROKES[mark.kind], words)))
        return f"{head}: {mark.text}" if mark.text else head
    return f"{words}: {mark.text}" if words and not place.quote else mark.text
