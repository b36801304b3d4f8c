"""What a delivery is made of: the pages as they are committed, and what the ledger and the readers say of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from ledger.desk.numbers import newest_round, slips, the_pass
from ledger.desk.opening import OpenBook
from ledger.judge.agreed.signed import newest_sign_offs
from ledger.model.book import Pass
from ledger.model.delivery import Altered, Extent, OpenNote, Signed, SinceLast
from ledger.model.entry import Alteration, Delivery, Reopen
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.pages import PageSet, label_order, pages_text, pages_words, parse_pages
from ledger.model.safe_names import fits_everywhere
from ledger.model.snapshot import FileAt, Snapshot
from ledger.plan.block import block_of
from ledger.plan.bundle_names import bundle_names
from ledger.read.anchors import read_anchor
from ledger.read.notes_rounds import notes_rounds
from ledger.read.patterns import label_of
from ledger.read.state import BookState


@dataclass(frozen=True)
class Sending:
    """A page that goes out: the pass, its label, its export as committed, and its path in the bundle."""

    pass_: Pass
    page: str
    file: FileAt
    path: str


@dataclass(frozen=True)
class Order:
    """What was ordered: passes in the order asked for, the pages, and the book as it is committed."""

    book: OpenBook
    head: BookState
    passes: tuple[Pass, ...]
    asked: PageSet
    _files: dict[str, dict[str, FileAt]] = field(default_factory=dict, repr=False)

    @property
    def names(self) -> tuple[str, ...]:
        """The passes' names."""
        return tuple(each.name for each in self.passes)

    def files(self, pass_: Pass) -> dict[str, FileAt]:
        """Label -> export of the pages asked for, in page order; of a page there twice the first in byte order."""
        if pass_.name not in self._files:
            found = self.head.exports(pass_)
            self._files[pass_.name] = {
                label: found[label][0] for label in sorted(found, key=label_order) if label in self.asked
            }
        return self._files[pass_.name]

    @cached_property
    def sending(self) -> tuple[Sending, ...]:
        """Every page, pass by pass in page order."""
        return tuple(each for pass_ in self.passes for each in self._of_pass(pass_))

    def _of_pass(self, pass_: Pass) -> Iterator[Sending]:
        every = {label: files[0].path for label, files in self.head.exports(pass_).items()}
        names = bundle_names(every)
        own = pass_.name if fits_everywhere(pass_.name) else f"pass-{pass_.name}"
        folder = "data/" if len(self.passes) == 1 else f"data/{own}/"
        for label, file in self.files(pass_).items():
            yield Sending(pass_, label, file, folder + names[label])

    @cached_property
    def alone(self) -> BookState:
        """The committed book with no other export in these passes than those that go out, a page's doubles too."""
        kept = {
            file.path
            for pass_ in self.passes
            for label, files in self.head.exports(pass_).items()
            if label in self.asked
            for file in files
        }
        mine = {path for pass_ in self.passes for path in self.head.paths(pass_)}
        files = {path: file for path, file in self.head.snapshot.files.items() if path in kept or path not in mine}
        passes = tuple(each for each in self.head.book.passes if each.kind == "text" or each in self.passes)
        book = self.head.book._replace(passes=passes)
        snapshot = Snapshot(self.head.snapshot.name, files, self.head.snapshot.store)
        return BookState(snapshot, book, self.head.entries, self.head.findings)

    @property
    def whole(self) -> bool:
        """Whether nothing of these passes is left out."""
        return all(label in self.asked for pass_ in self.passes for label in self.head.exports(pass_))

    @property
    def pages(self) -> str | None:
        """The pages as the ledger writes them; None for all."""
        return None if self.whole and not self.asked.everything else self.asked.text()

    @property
    def of_these(self) -> list[Delivery]:
        """Earlier deliveries of the same passes, oldest number first."""
        found = [e for e in self.head.entries if isinstance(e, Delivery) and set(e.passes) == set(self.names)]
        return sorted(found, key=lambda e: e.number)

    @property
    def part(self) -> int | None:
        """The number of this part; pages that were a part before are that part again. None for a whole delivery."""
        if self.pages is None:
            return None
        parts = list(dict.fromkeys(each.pages for each in self.of_these if each.pages is not None))
        return parts.index(self.pages) + 1 if self.pages in parts else len(parts) + 1


