"""What `receive` says: in sentences and as a document."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ledger.model.outcome import Outcome
from ledger.model.pages import pages_counted, pages_text, pages_words
from ledger.model.returned import Return, Returned
from ledger.render.outcome import outcome_document
from ledger.render.plain import one_line, plural


def count_said(found: Return) -> str:
    """`3 of 4 pages of flats are as asked.`"""
    good, asked = pages_counted(found.good), pages_counted(page.page for page in found.pages)
    return f"{good} of {plural(asked, 'page')} of {found.lending.pass_name} {'is' if good == 1 else 'are'} as asked."


def check_said(found: Return) -> Iterator[str]:
    """What a helper is told who has the pages judged before sending them."""
    yield count_said(found)
    if found.missing:
        yield f"Not there: {_pages(found.missing)}."
    if found.held_back:
        yield f"To be mended: {_pages(found.held_back)}."
    elif len(found.good) == len(found.pages) and not any(each.blocks for each in found.beside):
        yield "They can be sent back. Nothing was written."


def taken_said(found: Return, taken: list[str], outcome: Outcome, again: str) -> Iterator[str]:
    """What was taken in, what was held back, and what comes next; `again` is the file to send back, "" for none."""
    lending = found.lending
    whom = f" from {one_line(lending.to)}" if lending.to else ""
    if outcome.entry and taken:
        what = f"{_pages(taken)} of {lending.pass_name}{whom} {_are(taken)} in the book"
        yield f"{outcome.entry}: {what} ({lending.entry})."
    elif outcome.entry:
        yield f"{outcome.entry}: nothing{whom} could be taken in ({lending.entry})."
    elif found.good:
        yield f"Received before: {_pages(found.good)} of {lending.pass_name}. Nothing was written."
    else:
        yield "Nothing was taken in, and nothing was recorded."
    if found.held_back:
        yield f"Held back: {_pages(found.held_back)}."
    if found.missing:
        yield f"Not there: {_pages(found.missing)}."
    if again:
        yield f"To send back: {again}"
    if outcome.entry and taken:
        yield f"Look at them, and then: inkledger enter {lending.pass_name}"


def _pages(labels: list[str]) -> str:
    return pages_words(pages_text(labels))


def _are(labels: list[str]) -> str:
    return "is" if len(labels) == 1 else "are"


def return_document(outcome: Outcome, found: Return) -> dict[str, Any]:
    """The document of commands.md §3, with the general one's keys."""
    return {**outcome_document(outcome), "pages": [_page(each) for each in found.pages]}


def _page(each: Returned) -> dict[str, Any]:
    return {
        "page": each.page, "path": each.path, "sha256": each.sha256 or None, "size": each.size, "px": list(each.px),
        "mode": each.mode or None, "ppi": each.ppi, "accepted": each.accepted, "placed": each.placed or None,
    }  # fmt: skip
