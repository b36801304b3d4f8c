"""Exports made small for a page that shows many of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ledger.desk.pictures.looked_at import LookedAt, looked_at
from ledger.desk.pictures.picture_memory import prints_remembered, remember_prints
from ledger.judge.exports.judged import DECODED_FOR_DOUBLES
from ledger.judge.resting.made_from import blob_id
from ledger.model.book import Pass
from ledger.model.errors import ContentMissing
from ledger.model.pages import PageSet, page_numbers
from ledger.model.plate import Shown
from ledger.model.snapshot import FileAt
from ledger.read.state import BookState

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository
    from ledger.pictures.assistants import Job

#: Long side in px of a picture, and what one may take in bytes: 160 pages of 8 passes stay below 6 MiB written out.
SIDE, MOST_BYTES = 96, 3_000
#: Long side in px of the pictures on the sheet of a delivery.
DELIVERED = 160
#: Bytes of small pictures kept in the git folder: those of a whole book.
_KEPT = 16_000_000


def thumbnails(
    state: BookState, passes: Iterable[Pass], side: int = SIDE, repo: Repository | None = None
) -> dict[str, dict[str, Shown]]:
    """Pass -> page label -> its export, small; what can't be read or is not here is left out.

    With a repository they are kept in its git folder, so that no export is made small twice.
    """
    from ledger.pictures.assistants import done

    with looked_at(repo, "small", _KEPT) as memory:
        sheet = _Sheet(state, side, memory)
        for number, shown in done(sheet.unknown(each for each in passes if each.kind == "art")):
            sheet.take(number, shown)
    return sheet.found


def keep_small(repo: Repository, state: BookState, pass_: Pass, pages: PageSet) -> None:
    """Makes and keeps the small pictures of pages that were just signed off, two at a time.

    The wall chart and the sheet of a delivery find them. Where the pass is small enough that its pictures are held
    against each other decoded, what each is known by is kept as well. What can't be kept costs time later, no more.
    """
    from ledger.pictures.assistants import done
    from ledger.pictures.examined import WHITE
    from ledger.pictures.noted import set_name, shown_written
    from ledger.pictures.plates import Reduced, reduced

    several = len(state.exports(pass_))
    prints: dict[str, str] = {}
    asked: list[str] = []
    with looked_at(repo, "small", _KEPT) as memory:

        def jobs() -> Iterator[Job]:
            chosen = (files for label, files in state.exports(pass_).items() if label in pages)
            for file in (file for files in chosen for file in files):
                if not file.oid:
                    continue
                kept = all(set_name("small", file.oid, side) in memory for side in (SIDE, DELIVERED))
                if not kept and (data := _read(state, file)):
                    asked.append(file.oid)
                    yield reduced, (data, (SIDE, DELIVERED), several, DECODED_FOR_DOUBLES)

        for number, found in done(jobs()):
            if isinstance(found, Reduced):
                for side, shown in found.small:
                    memory[set_name("small", asked[number], side)] = shown_written(shown)
                if found.digest is not None:
                    prints[asked[number]] = found.digest or WHITE
    if prints:
        remember_prints(repo, {**prints_remembered(repo), **prints})


def _read(state: BookState, file: FileAt) -> bytes | None:
    try:
        return state.snapshot.store.read(file) if file.regular else None
    except (ContentMissing, OSError):
        return None


@dataclass
class _Sheet:
    """The small pictures as they come in; `asked` are those that are being made: pass, page, name in the memory."""

    state: BookState
    side: int
    memory: LookedAt
    found: dict[str, dict[str, Shown]] = field(default_factory=dict)
    asked: list[tuple[str, str, str]] = field(default_factory=list)

    def unknown(self, passes: Iterable[Pass]) -> Iterator[Job]:
        """What is to be made; what is remembered is found at once."""
        from ledger.pictures.noted import set_name, shown_read
        from ledger.pictures.plates import small

        for each in passes:
            pages = self.found.setdefault(each.name, {})
            for label, files in self.state.exports(each).items():
                data = None if files[0].oid else _read(self.state, files[0])
                key = files[0].oid or (blob_id(data) if data else "")
                name = set_name("small", key, self.side)
                if known := shown_read(self.memory.get(name)):
                    pages[label] = known
                elif data := data or _read(self.state, files[0]):
                    self.asked.append((each.name, label, name))
                    yield small, (data, self.side, MOST_BYTES)

    def take(self, number: int, shown: object) -> None:
        """Keeps what was made for a job; what broke is left out."""
        from ledger.pictures.noted import shown_written

        name, label, kept = self.asked[number]
        if isinstance(shown, Shown):
            self.found[name][label] = shown
            self.memory[kept] = shown_written(shown)


def by_page(shown: Mapping[str, Shown]) -> dict[str, Shown]:
    """Page -> picture; of a spread the picture stands at its first page."""
    return {(str(page_numbers(label)[0]) if page_numbers(label) else label): each for label, each in shown.items()}
