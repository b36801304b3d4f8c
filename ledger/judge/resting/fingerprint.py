"""The page fingerprint: what a drawn page takes from the script, in two digests (docs/fingerprint.md).

The first leaves out the words a letterer letters: it changes with panels, roles, speakers, the number and order of
lines, and action. The second holds every word.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from functools import cached_property

from ledger.model.pages import page_numbers
from ledger.model.script import Draft, Line, Page
from ledger.model.words import normalise


class Fingerprints:
    """The pages of a draft with their lines and fingerprints, worked out when first asked for.

    An art page is asked for by its label: of a spread both script pages count, of one half the whole spread.
    """

    def __init__(self, draft: Draft) -> None:
        self.draft = draft
        self._pages: dict[int, list[Page]] = {}
        self._lines: dict[str, list[Line]] = {}
        self._known: dict[tuple[str, ...], str] = {}
        for page in draft.pages:
            for number in () if page.omitted else page_numbers(page.label):
                self._pages.setdefault(number, []).append(page)
        for line in draft.lines:
            if line.page is not None:
                self._lines.setdefault(line.page, []).append(line)

    def pages(self, label: str) -> list[Page]:
        """The script's pages that stand on an art page, omitted ones left out."""
        return list(dict.fromkeys(page for number in page_numbers(label) for page in self._pages.get(number, ())))

    def lines(self, label: str) -> list[Line]:
        """Their lines in reading order."""
        return [line for page in self.pages(label) for line in self._lines.get(page.label, ())]

    @cached_property
    def drawn(self) -> dict[str, list[str]]:
        """First digest -> labels of the script's pages that have it."""
        found: dict[str, list[str]] = {}
        for page in self.draft.pages:
            fingerprint = self.of(page.label) if page.holds else None
            if fingerprint:
                found.setdefault(fingerprint.partition("-")[0], []).append(page.label)
        return found

    def of(self, label: str) -> str | None:
        """Two SHA-256 digests in hex joined by "-", None where the script has no such page."""
        pages = self.pages(label)
        labels = tuple(page.label for page in pages)
        if pages and labels not in self._known:
            self._known[labels] = _fingerprint([(page, self._lines.get(page.label, ())) for page in pages])
        return self._known.get(labels)


def page_fingerprint(draft: Draft, label: str) -> str | None:
    """The fingerprint of one page; of many, ask `Fingerprints`."""
    return Fingerprints(draft).of(label)


def _fingerprint(pages: Sequence[tuple[Page, Sequence[Line]]]) -> str:
    records = [record for page, lines in pages for record in _records(page, lines)]
    drawn = "".join(f"{begins}\n" if words is None else f"{begins}\t\n" for begins, words in records)
    whole = "".join(f"{begins}\n" if words is None else f"{begins}\t{words}\n" for begins, words in records)
    return f"{_sha(drawn)}-{_sha(whole)}"


def _records(page: Page, lines: Sequence[Line]) -> Iterable[tuple[str, str | None]]:
    """A record a panel and a line: what both digests hold, and the words that only the second does."""
    if not page.panels:
        yield "panel", None
        yield from (_record(line) for line in lines)
        return
    yield from (_record(line) for line in lines if line.panel is None)
    for panel in page.panels:
        yield "panel", None
        yield from (_record(line) for line in lines if line.panel == panel.number)


def _record(line: Line) -> tuple[str, str | None]:
    begins = f"{line.role}\t{' '.join(line.speaker.split())}"
    words = normalise(line.text)
    return (begins, words) if line.lettered else (f"{begins}\t{words}", None)


def _sha(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
