"""`receive`: pages come back from a helper, are judged one by one, and the good ones become part of the book."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from pathlib import Path, PurePosixPath

from ledger.desk.arriving.bringing_pages import place_of
from ledger.desk.judging import judged, would_be
from ledger.desk.lending.believed import Believed, entry_answered
from ledger.desk.lending.receiving_check import judge_return, the_list
from ledger.desk.numbers import next_number
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.pictures.picture_memory import remember, remembered
from ledger.desk.recording.handing_over import Signer, record_entry, refuse_unready, signer
from ledger.gitedge.coming_back import opened
from ledger.gitedge.history import first_with
from ledger.gitedge.intake import each_kept, kept_bytes
from ledger.gitedge.settling import digest_on_disk
from ledger.gitedge.snapshots import of_commit
from ledger.judge.lending.returns import basis_moved
from ledger.judge.levels import apply_rules
from ledger.judge.resting.made_from import Sources
from ledger.model.entry import Handoff
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import Finding
from ledger.model.lending import LIST
from ledger.model.outcome import Outcome
from ledger.model.pages import pages_text
from ledger.model.returned import Received, Return, Returned
from ledger.model.snapshot import FileAt
from ledger.read.patterns import label_of
from ledger.read.returned_bundle import Bundle, Unfit, page_bound
from ledger.render.lending.return_sheet import return_sheet, same_sheet
from ledger.render.lending.return_text import taken_said


def receive(here: Path, source: Path) -> Received:
    """Takes the good pages in, all or nothing. Raises Refusal for wrong use, and for what is no hand-off of this book.

    Findings that hold a page back are in the outcome; what is good is taken all the same.
    """
    book = open_book(here)
    refuse_unready(book.repo)
    sign = signer(book.repo)
    with opened(os.fspath(here / source), LIST, str(source)) as bundle:
        listed = the_list(bundle)
        entry = entry_answered(book, listed)
        sent = Believed(book, entry, listed)
        found = judge_return(bundle, sent.lending, sent.original)
        found = found._replace(beside=(*found.beside, *sent.edited))
        found = _by_the_rules(book, _with_basis(book, sent, found))
        return _Taking(book, sent, sign, bundle, found).done()


def _with_basis(book: OpenBook, sent: Believed, found: Return) -> Return:
    """What came back, with the queries of pages whose base has changed meanwhile."""
    if book.head is None:
        return found
    kinds = remembered(book.repo)
    known = len(kinds)
    now, then, asked = Sources(book.head, kinds), sent.upstream.sources, {e.page: e for e in sent.lending.asked}
    basis = {name: each.name for name, each in sent.upstream.rounds.items()}
    pages = tuple(
        page._replace(findings=(*page.findings, *basis_moved(then, now, sent.pass_, asked[page.page], basis)))
        if page.read
        else page
        for page in found.pages
    )
    if len(kinds) > known:
        remember(book.repo, kinds)
    return found._replace(pages=pages)


def _by_the_rules(book: OpenBook, found: Return) -> Return:
    """The same, raised and lowered by `[rules]`."""
    rules = book.working.book.rules
    pages = tuple(page._replace(findings=apply_rules(page.findings, rules)) for page in found.pages)
    return found._replace(pages=pages, beside=apply_rules(found.beside, rules))


@dataclass
class _Place:
    """A good page on its way: its path in the book, git's id of its content, what lies there now (SHA-256 or None)."""

    page: Returned
    path: str
    file: FileAt
    there: str | None
    same: bool