def order(book: OpenBook, head: BookState, names: Sequence[str], asked: PageSet) -> Order:
    """What is asked for. Raises Refusal for what is no drawn pass, a pass named twice, and one with no such export."""
    passes = tuple(the_pass(head.book, name) for name in names)
    for each in passes:
        if each.kind != "art":
            raise Refusal(f"{each.name!r} is a text pass, and a bundle holds pages",
                          remedy="deliver a drawn pass, such as letters")  # fmt: skip
        if names.count(each.name) > 1:
            raise Refusal(f"{each.name!r} is named twice", remedy="name every pass once")
    found = Order(book, head, passes, asked)
    for each in passes:
        if not head.exports(each):
            raise Refusal(f"nothing of {each.name!r} is recorded yet",
                          remedy=f"enter it first: inkledger enter {each.name}")  # fmt: skip
        if not found.files(each):
            there = pages_text(head.exports(each))
            raise Refusal(f"{pages_words(asked.text())}: nothing of {each.name} is recorded there",
                          remedy=f"what is there: --pages {there}")  # fmt: skip
    return found


# -- what is said of the pages


def extent_of(wanted: Order) -> Extent:
    """Pages of the whole book, and the blanks of its last folded sheet."""
    block = block_of(wanted.head.script_draft(), wanted.head.book)
    return Extent(block.front, block.story, block.back, block.signature, block.blanks)


def signed_of(wanted: Order) -> tuple[Signed, ...]:
    """How every pass stands: its newest round, and the newest sign-off of these pages."""
    found = []
    for pass_ in wanted.passes:
        newest = newest_round(wanted.head.entries, pass_.name)
        locks = [each.lock for each in newest_sign_offs(wanted.head, pass_, list(wanted.files(pass_))).values()]
        last = max(locks, key=lambda lock: lock.number, default=None)
        approved = (last.approved_by or "") if last else ""
        found.append(Signed(pass_.name, newest.name if newest else "", last.name if last else "", approved))
    return tuple(found)


def altered_of(wanted: Order) -> tuple[Altered, ...]:
    """Slips and reopenings on the pages that go out, of these passes or of the script they are made from."""
    made_of = {*wanted.names, *(script.name for name in wanted.names if (script := wanted.head.book.script_of(name)))}
    labels = [label for pass_ in wanted.passes for label in wanted.files(pass_)]
    reopens = [e for e in wanted.head.entries if isinstance(e, Reopen)]
    found = []
    for entry in [*slips(wanted.head.entries), *sorted(reopens, key=lambda e: e.number)]:
        concerns = not entry.passes or made_of.intersection(entry.passes) or _holds(wanted, entry)
        if concerns and any(label in entry.page_set for label in labels):
            found.append(Altered(entry.alteration_class, entry.name, entry.pages, entry.reason, entry.asked_by,
                                 isinstance(entry, Reopen)))  # fmt: skip
    return tuple(found)


def _holds(wanted: Order, entry: Alteration) -> bool:
    return any(label_of(path, pass_) for path in entry.files for pass_ in wanted.passes)


