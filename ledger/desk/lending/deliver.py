"""`deliver`: the publisher's bundle, of what is committed: judged first, then there whole with its entry, or not."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ledger.desk.lending.deliver_content import (
    Order,
    Sending,
    altered_of,
    extent_of,
    last_delivery,
    not_committed,
    notes_of,
    order,
    signed_of,
    since_last,
)
from ledger.desk.numbers import next_number
from ledger.desk.opening import OpenBook, open_book, recorded
from ledger.desk.pictures.picture_memory import prints_remembered, remember_prints
from ledger.desk.pictures.thumbnails import DELIVERED, thumbnails
from ledger.desk.recording.handing_over import Signer, record_entry, refuse_unready, signer
from ledger.desk.stale_pages import stale_now
from ledger.desk.wishes import pages_of
from ledger.gitedge.complaints import of_the_machine
from ledger.gitedge.going_out import FRESH, Parcel, drop, left_behind, parcel, sealed
from ledger.gitedge.objects import missing_objects
from ledger.gitedge.set_down import refuse_filled, refuse_inside
from ledger.judge.agreed.signed import not_as_signed
from ledger.judge.exports.judged import judge_exports
from ledger.judge.lending.delivering import at_delivery, pages_lacking, unreadable
from ledger.judge.levels import apply_rules
from ledger.judge.resting.findings import stale_findings
from ledger.model.delivery import Bundle, Delivered
from ledger.model.entry import Delivery
from ledger.model.finding import Finding
from ledger.model.outcome import Outcome
from ledger.model.pages import pages_text, pages_words
from ledger.model.plate import Shown
from ledger.model.stale import Stale
from ledger.pictures.files.header import Look, Unreadable
from ledger.pictures.guarded import look
from ledger.render.lending.bag import INFO, TAG_MANIFEST, tag_files
from ledger.render.lending.delivery_text import bag_facts, delivery_said


@dataclass(frozen=True)
class DeliverWish:
    """What `deliver` was asked; the names are those of its options."""

    passes: tuple[str, ...]
    to: Path
    pages: str | None = None
    again: bool = False


@dataclass(frozen=True)
class DeliveryMade:
    """What came of it: the outcome, every page that was judged, and the bundle, None where nothing was delivered."""

    outcome: Outcome
    judged: tuple[Delivered, ...] = ()
    bundle: Bundle | None = None


def deliver(here: Path, wish: DeliverWish) -> DeliveryMade:
    """Delivers. Raises Refusal for wrong use; findings that block are in the outcome, and nothing is written."""
    asked = pages_of(wish.pages)
    book = open_book(here)
    refuse_unready(book.repo)
    sign = signer(book.repo)
    place = os.path.realpath(here / wish.to)
    refuse_inside(book.repo, place)
    if (finished := _finished(book, place, str(wish.to))) is not None:
        return DeliveryMade(finished)
    refuse_filled(place)
    wanted = order(book, recorded(book), wish.passes, asked)
    number = next_number([book.head, book.working], "delivery")
    return _Whole(wish, wanted, sign, number).out(place)


def _finished(book: OpenBook, place: str, shown: str) -> Outcome | None:
    """Gives a bundle its name that was recorded, but interrupted before it had one."""
    if left_behind(place, TAG_MANIFEST) is None:
        return None
    entries = [e for e in (book.head.entries if book.head else ()) if isinstance(e, Delivery)]
    try:
        rows = (Path(place + FRESH) / INFO).read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        rows = []
    entry = next((e for e in entries if all(f"{key}: {said}" in rows for key, said in _marks(e))), None)
    if entry is None:
        drop(place)
        return None
    Parcel(place, archive=False).arrive()
    told = (
        f"{entry.name} was recorded before, and interrupted: its bundle is in {shown} now. Nothing new was delivered."
    )
    return Outcome(True, (told,), entry.name, paths=(shown,))


def _marks(entry: Delivery) -> tuple[tuple[str, str], ...]:
    """What of `bag-info.txt` tells this delivery from every other."""
    return (("External-Identifier", entry.name), ("Internal-Sender-Identifier", entry.date.isoformat()))


# -- the whole of it


def _header(place: Path) -> Look:
    """The header of a page whose pixels can't be unpacked; nothing of one that is no picture. Raises OSError."""
    try:
        return look(place.read_bytes())
    except Unreadable:
        return Look(0, 0, "", None, "")


