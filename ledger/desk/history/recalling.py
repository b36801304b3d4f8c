"""`recall`: copies of what a round, a sign-off or a revision held, beside the book or where a file is missing."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

from ledger.desk.opening import OpenBook, open_book
from ledger.desk.reference import INDEX, WORKING, Desk, Reading, entry_contents, the_reading
from ledger.desk.wishes import pages_of
from ledger.gitedge import snapshots
from ledger.gitedge.objects import blobs_among, missing_objects
from ledger.gitedge.placing import put_files
from ledger.gitedge.set_down import refuse_inside, refuse_unfit_names, set_down
from ledger.model.book import Pass
from ledger.model.entry import Reopen
from ledger.model.errors import ContentMissing, Refusal
from ledger.model.finding import Finding
from ledger.model.outcome import Outcome
from ledger.model.pages import PageSet, page_numbers, pages_text, pages_words
from ledger.model.snapshot import byte_order
from ledger.read.patterns import label_of, matches
from ledger.read.state import BookState, read_state
from ledger.render.plain import plural


class Held(NamedTuple):
    """What a reference held: its name, the entry's if it is one, path -> object id, the book it is read by."""

    name: str
    entry: str | None
    files: Mapping[str, str]
    state: BookState


def recall(here: Path, ref: str, pages: str | None, to: Path) -> Outcome:
    """Copies into the folder `to`, which is there whole or not at all. Raises Refusal.

    Content that is not on this machine is named in findings that block, and nothing is written.
    """
    wanted = pages_of(pages)
    book = open_book(here)
    place = here / to
    refuse_inside(book.repo, str(place))
    held = _asked_for(book, ref, wanted)
    if gone := _not_here(book, held.files):
        return _nothing_written(gone)
    set_down(str(place), _contents(book, held.files))
    said = f"{plural(len(held.files), 'file')} of {held.name} {_stand(len(held.files))} in {to}."
    return Outcome(
        True, (said, *_lacking(held, wanted)), held.entry, paths=tuple(f"{to}/{path}" for path in held.files)
    )


def put_back(here: Path, ref: str, pages: str | None) -> Outcome:
    """Files of the round put where one is missing in the book, all or none; what is there stays. Raises Refusal."""
    wanted = pages_of(pages)
    book = open_book(here)
    held = _asked_for(book, ref, wanted)
    refuse_unfit_names(held.files)
    free = {path: oid for path, oid in held.files.items() if not os.path.lexists(book.repo.in_top(path))}
    twins = _pages_there(book, held, free)
    wanting = {path: oid for path, oid in free.items() if path not in twins}
    told = tuple(f"{path} is left out: the page is there as {twin}." for path, twin in twins.items())
    if not wanting:
        return Outcome(False, (f"Nothing of {held.name} is missing here.", *told), held.entry)
    if gone := _not_here(book, wanting):
        return _nothing_written(gone)
    put_files(book.repo, _contents(book, wanting), {})
    said = f"{plural(len(wanting), 'file')} of {held.name} put back: {', '.join(wanting)}."
    return Outcome(True, (said, *told), held.entry, paths=tuple(wanting))


def _stand(count: int) -> str:
    return "is" if count == 1 else "are"


# -- what is asked for


def _asked_for(book: OpenBook, ref: str, pages: PageSet) -> Held:
    if ref in (WORKING, INDEX, ""):
        raise Refusal(
            f"{ref!r} is your own files as they are now, not a round", remedy="name a round, such as script-2"
        )
    reading = the_reading(Desk(Path(book.repo.top), book), ref)
    held = _of_commit(book, ref, reading.commit) if reading.commit else _of_entry(book, ref, reading)
    kept = {path: held.files[path] for path in sorted(_on(held, pages), key=byte_order)}
    if not kept:
        raise Refusal(f"{held.name} holds no file of {pages_words(pages.text())}",
                      remedy="see what it covers: inkledger rounds")  # fmt: skip
    held = held._replace(files=kept)
    _refuse_strange(held)
    return held


