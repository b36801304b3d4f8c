"""`packet --for`: that a packet went to somebody is an entry of the ledger."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ledger.desk.lending.packets import PacketMade, PacketWish
from ledger.desk.numbers import next_number
from ledger.desk.opening import open_book
from ledger.desk.recording.handing_over import record_entry, refuse_unready, signer
from ledger.desk.wishes import pages_of
from ledger.gitedge.one_file import put_whole
from ledger.model.entry import Handoff
from ledger.model.errors import Refusal
from ledger.model.outcome import Outcome


def send(here: Path, wish: PacketWish, made: PacketMade, to: Path, data: bytes) -> Outcome:
    """Writes a packet and, where it is for somebody, records that. Raises Refusal; then neither is done."""
    if wish.reader and (path := _in_the_book(here, to)):
        return _recorded(here, wish, made, {path: data})
    there = to.read_bytes() if wish.reader and to.is_file() else None
    put_whole(to, data)
    if not wish.reader:
        return Outcome(True, findings=made.findings)
    try:
        return _recorded(here, wish, made, {})
    except BaseException:
        if there is None:
            to.unlink(missing_ok=True)
        else:
            put_whole(to, there)
        raise


def _in_the_book(here: Path, to: Path) -> str:
    """The path of a plain file of the book, there or to be made in a folder that is there; "" for any other."""
    top, folder = Path(open_book(here).repo.top).resolve(), to.parent.resolve()
    if to.is_symlink() or not folder.is_dir() or not folder.is_relative_to(top):
        return ""
    path = (folder / to.name).relative_to(top)
    return "" if ".git" in [part.lower() for part in path.parts] else path.as_posix()


def refuse_unsendable(here: Path, wish: PacketWish) -> None:
    """Raises Refusal where nothing can be recorded now, or the reader has no name; asked before any picture is made."""
    if not wish.reader:
        return
    if not wish.reader.strip():
        raise Refusal("--for is empty", remedy="name the reader: --for Marsh, or leave it out")
    book = open_book(here)
    refuse_unready(book.repo)
    signer(book.repo)


def _recorded(here: Path, wish: PacketWish, made: PacketMade, beside: Mapping[str, bytes]) -> Outcome:
    book = open_book(here)
    refuse_unready(book.repo)
    sign = signer(book.repo)
    number = next_number([book.head, book.working], "handoff")
    pages, reader = pages_of(wish.pages), " ".join(wish.reader.split())
    entry = Handoff(
        path=f"ledger/handoff-{number}.toml", number=number, date=sign.when, by=sign.by, pages=pages.text(),
        pass_name=made.entry.pass_name, to=reader, round=made.entry.number, packet=True, files=made.given,
    )  # fmt: skip
    told = f"{entry.name}: a packet of {made.entry.name} for {reader} is recorded; status tells of it until notes come."
    done = record_entry(book, entry, tag=None, beside=beside, said=(told,))
    return Outcome(True, done.said, done.entry, done.commit, done.tag, done.paths, made.findings)
