"""`notes agenda`: what is open, scene by scene and page by page in reading order."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import groupby
from pathlib import Path

from ledger.desk.notes.gathered import BookShelf, followed_notes
from ledger.desk.notes.listing import arrived
from ledger.desk.notes.writing import somebody
from ledger.desk.opening import open_book
from ledger.judge.notes.places import find_places
from ledger.model.agenda import Agenda, Errand, Stop
from ledger.model.note import Anchor, Followed
from ledger.model.pages import label_order
from ledger.model.script import Draft, Scene
from ledger.read.anchors import read_anchor
from ledger.read.notes_rounds import notes_rounds

#: States that an author still has to do something about; carried notes come last, they are put off.
_OPEN = ("open", "query")

#: Where an errand stands in the walk: its kind's place, scene, page and panel.
_Key = tuple[int, int, tuple[int, int, str], int, int]


def agenda(here: Path) -> Agenda:
    """The open notes of your files now, each where its place is now."""
    book = open_book(here)
    readers = {each.path: each.reader for each in notes_rounds(book.working)}
    every = followed_notes(book, book.working)
    there = arrived(BookShelf(book, book.working), every)
    walk = _Walk(book.working.script_draft(), [to for to, come in there.items() if come])
    found = [f for f in every if f.note.state in (*_OPEN, "carried")]
    ordered = sorted(((walk.key(f), f) for f in found), key=lambda pair: pair[0])
    stops = [
        walk.stop(kind, scene, [(f, readers.get(f.note.path, "")) for _, f in group])
        for (kind, scene), group in groupby(ordered, key=lambda pair: pair[0][:2])
    ]
    return Agenda(book.working.book.title, somebody(book)[1], tuple(stops))


_KINDS = ("book", "scene", "pages", "gone", "later")


class _Walk:
    """The draft as an author walks through it; `come` is what notes were carried to and is there by now."""

    def __init__(self, draft: Draft, come: Collection[str]) -> None:
        self.draft = draft
        self.come = come
        self.scenes: dict[int, Scene] = {scene.index: scene for scene in draft.scenes}

    def key(self, followed: Followed) -> _Key:
        """Where a note stands in the walk."""
        page, panel, scene, line = self._now(followed)
        kind = self._kind(followed, page, scene)
        return (_KINDS.index(kind), scene if kind == "scene" else -1, label_order(page), panel, line)

    def stop(self, kind: int, scene: int, group: Sequence[tuple[Followed, str]]) -> Stop:
        """The errands of one place of the walk."""
        errands = tuple(Errand(f, reader, self._now(f)[0], f.note.carried_to in self.come) for f, reader in group)
        at = self.scenes.get(scene)
        return Stop(_KINDS[kind], errands, at.title if at and at.headed else "", at.chapter if at else "")

    def _kind(self, followed: Followed, page: str, scene: int) -> str:
        if followed.note.state == "carried":
            return "later"
        if not followed.note.anchor.typed:
            return "book"
        if followed.evidence in ("cut", "unplaced") or followed.place_now is None:
            return "gone"
        return "scene" if scene >= 0 else "pages"

    def _now(self, followed: Followed) -> tuple[str, int, int, int]:
        """Page, panel, scene and line of its place now; "", 0, -1 and 0 where there is none."""
        anchor = read_anchor(followed.place_now) if followed.place_now else None
        if anchor is None:
            return "", 0, -1, 0
        found = find_places(anchor, self.draft) or find_places(Anchor(page=anchor.page), self.draft)
        place = found[0] if found else None
        lines = place.lines if place else ()
        page = anchor.page or (lines[0].page if lines else None) or ""
        scene = place.scenes[0].index if place and place.scenes else lines[0].scene if lines else -1
        whole = anchor.scene is not None or anchor.chapter is not None
        return page, 0 if whole else anchor.panel or 0, scene, 0 if whole or not lines else lines[0].line
