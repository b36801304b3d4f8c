"""The page fingerprint: what a drawn page takes from the script, in two digests (docs/fingerprint.md).

The first leaves out the words a letterer letters: it changes with panels, roles, speakers, the number and order of
lines, and action. The second holds every word.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence

from ledger.model.pages import page_numbers
from ledger.model.script import Draft, Line, Page
from ledger.model.words import normalise


def script_pages(draft: Draft, label: str) -> list[Page]:
    """The script's pages that stand on an art page: of a spread both, of one half the whole spread."""
    numbers = set(page_numbers(label))
    return [page for page in draft.pages if not page.omitted and numbers & set(page_numbers(page.label))]


def page_fingerprint(draft: Draft, label: str) -> str | None:
    """Two SHA-256 digests in hex joined by "-", None where the script has no such page."""
    pages = script_pages(draft, label)
    return fingerprint_of(pages, draft.lines) if pages else None


def fingerprint_of(pages: Sequence[Page], lines: Iterable[Line]) -> str:
    """The fingerprint of these pages of a draft, whose lines are picked from `lines`."""
    labels = [page.label for page in pages]
    mine = [line for line in lines if line.page in labels]
    records = [record for page in pages for record in _records(page, [x for x in mine if x.page == page.label])]
    drawn = "".join(text if words is None else f"{text}\n" for text, words in records)
    whole = "".join(text if words is None else f"{text}{words}\n" for text, words in records)
    return f"{_sha(drawn)}-{_sha(whole)}"


def _records(page: Page, lines: Sequence[Line]) -> Iterable[tuple[str, str | None]]:
    """A record a panel and a line: what both digests hold, and the words that only the second does."""
    if not page.panels:
        yield "panel\n", None
        yield from (_record(line) for line in lines)
        return
    yield from (_record(line) for line in lines if line.panel is None)
    for panel in page.panels:
        yield "panel\n", None
        yield from (_record(line) for line in lines if line.panel == panel.number)


def _record(line: Line) -> tuple[str, str | None]:
    begins = f"{line.role}\t{' '.join(line.speaker.split())}\t"
    words = normalise(line.text)
    return (begins, words) if line.lettered else (f"{begins}{words}\n", None)


def _sha(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
