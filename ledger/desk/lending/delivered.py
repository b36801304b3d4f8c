"""What was delivered, page by page, as a proof is set against it: the newest state of every page, and older ones."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from ledger.desk.numbers import newest_round, rounds_of
from ledger.desk.opening import OpenBook
from ledger.model.book import Pass
from ledger.model.entry import Delivery, Round
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.pages import label_order
from ledger.model.snapshot import FileAt
from ledger.pictures.assistants import Broken, Job, done
from ledger.pictures.returns.known_again import Small, small_or_why
from ledger.read.patterns import label_of
from ledger.read.state import BookState


class Sent(NamedTuple):
    """A page as it was delivered: its pass, its label, its file, the delivery; whether a later one has another."""

    pass_name: str
    page: str
    file: FileAt
    entry: str
    older: bool = False


class Expected(NamedTuple):
    """Pages that a proof may be of: the deliveries they went out with, and their places by pass and label in order."""

    deliveries: tuple[Delivery, ...]
    places: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Deliveries:
    """The deliveries of a book, oldest first."""

    book: OpenBook
    head: BookState
    entries: tuple[Delivery, ...]

    @cached_property
    def newest(self) -> dict[tuple[str, str], Sent]:
        """(pass, label) -> the page as it was delivered last."""
        return {(each.pass_name, each.page): each for entry in self.entries for each in self._of(entry)}

    @cached_property
    def older(self) -> list[Sent]:
        """States of pages that went out before and are in no page's newest state, the newest of them last."""
        now = {each.file.oid for each in self.newest.values()}
        before = {each.file.oid: each for entry in self.entries for each in self._of(entry)}
        return [each._replace(older=True) for oid, each in before.items() if oid not in now]

    def _of(self, entry: Delivery) -> Iterator[Sent]:
        passes = [self.head.book.pass_named(name) for name in entry.passes]
        for path, oid in entry.files.items():
            found = next(((each, label) for each in passes if each and (label := label_of(path, each))), None)
            if found and oid:
                yield Sent(found[0].name, found[1], FileAt(path, oid), entry.name)

    @cached_property
    def expected(self) -> list[Expected]:
        """What a proof may be of: each delivery, newest first; all parts of its passes; all that was ever delivered."""
        found: list[Expected] = []
        for entry in reversed(self.entries):
            mates = [each for each in self.entries if set(each.passes) == set(entry.passes)]
            for group in ([entry], mates, self.entries):
                places = {(each.pass_name, each.page) for one in group for each in self._of(one)}
                each = Expected(tuple(group), tuple(sorted(places, key=self._order)))
                if each.places and each.places not in [other.places for other in found]:
                    found.append(each)
        return found

    def _order(self, place: tuple[str, str]) -> tuple[tuple[int, int, str], str]:
        return label_order(place[1]), place[0]

    def round_of(self, pass_: Pass) -> Round | None:
        """The round of a pass whose pictures the newest delivery of it holds; the newest one where none does."""
        files = {each.file.path: each.file.oid for each in self.newest.values() if each.pass_name == pass_.name}
        for each in reversed(rounds_of(self.head.entries, pass_.name)):
            if all(each.files.get(path) == oid for path, oid in files.items()):
                return each
        return newest_round(self.head.entries, pass_.name)

    def brought_down(self, sent: Sequence[Sent]) -> dict[Sent, Small]:
        """The pages whose picture can be had here and be read, brought down; two are looked at at a time."""
        asked: list[Sent] = []

        def jobs() -> Iterator[Job]:
            for each in sent:
                try:
                    data = self.book.head_snapshot.store.read(each.file)
                except (ContentMissing, OSError):
                    continue
                asked.append(each)
                yield small_or_why, (data,)

        found = {asked[at]: answer for at, answer in done(jobs())}
        return {each: answer for each, answer in found.items() if not isinstance(answer, (Broken, str))}


def deliveries(book: OpenBook) -> Deliveries:
    """The deliveries of the newest commit. Raises Refusal where there is none."""
    head = book.head
    entries = [e for e in (head.entries if head else ()) if isinstance(e, Delivery)]
    found = Deliveries(book, head, tuple(sorted(entries, key=lambda e: e.number))) if head else None
    if found is None or not found.newest:
        what = "letters" if head is None or head.book.pass_named("letters") else "PASS"
        raise Refusal("nothing was delivered yet, so there is nothing to set a proof against",
                      remedy=f"deliver first: inkledger deliver {what} --to ../to-the-printer")  # fmt: skip
    return found
