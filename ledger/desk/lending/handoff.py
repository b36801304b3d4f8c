"""`handoff`: pages go out to a helper, in a folder that says what is asked, and the ledger says who has them."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from ledger.desk.lending.handoff_content import (
    Picture,
    Upstream,
    answers_asked,
    lacking_passes,
    lacking_pictures,
    mode_asked,
    pages_asked,
    pictures_given,
    size_asked,
    stale_pictures,
    upstream_of,
)
from ledger.desk.lending.packets import script_leaves
from ledger.desk.numbers import newest_round, next_number
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.pictures.looked_at import LookedAt, looked_at
from ledger.desk.recording.handing_over import Signer, record_entry, refuse_unready, signer
from ledger.desk.standing import pages_away
from ledger.desk.wishes import date_of, pages_of
from ledger.gitedge.going_out import FRESH, Parcel, drop, left_behind, parcel, sealed
from ledger.gitedge.set_down import refuse_filled, refuse_inside
from ledger.model.book import Pass
from ledger.model.entry import Handoff
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import Finding
from ledger.model.lending import LIST, Asked, Given, Known, Lending
from ledger.model.outcome import Outcome
from ledger.model.pages import PageSet, page_numbers, pages_text, pages_words
from ledger.read.handoff_list import read_lending, write_lending
from ledger.render.lending.handoff_script import script_blocks, script_text
from ledger.render.lending.handoff_sheet import SHEET, handoff_sheet
from ledger.render.lending.script_document import script_docx

#: Bytes kept in the git folder of what pictures are known by: two thousand of a page's size.
_KEPT = 2_000_000
_FETCH = "fetch it: git lfs pull, or git fetch, and hand out again"


@dataclass(frozen=True)
class HandoffWish:
    """What `handoff` was asked; the names are those of its options."""

    pass_name: str
    to: Path
    pages: str | None = None
    reader: str = ""
    due: str | None = None
    archive: bool = False


def handoff(here: Path, wish: HandoffWish) -> Outcome:
    """Hands pages out. Raises Refusal for wrong use; findings that block are in the outcome, and nothing went out."""
    pages, due = pages_of(wish.pages), _due(wish)
    book = open_book(here)
    refuse_unready(book.repo)
    sign = signer(book.repo)
    place, shown = _place(book, here, wish)
    if (finished := _finished(book, place, shown)) is not None:
        return finished
    _refuse_taken(place, archive=wish.archive)
    upstream = upstream_of(book, wish.pass_name)
    labels = pages_asked(upstream, pages)
    given = pictures_given(upstream, labels)
    if gone := _not_here(book, given):
        return _nothing_went(gone)
    number = next_number([book.head, book.working], "handoff")
    whole = _Whole(book, wish, sign, upstream, labels, given, number, due or upstream.pass_.due)
    return whole.out(place, shown)


def _due(wish: HandoffWish) -> date | None:
    if wish.due is None:
        return None
    try:
        when = date_of(wish.due)
    except Refusal as fault:
        raise Refusal(fault.message.replace("--date", "--due"), remedy=fault.remedy) from None
    return when.date() if isinstance(when, datetime) else when


# -- where it goes


def _place(book: OpenBook, here: Path, wish: HandoffWish) -> tuple[str, str]:
    """Where it will lie, and how a person calls that. Raises Refusal for a place in the book."""
    named = str(wish.to)
    if wish.archive and not named.lower().endswith(".zip"):
        named += ".zip"
    place = os.path.realpath(here / named)
    refuse_inside(book.repo, place)
    return place, named


def _refuse_taken(place: str, *, archive: bool) -> None:
    if archive:
        if os.path.lexists(place):
            raise Refusal("there is something of this name already", path=place, remedy="name a new file")
        return
    refuse_filled(place)


def _finished(book: OpenBook, place: str, shown: str) -> Outcome | None:
    """Gives a folder its name that was recorded, but interrupted before it had one."""
    found = left_behind(place, LIST)
    if found is None:
        return None
    lending = read_lending(found)
    entry = next((e for e in (book.head.entries if book.head else ()) if e.name == lending.entry), None)
    if not isinstance(entry, Handoff) or entry.date != lending.when or entry.pass_name != lending.pass_name:
        drop(place)
        return None
    Parcel(place, archive=not Path(place + FRESH).is_dir()).arrive()
    told = (f"{entry.name} was recorded before, and interrupted: its folder is in {shown} now. Nothing new went out.",)
    return Outcome(True, told, entry.name, paths=(shown,))


def _not_here(book: OpenBook, given: Sequence[Picture]) -> tuple[Finding, ...]:
    """A finding for every picture whose content is not on this machine."""
    from ledger.gitedge.objects import missing_objects

    gone = missing_objects(book.repo, [each.file.oid for each in given if each.file.oid])
    return tuple(
        Finding("export-unreadable", "block", "its content is not on this machine (not fetched)", each.file.path,
                page=each.page, remedy=_FETCH)
        for each in given if each.file.oid in gone
    )  # fmt: skip


def _nothing_went(findings: Sequence[Finding]) -> Outcome:
    return Outcome(False, ("Nothing went out, and nothing was recorded.",), findings=tuple(findings))


# -- the whole of it


@dataclass(frozen=True)
class _Whole:
    """A hand-off on its way out."""

    book: OpenBook
    wish: HandoffWish
    sign: Signer
    upstream: Upstream
    labels: Sequence[str]
    pictures: Sequence[Picture]
    number: int
    due: date | None

    def out(self, place: str, shown: str) -> Outcome:
        """Fills the folder, records the entry, and gives the folder its name."""
        findings = lacking_passes(self.upstream) + lacking_pictures(self.upstream, self.labels)
        findings += stale_pictures(self.book, self.pictures)
        with parcel(place, archive=self.wish.archive) as made:
            made.dated(self.sign.when)
            given, known, broken = self._put_pictures(made)
            if broken:
                return _nothing_went(broken)
            scripts, unread = self._put_scripts(made, given)
            findings += unread
            lending = self._lending(known)
            sheet = handoff_sheet(lending._replace(given=tuple(given)), scripts, self.book.working.book.reading)
            given.append(Given(SHEET, made.put(SHEET, sheet.encode())))
            made.folder(self.upstream.pass_.name)
            made.put(LIST, write_lending(lending._replace(given=tuple(given))))
            sealed(made)
            entry = self._entry()
            done = self._recorded(made, entry)
            made.arrive()
        told = (*self._told(entry, shown), *done.said)
        paths = (shown,) if self.wish.archive else tuple(f"{shown}/{path}" for path in sorted(made.paths))
        return Outcome(True, told, done.entry, done.commit, done.tag, (*paths, *done.paths), tuple(findings))

    def _recorded(self, made: Parcel, entry: Handoff) -> Outcome:
        """Records the entry; from then on the parcel stays, even where something ends us right after it."""
        try:
            return record_entry(self.book, entry, tag=None)
        finally:
            made.recorded = entry.path in OpenBook(self.book.repo).head_snapshot.files

    def _put_pictures(self, made: Parcel) -> tuple[list[Given], dict[str, Known], list[Finding]]:
        """The pictures in their folders: what was given, and path -> what it is known by."""
        digests: list[str] = []
        with looked_at(self.book.repo, "lent", _KEPT) as memory:
            answers = self._looked_through(made, digests, memory)
        given, known, broken = [], {}, []
        for each, digest, found in zip(self.pictures, digests, answers, strict=True):
            if isinstance(found, Known):
                known[each.file.path] = found
                given.append(Given(each.path, digest, each.pass_name, each.page, found))
            else:
                broken.append(Finding("export-unreadable", "block", f"it can't be read as a picture: {found}",
                                      each.file.path, page=each.page,
                                      remedy=f"export it again, and: inkledger enter {each.pass_name}"))  # fmt: skip
        return given, known, broken

    def _looked_through(self, made: Parcel, digests: list[str], memory: LookedAt) -> list[Known | str]:
        """What each is known by, or why not, while it is written; one that was handed out before is not decoded."""
        from ledger.pictures.assistants import Broken, Job, done
        from ledger.pictures.noted import known_read, known_written, set_name
        from ledger.pictures.returns.lent import known_or_why

        answers: dict[str, Known | str] = {}
        asked: list[str] = []

        def jobs() -> Iterator[Job]:
            for each in self.pictures:
                data, name = self._bytes(each), set_name("lent", each.file.oid)
                digests.append(made.put(each.path, data))
                if (remembered := known_read(memory.get(name))) is not None:
                    answers[name] = remembered
                else:
                    asked.append(name)
                    yield known_or_why, (data,)

        for number, found in done(jobs()):
            answers[asked[number]] = found.why if isinstance(found, Broken) else found
            if isinstance(found, Known):
                memory[asked[number]] = known_written(found)
        return [answers[set_name("lent", each.file.oid)] for each in self.pictures]

    def _bytes(self, each: Picture) -> bytes:
        try:
            return self.upstream.state.snapshot.store.read(each.file)
        except ContentMissing as fault:
            raise Refusal(f"its content is not on this machine ({fault.why})", path=each.file.path,
                          remedy=_FETCH) from None  # fmt: skip

    def _put_scripts(self, made: Parcel, given: list[Given]) -> tuple[list[str], list[Finding]]:
        """The script by page, where it has pages; the names of its files."""
        names: list[str] = []
        findings = []
        for each in self.upstream.texts:
            entry = self.upstream.rounds[each.name]
            try:
                draft = self.upstream.state.draft(each.name)
            except ContentMissing as fault:
                raise Refusal(f"{entry.name} is not on this machine ({fault.why})", remedy=_FETCH) from None
            wanted = PageSet(frozenset(half for label in self.labels for half in _halves(label)))
            leaves = script_leaves(draft, entry.name, wanted) if draft.pages else {}
            if not leaves:
                why = "has none of these pages" if draft.pages else "has no page marks"
                findings.append(Finding("export-missing", "query", f"{entry.name} {why}, so it does not go along"))
                continue
            blocks = script_blocks(self.book.working.book.title, entry.name, leaves.values())
            files = {".docx": script_docx(blocks, self.sign.when, entry.name), ".txt": script_text(blocks).encode()}
            given += [Given(each.name + end, made.put(each.name + end, data)) for end, data in files.items()]
            names += [each.name + end for end in files]
        return names, findings

    def _lending(self, known: Mapping[str, Known]) -> Lending:
        book, pass_ = self.book.working.book, self.upstream.pass_
        mode, depth = mode_asked(pass_)
        return Lending(
            self.number, book.title, pass_.name, pass_.returns, pages_text(self.labels), self._reader,
            self.sign.by.partition(" <")[0], self.sign.when, self.due, mode, depth,
            pass_.ppi or (book.page.ppi if book.page else None), self.upstream.lines,
            {name: entry.name for name, entry in self.upstream.rounds.items()}, tuple(self._asked(pass_, known)),
        )  # fmt: skip

    @property
    def _reader(self) -> str:
        return " ".join(self.wish.reader.split())

    def _asked(self, pass_: Pass, known: Mapping[str, Known]) -> Iterator[Asked]:
        answers = answers_asked(pass_, self.labels)
        made_from = self.upstream.sources.content
        passes = [*self.upstream.drawn, *self.upstream.texts]
        for label in self.labels:
            content = {each.name: found for each in passes if (found := made_from(each, label))}
            size = size_asked(self.book.working.book, pass_, label, self._under(label, known))
            yield Asked(label, answers[label], *size, content)

    def _under(self, label: str, known: Mapping[str, Known]) -> Known | None:
        """What the picture is known by that a page is laid on: the first that was given of it, if it is one picture."""
        for each in self.upstream.drawn:
            files = self.upstream.sources.pictures(each, label)
            if len(files) == 1:
                return known.get(files[0].path)
        return None

    def _entry(self) -> Handoff:
        files = {each.file.path: each.file.oid or "" for each in self.pictures}
        for each in self.upstream.texts:
            files |= {path: oid for path, oid in self.upstream.rounds[each.name].files.items() if oid}
        newest = newest_round(self.book.head.entries if self.book.head else (), self.upstream.pass_.name)
        return Handoff(
            path=f"ledger/handoff-{self.number}.toml", number=self.number, date=self.sign.when, by=self.sign.by,
            message=self._message(), pages=pages_text(self.labels),
            pass_name=self.upstream.pass_.name, to=self._reader, round=newest.number if newest else None, files=files,
        )  # fmt: skip

    def _message(self) -> str:
        by = f", wanted back by {self.due.isoformat()}" if self.due else ""
        return f"made from {', '.join(entry.name for entry in self.upstream.rounds.values())}{by}"

    def _told(self, entry: Handoff, shown: str) -> Iterator[str]:
        whom = f" for {entry.to}" if entry.to else ""
        yield f"{entry.name}: {pages_words(entry.pages)} of {entry.pass_name}{whom}, in {shown}."
        for away in pages_away(self.book.working):
            there = pages_of(away.pages)
            both = pages_text(label for label in self.labels if away.pass_name == entry.pass_name and label in there)
            if both:
                yield f"Out already: {pages_words(both)}, with {away.to or 'a helper'} ({away.entry})."
        yield f"When they come back: inkledger receive {shown}"


def _halves(label: str) -> list[str]:
    return [str(number) for number in page_numbers(label)] or [label]