@dataclass
class _Taking:
    """What came back, judged, on its way into the book."""

    book: OpenBook
    sent: Believed
    sign: Signer
    bundle: Bundle
    found: Return
    places: dict[str, _Place] = field(default_factory=dict)

    def done(self) -> Received:
        """Places what can be placed, records it with its sheet, and says so."""
        good = [(page, self._path(page)) for page in self.found.pages if page.accepted]
        kept = each_kept(self.book.repo, ((path, self._bytes(page)) for page, path in good))
        for (page, _), file in zip(good, kept, strict=True):
            self._place(page, file)
        self._past_the_doors()
        fresh = {label: each for label, each in self.places.items() if not self._brought_before(each)}
        self._note_places()
        sheet = return_sheet(self.found, self.sign.by, self.sign.when, self._in_the_book)
        came = any(page.came for page in self.found.pages) or bool(self.found.beside)
        if not fresh and (not came or self._said_before(sheet)):
            return self._told(Outcome(False, findings=self.found.findings), [])
        return self._recorded(fresh, sheet)

    # -- where each goes

    def _place(self, page: Returned, kept: FileAt) -> None:
        """Finds its place, and holds it back where that is taken; `kept` is its content as git keeps it, there."""
        path = kept.path
        here = self._ours(page.page)
        others = sorted({file.path for file in here} - {path})
        if others:
            why = f"{others[0]} stands for this page already, so it would be there twice"
            self._hold(page.page, Finding("page-number", "block", why, path, page=page.page,
                                          remedy="take one of the two out, then receive again"))  # fmt: skip
            return
        ids = {self._oid(file) for file in here}
        if ids - {kept.oid} - self._not_newer(page.page):
            self._hold(page.page, Finding(
                "page-reverted", "block", f"what is in the book is newer than what {self.sent.entry.name} went out "
                "with, so it was not written over", path, page=page.page,
                remedy="look at both; to take the returned one, copy it there yourself",
            ))  # fmt: skip
            return
        there = digest_on_disk(self.book.repo.in_top(path))
        same = ids == {kept.oid} and there == page.sha256
        self.places[page.page] = _Place(page, path, kept, there, same)

    def _bytes(self, page: Returned) -> bytes:
        """The very bytes that were judged. Raises Refusal where they are no longer there."""
        asked = next(each for each in self.found.lending.asked if each.page == page.page)
        try:
            data = self.bundle.read(page.path, page_bound(asked.px))
        except Unfit as fault:
            raise Refusal(f"it {fault.why}, so nothing was recorded", path=page.path, remedy="try again") from None
        if sha256(data).hexdigest() != page.sha256:
            raise Refusal("it was changed while it was looked at, so nothing was recorded", path=page.path,
                          remedy="try again")  # fmt: skip
        return data

    def _ours(self, label: str) -> list[FileAt]:
        """The files that stand for a page, in your folder and in the newest commit."""
        states = [self.book.working, *([self.book.head] if self.book.head else [])]
        return [file for state in states for file in state.exports(self.sent.pass_).get(label, ())]

    def _oid(self, file: FileAt) -> str:
        """Git's id of a file's content, asked where git has not seen it; "" where it can't be had."""
        if file.oid is not None:
            return file.oid
        try:
            data = self.book.working.snapshot.store.read(file)
        except (ContentMissing, OSError):
            return ""
        return kept_bytes(self.book.repo, {file.path: data}, write=False)[file.path].oid or ""

    def _not_newer(self, label: str) -> set[str]:
        """Ids of what may be written over: what there was when the pages went out, and what returns brought since."""
        earlier = (file for each in self._answers for file in each.files.items())
        held = [*self._went_out_with.items(), *earlier]
        return {oid for path, oid in held if label_of(path, self.sent.pass_) == label}

    @cached_property
    def _answers(self) -> list[Handoff]:
        """Earlier returns of this hand-off."""
        entries = self.book.head.entries if self.book.head else ()
        return [each for each in entries if isinstance(each, Handoff) and each.returns == self.sent.entry.number]

    @cached_property
    def _went_out_with(self) -> Mapping[str, str]:
        """Path -> object id in the commit that recorded the hand-off; nothing where that can't be told here."""
        path, files = self.sent.entry.path, self.book.head_snapshot.files
        commit = first_with(self.book.repo, {path: files[path].oid or ""}).get(path)
        held = of_commit(self.book.repo, commit).files if commit else {}
        return {path: file.oid or "" for path, file in held.items()}

    def _hold(self, label: str, finding: Finding) -> None:
        """Holds a page back."""
        self.places.pop(label, None)
        pages = tuple(
            page._replace(findings=(*page.findings, finding)) if page.page == label else page
            for page in self.found.pages
        )
        self.found = self.found._replace(pages=pages)

    # -- what a sign-off says

    def _past_the_doors(self) -> None:
        """Holds back what a commit would be refused for, until the rest passes."""
        told: list[Finding] = []
        while taken := {each.path: each.file for each in self.places.values() if not each.same}:
            told = list(judged(self.book, would_be(self.book, taken=taken)))
            stopped = list(self._stopped(told))
            if not stopped:
                break
            for label, finding in stopped:
                self._hold(label, finding)
        queries = tuple(each for each in told if not each.blocks)
        self.found = self.found._replace(beside=(*self.found.beside, *queries))

    def _stopped(self, told: Iterable[Finding]) -> Iterator[tuple[str, Finding]]:
        """(page, why) of those that can't pass; every page where it can't be told which one is meant."""
        seen: set[str] = set()
        for finding in (each for each in told if each.blocks):
            mine = [label for label, each in self.places.items()
                    if not each.same and (each.path == finding.path or label == finding.page)]  # fmt: skip
            for label in mine or [label for label, each in self.places.items() if not each.same]:
                if label not in seen:
                    seen.add(label)
                    yield label, finding

    # -- what is recorded

    def _brought_before(self, each: _Place) -> bool:
        return each.same and any(answer.files.get(each.path) == each.file.oid for answer in self._answers)

    def _note_places(self) -> None:
        pages = tuple(
            page._replace(placed=self.places[page.page].path) if page.page in self.places else page
            for page in self.found.pages
        )
        self.found = self.found._replace(pages=pages)

    def _said_before(self, sheet: str) -> bool:
        """Whether a sheet of an earlier return says the same, or there is nothing to say."""
        if len(self.found.good) == len(self.found.pages) and not self.found.beside:
            return True
        for each in self._answers:
            try:
                if same_sheet(self.book.head_snapshot.read(_sheet_path(each.number)).decode("utf-8", "replace"), sheet):
                    return True
            except (KeyError, ContentMissing):
                continue
        return False

    @property
    def _in_the_book(self) -> str:
        return self.sent.entry.to

    def _recorded(self, fresh: Mapping[str, _Place], sheet: str) -> Received:
        number = next_number([self.book.head, self.book.working], "handoff")
        entry = self._entry(number, fresh)
        put = {each.path: each for each in fresh.values() if not each.same}
        done = record_entry(
            self.book, entry, tag=None, taken={path: each.file for path, each in put.items()},
            contents={_sheet_path(number): sheet.encode()},
            beside={path: self._later(each) for path, each in put.items()},
        )  # fmt: skip
        outcome = Outcome(True, (), done.entry, done.commit, done.tag, done.paths, self.found.findings)
        return self._told(outcome, list(fresh), _sheet_path(number))

    def _entry(self, number: int, fresh: Mapping[str, _Place]) -> Handoff:
        """The return's entry: its pages and files are what was taken, or where nothing was, what could not be."""
        sent, found = self.sent.entry, self.found
        files = {each.path: each.file.oid or "" for each in fresh.values()}
        refused = [page for page in found.pages if page.came] or found.pages
        return Handoff(
            path=f"ledger/handoff-{number}.toml", number=number, date=self.sign.when, by=self.sign.by,
            message=f"{len(fresh)} taken in, {len(found.held_back)} held back, {len(found.missing)} not there",
            pages=pages_text(list(fresh) or [page.page for page in refused]), pass_name=sent.pass_name, to=sent.to,
            round=sent.round, returns=sent.number,
            files=files or {self._path(page): "" for page in refused},
        )  # fmt: skip

    def _path(self, page: Returned) -> str:
        """Where a page belongs in the book. Raises Refusal where the pass keeps no such files."""
        return place_of(self.sent.pass_, page.page, PurePosixPath(page.path).name, self.book)

    def _later(self, each: _Place) -> Callable[[], bytes]:
        """What gives the bytes when they are written, if what lies there is still what was looked at."""

        def read() -> bytes:
            if digest_on_disk(self.book.repo.in_top(each.path)) != each.there:
                raise Refusal("this file was changed meanwhile, so nothing was recorded", path=each.path,
                              remedy="try again")  # fmt: skip
            return self._bytes(each.page)

        return read

    def _told(self, outcome: Outcome, taken: list[str], sheet: str = "") -> Received:
        again = sheet if self.found.held_back or self.found.missing or outcome.blocked else ""
        said = tuple(taken_said(self.found, taken, outcome, again))
        return Received(
            Outcome(outcome.done, said, outcome.entry, outcome.commit, outcome.tag, outcome.paths, outcome.findings),
            self.found,
        )


def _sheet_path(number: int) -> str:
    return f"memos/return-{number}.md"
