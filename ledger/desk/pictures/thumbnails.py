"""Exports made small for a page that shows many of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ledger.model.book import Pass
from ledger.model.errors import ContentMissing
from ledger.model.pages import page_numbers
from ledger.model.plate import Shown
from ledger.model.snapshot import FileAt
from ledger.read.state import BookState

#: Long side in px of a picture, and what one may take in bytes: 160 pages of 8 passes stay below 6 MiB written out.
SIDE, MOST_BYTES = 96, 3_000


def thumbnails(state: BookState, passes: Iterable[Pass], side: int = SIDE) -> dict[str, dict[str, Shown]]:
    """Pass -> page label -> its export, small; what can't be read or is not here is left out."""
    return {each.name: _of_pass(state, state.exports(each), side) for each in passes if each.kind == "art"}


def _of_pass(state: BookState, exports: Mapping[str, tuple[FileAt, ...]], side: int) -> dict[str, Shown]:
    return {label: shown for label, files in exports.items() if (shown := _small(state, files[0], side))}


def _small(state: BookState, file: FileAt, side: int) -> Shown | None:
    from ledger.pictures.decode import Unreadable
    from ledger.pictures.plates import plate

    try:
        return plate(state.snapshot.store.read(file), [], side, MOST_BYTES) if file.regular else None
    except (ContentMissing, Unreadable, OSError):
        return None


def by_page(shown: Mapping[str, Shown]) -> dict[str, Shown]:
    """Page -> picture; of a spread the picture stands at its first page."""
    return {(str(page_numbers(label)[0]) if page_numbers(label) else label): each for label, each in shown.items()}
