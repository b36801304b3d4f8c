"""What the ledger says was handed out, set against the list in the folder that came back: the ledger is believed.

A list can be edited by hand, also by somebody who only wanted to help. What was given is known from the entry by git's
object ids; what is asked follows from that and from `book.toml`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256

from ledger.desk.lending.handoff_content import (
    Picture,
    Upstream,
    answers_asked,
    mode_asked,
    pages_asked,
    pictures_given,
    size_asked,
)
from ledger.desk.numbers import rounds_of, the_pass
from ledger.desk.opening import OpenBook
from ledger.judge.resting.made_from import Sources
from ledger.model.book import Pass
from ledger.model.entry import Handoff, Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import Finding
from ledger.model.lending import LIST, Asked, Given, Known, Lending
from ledger.model.pages import pages_words, parse_pages
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.patterns import matches
from ledger.read.state import BookState

#: Differences named one by one; of more their number is told.
_NAMED = 5


def entry_answered(book: OpenBook, lending: Lending) -> Handoff:
    """The entry by which these pages went out. Raises Refusal where the newest commit has none that fits."""
    entries = book.head.entries if book.head else ()
    found = next((each for each in entries if isinstance(each, Handoff) and each.name == lending.entry), None)
    ask = "name the folder that came back to this book, or take its pages in by hand: inkledger bring DIR --pass PASS"
    if found is None or not found.asks_back:
        raise Refusal(f"it says that it is {lending.entry}, and the ledger has no such hand-off", path=LIST, remedy=ask)
    if found.pass_name != lending.pass_name:
        raise Refusal(f"it says that {lending.entry} is about {lending.pass_name!r}; in the ledger it is about "
                      f"{found.pass_name!r}", path=LIST, remedy=ask)  # fmt: skip
    if found.date != lending.when and book.working.book.title != lending.book:
        raise Refusal(f"it is of another book, {lending.book!r}", path=LIST, remedy=ask)
    return found


@dataclass(frozen=True)
class Believed:
    """A hand-off as the ledger has it, and the list that came back with it."""

    book: OpenBook
    entry: Handoff
    listed: Lending

    @cached_property
    def pass_(self) -> Pass:
        """The pass that was to be made, as the book has it now. Raises Refusal where it is gone."""
        return the_pass(self.book.working.book, self.entry.pass_name)

    @cached_property
    def upstream(self) -> Upstream:
        """The files that were given, as a state of the passes they belong to."""
        book, entries = self.book.working.book, self.book.head.entries if self.book.head else ()
        files = {path: FileAt(path, oid) for path, oid in self.entry.files.items() if oid}
        rounds: dict[str, Round] = {}
        for name in self.pass_.comes_from:
            each, entered = book.pass_named(name), rounds_of(entries, name)
            mine = {path: file.oid for path, file in files.items() if each is not None and matches(path, each)}
            if mine and entered:
                rounds[name] = self._round_given(mine, entered)
        snapshot = Snapshot("given", files, self.book.head_snapshot.store)
        state = BookState(snapshot, book, entries)
        return Upstream(self.pass_, state, rounds, Sources(state))

    def _round_given(self, given: Mapping[str, str | None], entered: list[Round]) -> Round:
        """The round that the list names, where it holds what was given; else the newest that does."""
        fit = [each for each in entered if all(each.files.get(path) == oid for path, oid in given.items())]
        said = [each for each in fit if each.name in self.listed.entries.values()]
        return [*entered[-1:], *fit[-1:], *said][-1]

    @cached_property
    def pictures(self) -> dict[str, Picture]:
        """Where they lie in the folder -> the pictures given."""
        return {each.path: each for each in pictures_given(self.upstream, self.labels)}

    @cached_property
    def labels(self) -> list[str]:
        """The pages asked for. Raises Refusal where the passes they came from are no longer in the book."""
        return pages_asked(self.upstream, parse_pages(self.entry.pages))

    def original(self, given: Given) -> bytes | None:
        """A picture as it was given; None where its content is not on this machine."""
        picture = self.pictures.get(given.path)
        if picture is None or not picture.file.oid:
            return None
        try:
            return self.book.head_snapshot.store.read(picture.file)
        except ContentMissing:
            return None

    @cached_property
    def lending(self) -> Lending:
        """What is asked and was given, by the ledger; what the ledger can't tell here is taken from the list."""
        mode, depth = mode_asked(self.pass_)
        given = tuple(self._given(each) for each in self.pictures.values())
        ppi = self.pass_.ppi or (self.book.working.book.page.ppi if self.book.working.book.page else None)
        return self.listed._replace(
            number=self.entry.number, pass_name=self.entry.pass_name, returns=self.pass_.returns,
            pages=self.entry.pages or self.listed.pages, to=self.entry.to, when=self.entry.date, mode=mode, depth=depth,
            ppi=ppi, lines=self.upstream.lines, entries={**self.listed.entries, **self._rounds},
            asked=tuple(self._asked(given)),
            given=(*given, *(each for each in self.listed.given if each.path not in self.pictures)),
        )  # fmt: skip

    @property
    def _rounds(self) -> dict[str, str]:
        """Upstream pass -> the round whose content was given."""
        return {name: each.name for name, each in self.upstream.rounds.items()}

    def _given(self, picture: Picture) -> Given:
        """One picture: its digest from the book's own content, what it is known by from the list where that fits."""
        listed = next((each for each in self.listed.given if each.path == picture.path), None)
        found = Given(picture.path, "", picture.pass_name, picture.page)
        data = self.original(found)
        if data is None:
            return listed or found
        digest = sha256(data).hexdigest()
        if listed is not None and listed.sha256 == digest and listed.known is not None:
            return found._replace(sha256=digest, known=listed.known._replace(px=_size(data) or listed.known.px))
        size = _size(data)
        return found._replace(sha256=digest, known=Known(size, "") if size else None)

    def _asked(self, given: tuple[Given, ...]) -> Iterator[Asked]:
        answers = answers_asked(self.pass_, self.labels)
        known = {self.pictures[each.path].file.path: each.known for each in given}
        for label in self.labels:
            yield Asked(label, answers[label], *size_asked(self.book.working.book, self.pass_, label,
                                                           self._under(label, known)))  # fmt: skip

    def _under(self, label: str, known: Mapping[str, Known | None]) -> Known | None:
        for each in self.upstream.drawn:
            files = self.upstream.sources.pictures(each, label)
            if len(files) == 1:
                return known.get(files[0].path)
        return None

    @property
    def edited(self) -> tuple[Finding, ...]:
        """A query where the list says otherwise than the ledger and `book.toml`."""
        told = list(self._differences())
        if not told:
            return ()
        more = f"; and {len(told) - _NAMED} more" if len(told) > _NAMED else ""
        return (
            Finding("return-names", "query", f"it does not say what the ledger says: {'; '.join(told[:_NAMED])}{more}",
                    LIST, remedy="nothing: the pages were judged by the ledger and book.toml"),
        )  # fmt: skip

    def _differences(self) -> Iterator[str]:
        here, there = self.lending, self.listed
        if parse_pages(here.pages) != parse_pages(there.pages):
            yield f"{pages_words(there.pages)} for {pages_words(here.pages)}"
        for name in ("returns", "to", "mode", "depth", "ppi", "lines"):
            ours, theirs = getattr(here, name), getattr(there, name)
            if ours != theirs:
                yield f"{name} {_shown(theirs)} for {_shown(ours)}"
        odd = [(name, ours) for name, ours in self._rounds.items() if there.entries.get(name) != ours]
        yield from (f"made from {_shown(there.entries.get(name))} for {ours}" for name, ours in odd)
        listed = {each.page: each for each in there.asked}
        for asked in here.asked:
            theirs_of_page = listed.get(asked.page)
            for name in ("answer", "px", "within") if theirs_of_page else ():
                ours, theirs = getattr(asked, name), getattr(theirs_of_page, name)
                if ours != theirs:
                    yield f"{name} of page {asked.page} {_shown(theirs)} for {_shown(ours)}"
        digests = {each.path: each.sha256 for each in there.given}
        for given in here.given:
            if given.path in self.pictures and digests.get(given.path) != given.sha256:
                yield f"another SHA-256 of {given.path}" if given.path in digests else f"nothing of {given.path}"


def _size(data: bytes) -> tuple[int, int] | None:
    from ledger.pictures.files.header import Unreadable
    from ledger.pictures.guarded import look

    try:
        return look(data).size
    except Unreadable:
        return None


def _shown(value: object) -> str:
    if value is None or value == "":
        return "nothing"
    return " x ".join(map(str, value)) if isinstance(value, tuple) else str(value)
