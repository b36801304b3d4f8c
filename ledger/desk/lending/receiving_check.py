"""Pages that came back, judged: neither the book nor git is needed for it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from ledger.gitedge.coming_back import opened
from ledger.judge.lending.returns import counted, lines_not_there, strange, strangers, told, unfit
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.lending import LIST, Asked, Given, Known, Lending
from ledger.model.outcome import Outcome
from ledger.model.pages import page_numbers
from ledger.model.returned import Received, Return, Returned
from ledger.pictures.assistants import Broken, Job, done
from ledger.pictures.files.header import Look, Unreadable
from ledger.pictures.returns.known_again import Small, small_or_why
from ledger.pictures.returns.returned import (
    Fault,
    judge_line_art,
    judge_returned,
    judge_whole_page,
    unreadable,
    wanted_of,
)
from ledger.read.handoff_list import read_lending
from ledger.read.returned_bundle import MOST_LIST, Bundle, Unfit, page_bound
from ledger.render.lending.return_text import check_said

#: Line art as it was handed out, where it can be had from elsewhere than the folder; None where it can't.
Original = Callable[[Given], bytes | None]


def check(here: Path, source: Path) -> Received:
    """Judges what lies in a folder or archive, as `receive --check` does. Nothing is written.

    Raises Refusal for what is no hand-off, can't be read, or is a trap.
    """
    with opened(os.fspath(here / source), LIST, str(source)) as bundle:
        found = judge_return(bundle, the_list(bundle))
    return Received(Outcome(False, tuple(check_said(found)), findings=found.findings), found)


def the_list(bundle: Bundle) -> Lending:
    """The list in what came back. Raises Refusal."""
    try:
        return read_lending(bundle.read(LIST, MOST_LIST))
    except Unfit as fault:
        raise Refusal(f"it {fault.why}", path=f"{bundle.shown}: {LIST}",
                      remedy="put back the one that came with the pages, or ask for it again") from None  # fmt: skip


def judge_return(bundle: Bundle, lending: Lending, original: Original = lambda _: None) -> Return:
    """Every page asked for, judged by the kind of its return."""
    count = counted(lending, bundle.files)
    looking = _Looking(bundle, lending, original)
    looking.look_at([each for each in lending.asked if each.page not in count.missing])
    pages = tuple(looking.page(each, count.missing.get(each.page)) for each in lending.asked)
    strays = (
        Finding("return-names", "block", f"it {each.unfit}; it was left where it is", each.path,
                remedy="take it out of the folder or archive")
        for each in bundle.stray
    )  # fmt: skip
    return Return(lending, pages, (*count.beside, *strays))


@dataclass
class _Looking:
    """Looks at the pictures that came back, each once."""

    bundle: Bundle
    lending: Lending
    original: Original
    seen: dict[str, Returned] = field(default_factory=dict)
    faults: dict[str, list[Fault]] = field(default_factory=dict)
    lines: dict[str, Finding] = field(default_factory=dict)
    came: dict[str, Small] = field(default_factory=dict)
    given: dict[str, Small] = field(default_factory=dict)

    def look_at(self, asked: Sequence[Asked]) -> None:
        """Judges these pages and what they lie on; two processes look at a time."""
        if self.lending.returns == "page":
            self._look_at_whole(asked)
        else:
            self._look_at_layers(asked)

    def _look_at_whole(self, asked: Sequence[Asked]) -> None:
        """Pages that come back whole, beside what was given of them."""
        whose: list[Asked | Given] = []

        def jobs() -> Iterator[Job]:
            for each in asked:
                if (data := self._came(each)) is not None:
                    whose.append(each)
                    yield judge_whole_page, (data, wanted_of(self.lending, each))
                for given in self._given_of(each) if data is not None else ():
                    if (picture := self._original(given)) is not None:
                        whose.append(given)
                        yield small_or_why, (picture,)

        for at, answer in done(jobs()):
            of = whose[at]
            if isinstance(of, Given):
                if isinstance(answer, Small):
                    self.given[of.page] = answer
            else:
                faults, small = ((unreadable(answer.why),), None) if isinstance(answer, Broken) else answer
                self.faults[of.answer] = list(faults)
                self.came |= {of.page: small} if small is not None else {}
        self._name_strangers()

    def _name_strangers(self) -> None:
        """Says of pages that came back whole where they show something else than what was given of them."""
        for label, rule, message in strangers(self.came, self.given):
            found = self.seen[label]
            self.seen[label] = found._replace(findings=(*found.findings, strange(found, rule, message)))

    def _given_of(self, asked: Asked) -> list[Given]:
        """The first picture that was given of a page."""
        return [each for each in self.lending.given if each.page == asked.page][:1]

    def _look_at_layers(self, asked: Sequence[Asked]) -> None:
        whose: list[str] = []

        def jobs() -> Iterator[Job]:
            for each in asked:
                lines = self._lines_of(each)
                for given in lines:
                    for job in self._line_job(given):
                        whose.append(given.path)
                        yield job
                for job in self._page_job(each, lines):
                    whose.append(each.answer)
                    yield job

        for at, answer in done(jobs()):
            found = [unreadable(answer.why)] if isinstance(answer, Broken) else answer
            faults = found if isinstance(found, (list, tuple)) and not isinstance(found, Fault) else [found]
            self.faults.setdefault(whose[at], []).extend(each for each in faults if each is not None)

    def _lines_of(self, asked: Asked) -> list[Given]:
        """The line art that a page lies on: its own, or that of its halves."""
        if not self.lending.lines or self.lending.returns == "page":
            return []
        mine = [each for each in self.lending.given if each.pass_name == self.lending.lines]
        own = [each for each in mine if each.page == asked.page]
        return own or [each for each in mine if set(page_numbers(each.page)) & set(page_numbers(asked.page))]

    def _line_job(self, given: Given) -> Iterator[Job]:
        """What is to be seen in a picture of the line art that came back; nothing where it is the very file."""
        if given.path in self.faults or given.path in self.lines:
            return
        self.faults[given.path] = []
        if given.path not in self.bundle.files:
            self.lines[given.path] = lines_not_there(given.path, given.page)
            return
        try:
            data = self.bundle.read(given.path, page_bound(given.known.px if given.known else None))
        except Unfit as fault:
            self.lines[given.path] = unfit(given.path, fault.why, given.page)
            return
        if sha256(data).hexdigest() != given.sha256:
            yield judge_line_art, (data, self.original(given), given.known)

    def _came(self, asked: Asked) -> bytes | None:
        """The bytes of a page; None where it is no file to be read, which is told then."""
        found = Returned(asked.page, asked.answer)
        try:
            data = self.bundle.read(asked.answer, page_bound(asked.px))
        except Unfit as fault:
            self.seen[asked.page] = found._replace(findings=(unfit(asked.answer, fault.why, asked.page),))
            return None
        self.seen[asked.page] = _facts(found._replace(sha256=sha256(data).hexdigest(), size=len(data)), data)
        return data

    def _page_job(self, asked: Asked, lines: Sequence[Given]) -> Iterator[Job]:
        if (data := self._came(asked)) is None:
            return
        under, known = self._under(lines)
        yield judge_returned, (self.lending.returns, data, under, wanted_of(self.lending, asked), known)

    def _under(self, lines: Sequence[Given]) -> tuple[bytes | None, Known | None]:
        """The line art that a page lies on, as handed out, and what it is known by; of two halves neither."""
        if len(lines) != 1:
            return None, None
        return self._original(lines[0]), lines[0].known

    def _original(self, given: Given) -> bytes | None:
        """A picture as it was given: from the book, or from the folder where it is still the very file."""
        data = self.original(given)
        if data is not None or given.path not in self.bundle.files or given.path in self.lines:
            return data
        try:
            came = self.bundle.read(given.path, page_bound(given.known.px if given.known else None))
        except Unfit:
            return None
        return came if sha256(came).hexdigest() == given.sha256 else None

    def page(self, asked: Asked, missing: Finding | None) -> Returned:
        """What is to be said of a page."""
        if missing is not None:
            return Returned(asked.page, asked.answer, findings=(missing,))
        found = self.seen[asked.page]
        findings = list(found.findings) + list(told(self.faults.get(asked.answer, ()), asked.answer, asked.page))
        for given in self._lines_of(asked):
            if given.path in self.lines:
                findings.append(self.lines[given.path]._replace(page=asked.page))
            findings += told(self.faults.get(given.path, ()), given.path, asked.page)
        return found._replace(findings=tuple(findings))


def _facts(found: Returned, data: bytes) -> Returned:
    """Size, mode and resolution of a picture, where its header can be read."""
    from ledger.pictures.guarded import look

    try:
        seen: Look = look(data)
    except Unreadable:
        return found
    ppi = round(seen.ppi[0], 2) if seen.ppi else None
    return found._replace(px=seen.size, mode=seen.mode, ppi=ppi)