def notes_of(wanted: Order) -> tuple[OpenNote, ...]:
    """Notes that wait for somebody, on pages that go out or on the whole book."""
    labels = PageSet(frozenset(label for pass_ in wanted.passes for label in wanted.files(pass_)))
    rounds = [
        each._replace(notes=waiting)
        for each in notes_rounds(wanted.book.working)
        if (waiting := tuple(note for note in each.notes if note.state in ("open", "query")))
    ]
    if not rounds:
        return ()
    from ledger.desk.notes.gathered import followed_notes

    found = []
    for each in followed_notes(wanted.book, wanted.head, rounds=rounds):
        if each.evidence == "cut":
            continue
        place = each.place_now or each.place_then or each.note.anchor.typed
        anchor = read_anchor(each.place_now or each.place_then or "") or each.note.anchor
        if anchor.page is None or _touches(anchor.page, labels):
            found.append(OpenNote(each.note.id, place, each.note.text, each.reader, each.note.state))
    return tuple(found)


def _touches(page: str, labels: PageSet) -> bool:
    return bool(set(parse_pages(page).labels) & set(parse_pages(",".join(labels.labels)).labels)) or page in labels


# -- since the last delivery


def last_delivery(wanted: Order) -> Delivery | None:
    """The newest delivery of the same passes: of the same pages, else one that has any of these pages."""
    earlier = wanted.of_these
    labels = [label for pass_ in wanted.passes for label in wanted.files(pass_)]
    alike = [each for each in earlier if each.pages == wanted.pages]
    sharing = [each for each in earlier if any(label in each.page_set for label in labels)]
    return next(iter([*reversed(alike), *reversed(sharing)]), None)


def since_last(wanted: Order, last: Delivery) -> tuple[tuple[SinceLast, ...], tuple[Finding, ...]]:
    """What changed since, page by page, as `compare` tells it; and what could not be looked at."""
    if _unchanged(wanted, last):
        return (), ()
    from ledger.desk.comparing import compare_contents
    from ledger.desk.contents import of_state
    from ledger.desk.reference import entry_contents

    then = entry_contents(wanted.book, last, last.name)._replace(pages=last.page_set)
    now = of_state(wanted.alone, "HEAD", wanted.names)._replace(pages=wanted.asked)
    told = compare_contents(then, now, wanted.book.repo)
    gone = {"missing": "gone"}
    changed = {
        (each.pass_name, each.page): SinceLast(each.pass_name, each.page, gone.get(each.kind, each.kind))
        for each in told.pictures
        if each.kind != "same"
    }
    for finding in told.findings:
        for each in wanted.sending:
            if finding.rule == "export-unreadable" and each.file.path == finding.path:
                changed.setdefault((each.pass_.name, each.page), SinceLast(each.pass_.name, each.page, "unread"))
    order_of = {name: at for at, name in enumerate(wanted.names)}
    listed = sorted(changed.values(), key=lambda each: (order_of[each.pass_name], label_order(each.page)))
    return tuple(listed), tuple(told.findings)


def _unchanged(wanted: Order, last: Delivery) -> bool:
    """Whether every page that both cover has the object id it had."""
    now = {each.file.path: each.file.oid for each in wanted.sending if each.page in last.page_set}
    then = {path: oid for path, oid in last.files.items() if oid and _asked(wanted, path)}
    return now == then


def _asked(wanted: Order, path: str) -> bool:
    labels = [label for pass_ in wanted.passes if (label := label_of(path, pass_))]
    return not labels or any(label in wanted.asked for label in labels)


def not_committed(wanted: Order) -> list[str]:
    """Labels of pages whose file is another one in the working folder than the one committed."""
    files: Mapping[str, FileAt] = wanted.book.working.snapshot.files
    return list(
        dict.fromkeys(each.page for each in wanted.sending if not _same(wanted, files.get(each.file.path), each.file))
    )


def _same(wanted: Order, now: FileAt | None, then: FileAt) -> bool:
    from ledger.judge.resting.made_from import blob_id, form_of
    from ledger.model.errors import ContentMissing

    if now is None or now.oid is not None:
        return now is not None and now.oid == then.oid
    try:
        data = wanted.book.working.snapshot.store.read(now)
    except (ContentMissing, OSError):
        return False
    return blob_id(data, form_of(then.oid or "")) == then.oid