def _of_entry(book: OpenBook, ref: str, reading: Reading) -> Held:
    entry = reading.entry
    if entry is None:
        raise Refusal("this is a file or folder, not a round", path=ref, remedy="name a round, such as script-2")
    if isinstance(entry, Reopen) or not any(entry.files.values()):
        raise Refusal(f"{entry.name} holds no files", path=entry.path, remedy="name a round, such as script-2")
    state = entry_contents(book, entry, ref).state
    assert state is not None
    return Held(entry.name, entry.name, {path: oid for path, oid in entry.files.items() if oid}, state)


def _of_commit(book: OpenBook, ref: str, commit: str) -> Held:
    """The files of every pass at a revision."""
    state = read_state(snapshots.of_commit(book.repo, commit, ref))
    passes = state.book.passes
    files = {path: file.oid or "" for path, file in state.snapshot.files.items() if _of_a_pass(path, passes)}
    return Held(ref, None, files, state)


def _of_a_pass(path: str, passes: Sequence[Pass]) -> bool:
    return any(matches(path, each) for each in passes)


def _refuse_strange(held: Held) -> None:
    """Raises Refusal for a link or another repository in the place of a file."""
    for path in held.files:
        file = held.state.snapshot.files.get(path)
        if file is not None and not file.regular:
            what = "a link" if file.mode == "120000" else "another repository"
            raise Refusal(f"this is {what}, not a file", path=path, remedy="leave it out with --pages")


def _on(held: Held, pages: PageSet) -> list[str]:
    """The paths asked for: exports of these pages, and the files of a draft in which any of them stands."""
    if pages.everything:
        return list(held.files)
    passes = held.state.book.passes
    found = [path for path in held.files if any(label_of(path, each) in pages for each in passes)]
    for each in passes:
        if each.kind == "text" and any(matches(path, each) for path in held.files):
            draft = held.state.draft(each.name)
            on = {page.path for page in draft.pages if page.label in pages}
            on |= {line.path for line in draft.lines if line.page is not None and line.page in pages}
            found += [path for path in held.files if path in on]
    return found


def _lacking(held: Held, pages: PageSet) -> Iterator[str]:
    """Says which of the pages asked for are on none of the files held."""
    there: set[str] = set()
    for each in held.state.book.passes:
        if each.kind == "text" and any(matches(path, each) for path in held.files):
            there.update(page.label for page in held.state.draft(each.name).pages)
        there.update(label for path in held.files if (label := label_of(path, each)))
    there.update(str(number) for label in list(there) for number in page_numbers(label))
    if gone := [label for label in pages.labels if label not in there]:
        yield f"{held.name} holds nothing of {pages_words(pages_text(gone))}."


# -- content


def _contents(book: OpenBook, files: Mapping[str, str]) -> dict[str, Callable[[], bytes]]:
    """How to read each file: the bytes git has; of a large file its own, from the store on this disk."""
    return {path: partial(_content, book, path, oid) for path, oid in files.items()}


def _content(book: OpenBook, path: str, oid: str) -> bytes:
    try:
        return book.repo.reader.content(oid)
    except ContentMissing as fault:
        raise ContentMissing(path, fault.why) from None


def _not_here(book: OpenBook, files: Mapping[str, str]) -> tuple[Finding, ...]:
    """A finding for every file whose content is not on this machine."""
    gone = missing_objects(book.repo, files.values())
    files_of_git = blobs_among(book.repo, set(files.values()) - gone)
    whys = {oid: "this is no file's content" for oid in files.values() if oid not in files_of_git}
    whys |= dict.fromkeys(gone, "its content is not on this machine")
    return tuple(
        Finding("export-unreadable", "block", whys[oid], path,
                remedy="fetch it (git lfs fetch --all), or leave it out with --pages")
        for path, oid in files.items() if oid in whys
    )  # fmt: skip


def _nothing_written(gone: tuple[Finding, ...]) -> Outcome:
    return Outcome(False, (f"Nothing was written: {plural(len(gone), 'file')} can't be read.",), findings=gone)


def _pages_there(book: OpenBook, held: Held, free: Mapping[str, str]) -> dict[str, str]:
    """Path that is missing -> the other name under which its page is there: put back, the page would stand twice."""
    found = {}
    for each in book.working.book.passes if free else ():
        labels = book.working.exports(each) if each.kind == "art" else {}
        there = {label: files[0].path for label, files in labels.items()}
        for path in sorted(free, key=byte_order):
            label = label_of(path, each)
            if label in there and label is not None and there[label] != path:
                found[path] = there[label]
    return found
