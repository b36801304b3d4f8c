"""`rounds`: every round, sign-off, slip, hand-off and delivery, in the order of history."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from ledger.desk.numbers import the_pass
from ledger.desk.opening import OpenBook, open_book
from ledger.gitedge.history import commits
from ledger.gitedge.snapshots import resolve_commit
from ledger.model.book import Pass
from ledger.model.entry import Alteration, Delivery, Entry, Handoff, Lock, Round
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.pages import page_label, page_numbers, parse_pages
from ledger.read.patterns import matches


def rounds(
    here: Path, pass_name: str | None = None, page: str | None = None
) -> tuple[str, tuple[Entry, ...], tuple[Finding, ...]]:
    """The book's title, its entries in order, of one pass or one page if named, and those that can't be read.

    Raises Refusal for wrong names.
    """
    book = open_book(here)
    state = book.working
    pass_ = the_pass(state.book, pass_name) if pass_name else None
    label = _label(page)
    chosen = [
        entry
        for entry in state.entries
        if (pass_ is None or about_pass(entry, pass_)) and (label is None or about_page(entry, label))
    ]
    return state.book.title, tuple(in_order(book, chosen)), state.findings


def _label(page: str | None) -> str | None:
    if page is None:
        return None
    label = page_label(page)
    if label is None:
        raise Refusal(f"--page: {page!r} is no page", remedy="write it as 12, 24-25, f1 or cover")
    return label


def in_order(book: OpenBook, entries: Iterable[Entry]) -> list[Entry]:
    """Entries by the commit that first held them; what is not recorded yet comes last, by name and number."""
    came: dict[str, int] = {}
    if resolve_commit(book.repo, "HEAD") is not None:
        for number, commit in enumerate(commits(book.repo, ["HEAD"], paths=["ledger"])):
            for change in commit.changes:
                if change.new is not None:
                    came.setdefault(change.path, number)
    return sorted(entries, key=lambda e: (came.get(e.path, len(came)), str(e.date)[:10], e.name, e.number))


def about_pass(entry: Entry, pass_: Pass) -> bool:
    """Whether an entry concerns a pass: its own rounds and sign-offs, slips and deliveries that name it."""
    if isinstance(entry, Alteration | Delivery):
        return pass_.name in entry.passes or any(matches(path, pass_) for path in entry.files)
    return isinstance(entry, Round | Lock | Handoff) and entry.pass_name == pass_.name


def about_page(entry: Entry, label: str) -> bool:
    """Whether an entry concerns a page; one that names no pages concerns them all. A spread is met by either half."""
    try:
        pages = parse_pages(entry.pages)
    except ValueError:
        return True
    return label in pages or any(str(number) in pages for number in page_numbers(label))