@dataclass
class _Whole:
    """A delivery on its way out; `placed` holds every page read so far, by its path in the book."""

    wish: DeliverWish
    wanted: Order
    sign: Signer
    number: int
    placed: dict[str, Delivered] = field(default_factory=dict)
    looks: dict[str, Look] = field(default_factory=dict)

    def out(self, place: str) -> DeliveryMade:
        """Fills the folder, judges what is in it, records the entry, and gives the folder its name."""
        with parcel(place) as made:
            findings = self._judged(made)
            if any(each.blocks for each in findings):
                said = ("Nothing was delivered, and nothing was recorded.",)
                return DeliveryMade(Outcome(False, said, findings=findings), self._pages({}))
            bundle = self._bundle(findings)
            self._put_texts(made, bundle)
            sealed(made)
            done = self._recorded(made)
            made.arrive()
        return DeliveryMade(self._outcome(bundle, done, made), bundle.delivered, bundle)

    # -- judging

    def _judged(self, made: Parcel) -> tuple[Finding, ...]:
        head, wanted = self.wanted.head, self.wanted
        gone = missing_objects(wanted.book.repo, [each.file.oid for each in wanted.sending if each.file.oid])
        known = prints_remembered(wanted.book.repo)
        had = len(known)
        found: list[Finding] = []
        for pass_ in wanted.passes:
            files = wanted.files(pass_)
            found += pages_lacking(head, pass_, wanted.asked)
            for label, file in files.items():
                if file.oid in gone:
                    found += unreadable(pass_, label, file.path, "not fetched", head.book.rules)
            here = {label: file for label, file in files.items() if file.oid not in gone}
            found += not_as_signed(head, pass_, here, known)
        found += self._of_exports(made, known, frozenset(gone))
        found += self._stale()
        if len(known) > had:
            remember_prints(wanted.book.repo, known)
        return tuple(dict.fromkeys(found))

    def _of_exports(self, made: Parcel, known: dict[str, str], gone: frozenset[str]) -> tuple[Finding, ...]:
        """What the export rules say; every page is read once, for them and for the bundle."""
        sending = {each.file.path: each for each in self.wanted.sending}
        state = self.wanted.alone

        def read(path: str) -> bytes:
            if path in self.placed:
                return Path(made.work, self.placed[path].path).read_bytes()
            data = state.snapshot.read(path)
            if path in sending:
                self._put_page(made, sending[path], data)
            return data

        said = judge_exports(state, read, prints=known, looks=self.looks)
        for path, page in self.placed.items():
            seen = self.looks.get(path) or _header(Path(made.work, page.path))
            self.placed[path] = page._replace(px=seen.size, mode=seen.mode, depth=seen.depth, ppi=seen.ppi)
        told = [each for each in said if not self._told(each, sending, gone)]
        pages = {path: (each.pass_, each.page) for path, each in sending.items()}
        return at_delivery(state, told, self.looks, pages)

    def _told(self, finding: Finding, sending: Mapping[str, Sending], gone: frozenset[str]) -> bool:
        """Whether it is told already: that a page is not on this machine."""
        of = sending.get(finding.path or "")
        return finding.rule == "export-unreadable" and of is not None and of.file.oid in gone

    def _put_page(self, made: Parcel, each: Sending, data: bytes) -> None:
        try:
            digest = made.put(each.path, data)
        except OSError as fault:
            # Whoever asked to read the page must not take this for a fault of the page.
            raise of_the_machine(fault) from None
        self.placed[each.file.path] = Delivered(
            each.pass_.name, each.page, each.path, each.file.path, each.file.oid or "", digest, len(data),
            (0, 0), "",
        )  # fmt: skip

    def _stale(self) -> tuple[Finding, ...]:
        every = stale_now(self.wanted.book, self.wanted.head).pages
        going = {(each.pass_.name, each.page) for each in self.wanted.sending}
        mine = tuple(each for each in every if (each.pass_name, each.page) in going)
        raised = [each.at_level("block") for each in stale_findings(Stale(mine))]
        return apply_rules(raised, self.wanted.head.book.rules)

    # -- the bundle

    def _pages(self, small: Mapping[str, Mapping[str, Shown]]) -> tuple[Delivered, ...]:
        found = [self.placed[each.file.path] for each in self.wanted.sending if each.file.path in self.placed]
        return tuple(each._replace(thumbnail=small.get(each.pass_name, {}).get(each.page)) for each in found)

    def _bundle(self, findings: Sequence[Finding]) -> Bundle:
        wanted = self.wanted
        small = thumbnails(wanted.alone, wanted.passes, DELIVERED, wanted.book.repo)
        pages = self._pages(small)
        last = last_delivery(wanted) if self.wish.again else None
        changed, unseen = since_last(wanted, last) if last else ((), ())
        same = len([each for each in wanted.sending if last and each.page in last.page_set])
        same -= len([each for each in changed if each.kind not in ("added", "gone")])
        same -= len([each for each in changed if each.kind == "added"])
        return Bundle(
            wanted.head.book.title, f"delivery-{self.number}", self.sign.when, self.sign.by, wanted.names, wanted.pages,
            wanted.part, pages, extent_of(wanted), signed_of(wanted), altered_of(wanted), notes_of(wanted),
            last.name if last else "", changed, same, (*findings, *unseen), self._unasked,
            wanted.head.book.reading, wanted.head.book.page,
        )  # fmt: skip

    @property
    def _unasked(self) -> frozenset[str]:
        """Rules that the book switches off, and that of modes where no pass that goes out states one."""
        off = {rule for rule, level in self.wanted.head.book.rules.items() if level == "off"}
        return frozenset(off if any(each.mode for each in self.wanted.passes) else off | {"export-mode"})

    def _put_texts(self, made: Parcel, bundle: Bundle) -> None:
        from ledger.render.lending.delivery_sheet import delivery_sheets

        sheets = delivery_sheets(bundle)
        payload = {each.path: (each.sha256, each.size) for each in bundle.delivered}
        facts = [*bag_facts(bundle), *_marks(self._entry())]
        for path, data in tag_files(facts, payload, sheets).items():
            made.put(path, data)

    def _entry(self) -> Delivery:
        wanted = self.wanted
        return Delivery(
            path=f"ledger/delivery-{self.number}.toml", number=self.number, date=self.sign.when, by=self.sign.by,
            message=f"part {wanted.part}" if wanted.part else "", pages=wanted.pages, passes=wanted.names,
            files={each.file.path: each.file.oid or "" for each in wanted.sending},
        )  # fmt: skip

    def _recorded(self, made: Parcel) -> Outcome:
        """Records the entry; from then on the bundle stays, even where something ends us right after it."""
        entry = self._entry()
        try:
            done = record_entry(self.wanted.book, entry, tag=None)
            made.recorded = True
        except BaseException:
            made.recorded = self.wanted.book.repo.reader.named(f"HEAD:{entry.path}") is not None
            raise
        return done

    def _outcome(self, bundle: Bundle, done: Outcome, made: Parcel) -> Outcome:
        told = [*delivery_said(bundle, str(self.wish.to)), *done.said]
        if self.wish.again and not bundle.last:
            told.append(f"There is no earlier delivery of {' and '.join(bundle.passes)} to compare with.")
        if aside := not_committed(self.wanted):
            told.append(f"Your own files differ on {pages_words(pages_text(aside))}; what is committed went out.")
        paths = (*(f"{self.wish.to}/{path}" for path in sorted(made.paths)), *done.paths)
        return Outcome(True, tuple(told), done.entry, done.commit, done.tag, paths, bundle.findings)
