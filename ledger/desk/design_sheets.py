"""Pages that were drawn before the design sheet of somebody on them changed: a pointer, no verdict."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from ledger.desk.opening import OpenBook
from ledger.gitedge.tags import files_at_tags
from ledger.judge.design_sheets import drawn_in, pages_with
from ledger.model.book import Pass
from ledger.model.errors import ContentMissing
from ledger.model.pages import label_order, page_numbers
from ledger.model.standing import DrawnBefore
from ledger.read.patterns import fits, in_reading_order
from ledger.read.state import BookState


def drawn_before(book: OpenBook, state: BookState) -> tuple[DrawnBefore, ...]:
    """For everybody whose sheet changed, pass by pass, the pages entered before that on which they are.

    A sheet changed where the commit of the page's round holds a file of it otherwise, or holds others of its files
    but not this one; where it holds none there was no sheet to draw from. A pass that closes wording alone draws
    nobody and is left out. A partial clone can't tell.
    """
    patterns = {person: person.sheet for person in state.book.cast if person.sheet}
    sheets = {person: found for person, pattern in patterns.items() if (found := _files(state, pattern))}
    script = state.book.main_script()
    if not sheets or script is None or book.repo.partial:
        return ()
    drawn = {each.name: drawn_in(state, each) for each in state.book.passes if _draws(each)}
    tags = {entry.tag for rounds in drawn.values() for entry in rounds.values()}
    wanted = [*dict.fromkeys(path for files in sheets.values() for path in files)]
    then = _SheetsThen(state, files_at_tags(book.repo, tags, wanted))
    told: list[DrawnBefore] = []
    for person, files in sheets.items():
        there = pages_with(state.draft(script.name), person)
        for name, rounds in drawn.items():
            on = [label for label in sorted(rounds, key=label_order) if _on(label, there)]
            changed = {label: gone for label in on if (gone := then.changed(files, rounds[label].tag))}
            paths = tuple(path for path in files if any(path in each for each in changed.values()))
            if changed:
                told.append(DrawnBefore(person.name, paths, name, tuple(changed)))
    return tuple(told)


@dataclass
class _SheetsThen:
    """The files of the sheets as the commits of rounds hold them: tag -> path -> object id."""

    state: BookState
    held: Mapping[str, Mapping[str, str]]
    _same: dict[tuple[str, str], bool] = field(default_factory=dict)

    def changed(self, files: Iterable[str], tag: str) -> list[str]:
        """Those of the files of one sheet that are not as they were; none where nothing of it was there."""
        then = self.held.get(tag, {})
        if not any(path in then for path in files):
            return []
        return [path for path in files if path not in then or not self._as_it_was(path, then[path])]

    def _as_it_was(self, path: str, oid: str) -> bool:
        """A file that git has not looked at again is looked at here; what can't be read has not changed."""
        file = self.state.snapshot.files[path]
        if file.oid is not None:
            return file.oid == oid
        if (path, oid) not in self._same:
            try:
                same = self.state.snapshot.read(path) == self.state.snapshot.store.blob(oid)
            except (ContentMissing, OSError):
                same = True
            self._same[path, oid] = same
        return self._same[path, oid]


def _draws(pass_: Pass) -> bool:
    return pass_.kind == "art" and pass_.locks != ("wording",)


def _files(state: BookState, pattern: str) -> list[str]:
    return in_reading_order(path for path in state.snapshot.files if fits(path, pattern))


def _on(label: str, pages: frozenset[str]) -> bool:
    """Whether an export shows one of these pages of the script: that page, a half of it, or a spread with it."""
    numbers = set(page_numbers(label))
    return label in pages or any(numbers & set(page_numbers(page)) for page in pages)
