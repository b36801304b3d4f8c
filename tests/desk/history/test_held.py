"""What is carried along a history is what would be read of each commit by itself."""

from __future__ import annotations

import random

from ledger.desk.history.held import Guard
from ledger.judge.agreed.ledger_rules import entries_stand
from ledger.model.entry import Entry, Lock
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.entries import write_entry
from ledger.read.state import BookState, followed, read_state
from tests.judge.shelf import Shelf, lock, slip

SIGNED: dict[str, str | bytes] = {"script/01.md": "[page 1]\nW: You said the map was here.\n"}


def test_a_ledger_followed_through_changes_is_the_ledger_read_anew() -> None:
    """Entries come, go, break and are mended, in any order; some names sort apart as bytes and as numbers."""
    shelf, dice = Shelf(), random.Random(7)
    whole = [
        *(lock(shelf, name, ["structure"], SIGNED) for name in ("pencils", "inks")),
        *(slip(shelf, SIGNED, pages="1", number=number) for number in (1, 2, 9, 10, 11)),
    ]
    state = shelf.state(SIGNED)
    known: dict[FileAt, Entry | Refusal] = {}
    for _ in range(200):
        files = dict(state.snapshot.files)
        changes: dict[str, FileAt | None] = {}
        for entry in dice.sample(whole, dice.randrange(1, 4)):
            data = dice.choice([write_entry(entry), write_entry(entry), b"entry = ", None])
            changes[entry.path] = FileAt(entry.path, shelf.put(data)) if data is not None else None
        for path, file in changes.items():
            if file is None:
                files.pop(path, None)
            else:
                files[path] = file
        snapshot = Snapshot("now", files, shelf)
        state, anew = followed(state, snapshot, changes.items(), known), read_state(snapshot)
        assert (state.entries, state.findings) == (anew.entries, anew.findings)
        assert state.entry_paths() == anew.entry_paths()


def test_a_guard_that_goes_on_from_another_asks_what_one_made_anew_asks() -> None:
    shelf = Shelf()
    closed = lock(shelf, "inks", ["structure", "drawing"], {**SIGNED, "art/inks/p001.png": b"one"})
    late = slip(shelf, {**SIGNED, "letters/p002.txt": "words"}, pages="2")
    paths = ["script/01.md", "art/inks/p001.png", "art/inks/p009.png", "letters/p002.txt", "letter.txt", "book.toml",
             "ledger/inks-1.toml", "ledger/README.md"]  # fmt: skip
    steps: list[list[Entry]] = [[], [closed], [closed, late], [late], [closed], []]
    before: Guard | None = None
    for entries in steps:
        state = shelf.state(SIGNED, entries)
        going_on, anew = Guard(state, before), Guard(state)
        assert [going_on.touched[path] for path in paths] == [anew.touched[path] for path in paths]
        assert anew.touched["letters/p002.txt"] == (late in entries and closed in entries)
        before = going_on


def test_entries_stand_where_ids_show_it_and_not_where_bytes_have_to() -> None:
    shelf = Shelf()
    closed: Lock = lock(shelf, "pencils", ["structure"], SIGNED)
    base = shelf.state(SIGNED, [closed])

    def other(file: FileAt | None) -> BookState:
        files = {**base.snapshot.files, closed.path: file}
        kept = {path: each for path, each in files.items() if each is not None}
        return BookState(Snapshot("now", kept, shelf), base.book)

    there = base.snapshot.files[closed.path]
    assert entries_stand(base, other(FileAt(*there)))
    assert not entries_stand(base, other(None))
    assert not entries_stand(base, other(there._replace(oid="0" * 40)))
    assert not entries_stand(base, other(there._replace(mode="120000")))
    unknown = other(there._replace(oid=None))
    assert not entries_stand(unknown, unknown)
