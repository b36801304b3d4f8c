"""Pages whose picture became another one between two states, pass by pass."""

from __future__ import annotations

from ledger.desk.contents import Contents, Exports
from ledger.desk.opening import OpenBook
from ledger.judge.resting.made_from import Sources
from ledger.model.errors import ContentMissing
from ledger.model.pages import page_numbers
from ledger.model.snapshot import FileAt
from ledger.plan.numbering import Numbering
from ledger.read.state import BookState


def redrawn(book: OpenBook, old: Contents, new: Contents, numbering: Numbering) -> dict[str, frozenset[int]]:
    """Pass -> pages, by their old numbers, whose picture shows something else now.

    A picture that only goes by another number is not drawn again.
    """
    state = new.state or book.working
    names = [name for name in new.art if name in old.art]
    return {name: _of_pass(state, old.art[name](), new.art[name]()) for name in names}


def _of_pass(state: BookState, old: Exports, new: Exports) -> frozenset[int]:
    sources = Sources(state)
    before = {label: sources.known(file) for label, file in old.files.items()}
    after = {label: sources.known(file) for label, file in new.files.items()}
    renamed = set(after.values())
    found: set[int] = set()
    for label, oid in before.items():
        if label not in after or oid == after[label] or oid in renamed:
            continue
        if _shows_else(old, old.files[label], new, new.files[label], state.book.reading == "rtl"):
            found.update(page_numbers(label))
    return frozenset(found)


def _shows_else(old: Exports, before: FileAt, new: Exports, after: FileAt, rtl: bool) -> bool:
    """Whether a picture shows something else; one that can't be looked at is taken to."""
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import became

    try:
        return became(old.read(before), new.read(after), rtl=rtl).kind != "same"
    except (ContentMissing, Unreadable, OSError):
        return True
