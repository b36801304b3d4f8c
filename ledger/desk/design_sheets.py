"""Pages that were drawn before the design sheet of somebody on them changed: a pointer, no verdict."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ledger.desk.opening import OpenBook
from ledger.gitedge.tags import files_at_tags
from ledger.judge.resting.design_sheets import drawn_in, pages_with
from ledger.model.book import Pass
from ledger.model.errors import ContentMissing
from ledger.model.pages import label_order, page_numbers
from ledger.model.standing import DrawnBefore
from ledger.read.patterns import fits, in_reading_order
from ledger.read.state import BookState


def drawn_before(book: OpenBook, state: BookState) -> tuple[DrawnBefore, ...]:
    """For everybody whose sheet changed, pass by pass, the pages entered before that on which they are.

    A sheet changed where the commit of the page's round has other files for it: one that holds something else, one
    more, one less. A file under another name is no change; where the commit has none there was no sheet to draw from.
    A pass that closes wording alone draws nobody and is left out. A partial clone can't tell.
    """
    patterns = {person: person.sheet for person in state.book.cast if person.sheet}
    script = state.book.main_script()
    if not patterns or script is None or book.repo.partial:
        return ()
    drawn = {each.name: drawn_in(state, each) for each in state.book.passes if _draws(each)}
    tags = {entry.tag for rounds in drawn.values() for entry in rounds.values()}
    files = [path for pattern in patterns.values() for path in (pattern, *_files(state, pattern))]
    folders = sorted({path.rpartition("/")[0] for path in files})
    then = _SheetsThen(state, files_at_tags(book.repo, tags, folders))
    told: list[DrawnBefore] = []
    for person, pattern in patterns.items():
        there = pages_with(state.draft(script.name), person)
        for name, rounds in drawn.items():
            on = [label for label in sorted(rounds, key=label_order) if _on(label, there)]
            changed = {label: paths for label in on if (paths := then.changed(pattern, rounds[label].tag))}
            if changed:
                paths = in_reading_order({path for each in changed.values() for path in each})
                told.append(DrawnBefore(person.name, tuple(paths), name, tuple(changed)))
    return tuple(told)


@dataclass
class _SheetsThen:
    """The files of the sheets as the commits of rounds hold them: tag -> path -> object id."""

    state: BookState
    held: Mapping[str, Mapping[str, str]]
    _same: dict[tuple[str, str], bool] = field(default_factory=dict)

    def changed(self, pattern: str, tag: str) -> list[str]:
        """Files of a sheet that hold something new, else those that are gone; none where there was no sheet then."""
        then = {path: oid for path, oid in self.held.get(tag, {}).items() if fits(path, pattern)}
        now = _files(self.state, pattern) if then else []
        kept = {path for path in now if path in then and self._as_it_was(path, then[path])}
        gone = {path: oid for path, oid in then.items() if path not in kept}
        fresh = []
        for path in now:
            if path in kept:
                continue
            # The same sheet under another name: each file of then stands for one of now.
            before = next((old for old, oid in gone.items() if self._as_it_was(path, oid)), None)
            if before is None:
                fresh.append(path)
            else:
                del gone[before]
        return fresh or [path for path in gone if path not in now]

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
