"""`repage`: which export goes by which number after pages were inserted or cut, and the renaming itself."""

from __future__ import annotations

from pathlib import Path

from ledger.desk.numbers import rounds_of
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.reference import entry_contents
from ledger.judge.resting.made_from import Sources
from ledger.judge.resting.upstream import pictures_in
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.script import Draft
from ledger.plan.block import story_pages
from ledger.plan.numbering import Numbering, between
from ledger.plan.renaming import Drawn, RenamePlan, renamings
from ledger.read.state import BookState


def rename_plan(here: Path) -> RenamePlan:
    """The plan for your files now. Raises Refusal where there is no book, or where names collide."""
    return plan_of(open_book(here))


def plan_of(book: OpenBook) -> RenamePlan:
    """As `rename_plan`, of an open book."""
    state = book.working
    script = state.book.main_script()
    if script is None or not state.draft(script.name).pages:
        why = "the script has no page marks, so nobody can tell which page is which"
        return RenamePlan(state.book.title, (), why_none=why)
    shelf = _Shelf(book, state, script)
    found, masters = [], []
    for pass_ in state.book.passes:
        if pass_.kind == "art":
            drawn = shelf.drawn(pass_)
            mine = renamings(pass_, drawn, state.snapshot.files, shelf.last_page)
            found += mine
            masters += [pass_.name] if mine and pass_.masters else []
    return RenamePlan(state.book.title, tuple(found), tuple(masters))


class _Shelf:
    """The exports of a book with the page each was drawn for, and where that page is now."""

    def __init__(self, book: OpenBook, state: BookState, script: Pass) -> None:
        self.book, self.state, self.script = book, state, script
        self.now = state.draft(script.name)
        self.last_page = story_pages(self.now, state.book)
        self.sources = Sources(state)
        self._numberings: dict[int, tuple[Draft, Numbering]] = {}
        self._entered: dict[str, Numbering] = {}

    def drawn(self, pass_: Pass) -> list[Drawn]:
        """Every export of a pass that is there. Of one in no round, its number in the newest round counts."""
        rounds = rounds_of(self.state.entries, pass_.name)
        first: dict[str, tuple[str, Round]] = {}
        for entry in rounds:
            for label, oid in pictures_in(entry, pass_).items():
                first.setdefault(oid, (label, entry))
        found = []
        for label, files in self.state.exports(pass_).items():
            then, numbering = label, same(self.last_page)
            if rounds:
                then, entry = first.get(self.sources.known(files[0]) or "", (label, rounds[-1]))
                numbering = self.numbering_since(entry)
            found += [Drawn(file.path, label, then, numbering) for file in files]
        return found

    def numbering_since(self, entry: Round) -> Numbering:
        """Where the pages of the script that a round was entered from stand now."""
        if entry.name not in self._entered:
            self._entered[entry.name] = self._since(self._script_then(entry))
        return self._entered[entry.name]

    def _since(self, then: Draft) -> Numbering:
        if then is self.now or not then.pages:
            return same(self.last_page)
        known = self._numberings.get(id(then))
        if known is None:
            from ledger.compare import compare_drafts

            pages = (story_pages(then, self.state.book), self.last_page)
            known = then, between(then, self.now, compare_drafts(then, self.now).pages, pages)
            self._numberings[id(then)] = known
        return known[1]

    def _script_then(self, entry: Round) -> Draft:
        """The script beside a round when it was entered; of a round brought in later the one it names."""
        try:
            if entry.dated:
                return self._named(entry)
            state = entry_contents(self.book, entry, entry.name).state
            found = state.draft(self.script.name) if state else Draft()
            return found if found.pages else self._named(entry)
        except (ContentMissing, Refusal):
            return Draft()

    def _named(self, entry: Round) -> Draft:
        """The script round that an entry rests on, directly or through other passes."""
        names, seen = list(entry.basis.values()), {entry.name}
        while names:
            name = names.pop(0)
            found = next((e for e in self.state.entries if isinstance(e, Round) and e.name == name), None)
            if found is None or name in seen:
                continue
            seen.add(name)
            if found.pass_name == self.script.name:
                state = entry_contents(self.book, found, name).state
                return state.draft(self.script.name) if state else Draft()
            names += found.basis.values()
        return Draft()


def same(pages: int) -> Numbering:
    """A numbering in which every page keeps its number."""
    return Numbering(pages, pages, {page: page for page in range(1, pages + 1)}, ())
