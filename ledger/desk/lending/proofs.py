"""`receive --proofs`: a printer's pages set against what was delivered; what is found becomes a round of notes."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from ledger.desk.lending.delivered import Deliveries, Expected, Sent, deliveries
from ledger.desk.lending.proof_sheets import PDF, Sheets, read_proof
from ledger.desk.notes.writing import started_names
from ledger.desk.numbers import next_number, the_pass
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.recording.handing_over import Signer, record_entry, refuse_unready, signer
from ledger.gitedge.coming_back import OneFile, held
from ledger.judge.lending.proof_findings import first_page, key_of, label_in, proof_findings, run_told
from ledger.judge.lending.proof_pages import Judged, Place, View, judged, likeliest
from ledger.judge.levels import apply_rules
from ledger.model.coming_in import NoteIn
from ledger.model.entry import Handoff
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import Finding
from ledger.model.note import OF_A_PROOF, NotesRound
from ledger.model.outcome import Outcome
from ledger.model.pages import page_numbers, pages_text
from ledger.model.proof import Proof, ProofSheet, Run
from ledger.pictures.returns.known_again import Shelf, Shown, Small, parted
from ledger.read.anchors import page_ref
from ledger.read.marginalia.keys import known_keys, mark_reply
from ledger.read.notes_edit import Fresh, add_notes, new_round
from ledger.read.notes_rounds import FOLDER, notes_rounds
from ledger.render.lending.proofs_sheet import proofs_sheet, same_sheet
from ledger.render.lending.proofs_text import proofs_said

#: So many sheets are looked at: some for every page that was ever delivered, and some more.
_A_PAGE, _MORE = 4, 200
#: A sheet this much wider than high may hold two facing pages; a page wider than that is a spread (own choice).
_WIDE = 1.15


class ProofsMade(NamedTuple):
    """What `receive --proofs` did: the outcome, and the proof judged."""

    outcome: Outcome
    proof: Proof


def receive_proofs(here: Path, source: Path, *, only: bool = False) -> ProofsMade:
    """Sets a proof against what was delivered and records it with its sheet and its notes, all or nothing.

    With `only` nothing is written. Raises Refusal where nothing was delivered, and for a proof that can't be read.
    """
    book = open_book(here)
    if not only:
        refuse_unready(book.repo)
    sent = deliveries(book)
    with held(os.fspath(here / source), str(source), begins=PDF) as holder:
        most = _A_PAGE * len(sent.newest) + _MORE
        sheets = read_proof(holder, str(source), most, pdf=isinstance(holder, OneFile))
    proof = _Against(sent, sheets).proof()
    _refuse_foreign(proof, str(source))
    findings = apply_rules(proof_findings(proof), book.working.book.rules)
    aside = tuple(
        Finding("return-names", "query", f"it {why}, so it was left aside", path) for path, why in sheets.aside
    )
    return _Taking(book, sent, proof, (*findings, *aside), only).done()


def _refuse_foreign(proof: Proof, shown: str) -> None:
    """Raises Refusal where not one sheet is ours: the wrong file was named, and nobody wants a note for each of it."""
    read = [sheet for sheet in proof.sheets if not (sheet.unread or sheet.blank)]
    if read and not any(sheet.pages or sheet.likest for sheet in read):
        raise Refusal(f"none of its {len(proof.sheets):,} sheets shows a page that was delivered", path=shown,
                      remedy="look whether it is the proof of this book")  # fmt: skip


# -- what the sheets show


class _Candidate(NamedTuple):
    """A page that a sheet may show: as it was delivered, or half of a spread."""

    sent: Sent
    label: str

    @property
    def place(self) -> Place:
        return self.sent.pass_name, self.label


class _Against:
    """A proof beside the pages that were delivered."""

    def __init__(self, sent: Deliveries, sheets: Sheets) -> None:
        self.sent, self.sheets = sent, sheets
        self.rtl = sent.head.book.reading == "rtl"
        small = sent.brought_down([*sent.newest.values(), *sent.older])
        self.not_here = {(each.pass_name, each.page) for each in sent.newest.values() if each not in small}
        cut = [each for one, page in small.items() for each in self._cut(one, page)]
        self.candidates = [candidate for candidate, _ in cut]
        self.shelf = Shelf([(str(at), page) for at, (_, page) in enumerate(cut)])

    def _cut(self, sent: Sent, page: Small) -> Iterator[tuple[_Candidate, Small]]:
        """The page, and of a spread its halves: a printer may show them on two sheets."""
        yield _Candidate(sent, sent.page), page
        numbers = page_numbers(sent.page)
        if len(numbers) == 2 and page.px[0] > _WIDE * page.px[1]:
            for number, half in zip(reversed(numbers) if self.rtl else numbers, parted(page), strict=True):
                yield _Candidate(sent, str(number)), half

    def proof(self) -> Proof:
        """What is seen, and what is wrong with it."""
        views = [view for sheet, small in self.sheets.every for view in self._views(sheet, small)]
        sets = [each for each in self.sent.expected if self._left(each)] or self.sent.expected[:1]
        chosen = sets[likeliest([self._left(each) for each in sets], views)]
        found = judged(self._left(chosen), views)
        passes = list(dict.fromkeys(name for entry in chosen.deliveries for name in entry.passes))
        not_here = [label for pass_name, label in chosen.places if (pass_name, label) in self.not_here]
        return Proof(
            self.sent.head.book.title, tuple(entry.name for entry in chosen.deliveries), tuple(passes), found.pages,
            tuple(self._told(sheet, views, found) for sheet, _ in self.sheets.every), found.runs, tuple(not_here),
        )  # fmt: skip

    def _left(self, each: Expected) -> list[Place]:
        return [place for place in each.places if place not in self.not_here]

    def _views(self, sheet: ProofSheet, small: Small | None) -> list[View]:
        if small is None:
            if sheet.blank:
                return [self._view(sheet, self.shelf.shown(Small((1, 1), (1, 1), b"\xff")))]
            return [View(sheet.number, unread=True)]
        whole = self.shelf.shown(small)
        if whole.pages or whole.flat is not None or small.px[0] <= _WIDE * small.px[1]:
            return [self._view(sheet, whole)]
        halves = [self.shelf.shown(half) for half in parted(small)]
        if not any(half.pages for half in halves):
            return [self._view(sheet, whole)]
        return [self._view(sheet, half) for half in (reversed(halves) if self.rtl else halves)]

    def _view(self, sheet: ProofSheet, shown: Shown) -> View:
        may_be = [self.candidates[int(name)] for name in shown.pages]
        may_be = [each for each in may_be if not each.sent.older] or may_be
        first = may_be[0].sent if may_be else None
        return View(
            sheet.number, tuple(each.place for each in may_be), shown.flat, shown.turned, first.entry if first else "",
            bool(first and first.older), self.candidates[int(shown.likest)].place if shown.likest else None,
        )  # fmt: skip

    def _told(self, sheet: ProofSheet, views: Sequence[View], found: Judged) -> ProofSheet:
        """The sheet with what is on it."""
        mine = [at for at, view in enumerate(views) if view.sheet == sheet.number]
        pages = tuple(found.shown[at] for at in mine if found.shown[at])
        likest = next((place[1] for at in mine if (place := views[at].likest) and not pages), "")
        return sheet._replace(pages=pages, blank=sheet.number in found.blank and not pages, likest=likest)


# -- what is recorded


@dataclass
class _Taking:
    """A proof, judged, on its way into the ledger."""

    book: OpenBook
    sent: Deliveries
    proof: Proof
    findings: tuple[Finding, ...]
    only: bool

    def done(self) -> ProofsMade:
        """Records what is new, and says so."""
        if self.only:
            return self._told(Outcome(False, findings=self.findings))
        sign = signer(self.book.repo)
        fresh = [run for run in self.proof.runs if self._key(run) not in self._known]
        sheet = proofs_sheet(self.proof, sign.by, sign.when)
        if not fresh and self._said_before(sheet):
            return self._told(Outcome(False, findings=self.findings))
        return self._recorded(sign, fresh, sheet)

    @cached_property
    def _rounds(self) -> tuple[NotesRound, ...]:
        return notes_rounds(self.book.working)

    @cached_property
    def _known(self) -> Mapping[str, tuple[NotesRound, int]]:
        return {key: at for key, at in known_keys(self._rounds).items() if key.startswith(OF_A_PROOF)}

    def _key(self, run: Run) -> str:
        said = [self.proof.deliveries[-1], *key_of(run, self.proof.sheets)]
        return OF_A_PROOF + sha256("\0".join(said).encode("utf-8", "surrogatepass")).hexdigest()[:16]

    @property
    def _delivery(self) -> int:
        return int(self.proof.deliveries[-1].rpartition("-")[2])

    def _said_before(self, sheet: str) -> bool:
        """Whether the sheet of an earlier proof of this delivery says the same."""
        for each in self.book.head.entries if self.book.head else ():
            if isinstance(each, Handoff) and each.delivery == self._delivery:
                try:
                    before = self.book.head_snapshot.read(_sheet_path(each.number))
                except (KeyError, ContentMissing):
                    continue
                if same_sheet(before.decode("utf-8", "replace"), sheet):
                    return True
        return False

    def _recorded(self, sign: Signer, fresh: Sequence[Run], sheet: str) -> ProofsMade:
        number = next_number([self.book.head, self.book.working], "handoff")
        contents = {_sheet_path(number): sheet.encode()}
        notes = self._free_name() if fresh else ""
        if notes:
            contents[f"{FOLDER}/{notes}.md"] = self._notes(sign, fresh)
        done = record_entry(self.book, self._entry(sign, number), tag=None, contents=contents)
        outcome = Outcome(True, (), done.entry, done.commit, done.tag, done.paths, self.findings)
        return self._told(outcome, _sheet_path(number), notes, len(fresh))

    def _entry(self, sign: Signer, number: int) -> Handoff:
        """The entry: whose proofs came back, and in a few words how they are."""
        whole = {label_in(page) for page in self.proof.pages} >= {label for _, label in self.sent.newest}
        pages = None if whole else pages_text([label_in(page) for page in self.proof.pages])
        count = len(self.proof.runs)
        message = "as delivered" if not count else f"{count} thing{'s' if count > 1 else ''} to be looked at"
        return Handoff(
            path=f"ledger/handoff-{number}.toml", number=number, date=sign.when, by=sign.by, message=message,
            pages=pages, pass_name=self.proof.passes[0], delivery=self._delivery,
        )  # fmt: skip

    def _free_name(self) -> str:
        taken = started_names(self.book)
        return next(f"proofs-{n}" for n in range(1, len(taken) + 2) if f"proofs-{n}" not in taken)

    def _notes(self, sign: Signer, fresh: Sequence[Run]) -> bytes:
        """A round of notes in the form of convention §5, each with the mark by which it is known again."""
        reader, day = sign.by.partition(" <")[0], sign.when.date().isoformat()
        about = self.sent.round_of(the_pass(self.sent.head.book, self.proof.passes[0]))
        title = f"Proofs of {' and '.join(self.proof.deliveries)}"
        begun = new_round(title, reader=reader, on=about.name if about else "", date=day)
        return add_notes(begun, [self._note(run, reader, day) for run in fresh])[0]

    def _note(self, run: Run, reader: str, day: str) -> Fresh:
        message, remedy = run_told(run, self.proof.sheets)
        page = first_page(run)
        mark = mark_reply(NoteIn("", author=reader, date=day), self._key(run))
        return Fresh(f"{message}: {remedy}.", page_ref(page) if page else "", [mark])

    def _told(self, outcome: Outcome, sheet: str = "", notes: str = "", fresh: int = 0) -> ProofsMade:
        before = sorted({round_.name for run in self.proof.runs if (found := self._known.get(self._key(run)))
                         for round_ in found[:1]})  # fmt: skip
        said = tuple(proofs_said(self.proof, outcome, sheet, notes, fresh, tuple(before), self._no_longer, self.only))
        made = Outcome(outcome.done, said, outcome.entry, outcome.commit, outcome.tag, outcome.paths, outcome.findings)
        return ProofsMade(made, self.proof)

    @property
    def _no_longer(self) -> tuple[str, ...]:
        """Ids of open notes that earlier proofs of these pages had and this one has no cause for."""
        now, labels = {self._key(run) for run in self.proof.runs}, {label_in(page) for page in self.proof.pages}
        return tuple(
            round_.notes[at].id
            for key, (round_, at) in self._known.items()
            if key not in now and round_.notes[at].state == "open" and round_.notes[at].anchor.page in labels
        )


def _sheet_path(number: int) -> str:
    return f"memos/return-{number}.md"
