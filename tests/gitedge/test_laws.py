"""Laws of a recording, over whatever stands half-staged, staged, changed, new or gone in the book."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.gitedge.intake import kept_as
from ledger.gitedge.record import Recording, record
from ledger.gitedge.repository import Repository
from ledger.gitedge.snapshots import at_commit, of_index, of_worktree
from ledger.gitedge.undo import take_back
from ledger.read.entries import write_entry
from tests.books import Book
from tests.gitedge.entering import script_round
from tests.gitedge.test_record import tree

PATHS = ("a.md", "script/01.md", "script/two\nlines.md", "art/p001.png", "-x")
#: What stands in the newest commit, in the index and on disk; None for nothing.
CONTENT = st.sampled_from([None, b"", b"one\n", b"two\n"])
STATES = st.fixed_dictionaries({path: st.tuples(CONTENT, CONTENT, CONTENT) for path in PATHS})


def laid_out(folder: str, states: dict[str, tuple[bytes | None, bytes | None, bytes | None]]) -> Book:
    """A book in which every path has one content in the newest commit, one staged, one on disk."""
    book = Book.new(Path(folder) / "book", {"book.toml": "[book]\n"})
    for which in range(3):
        for path, contents in states.items():
            content = contents[which]
            if content is not None:
                book.write({path: content})
            elif (book.top / path).exists():
                (book.top / path).unlink()
        if which < 2:
            book.git("add", "-A")
        if which == 0:
            book.git("commit", "-q", "--allow-empty", "-m", "before")
    return book


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(states=STATES, chosen=st.sets(st.sampled_from(PATHS)))
def test_a_recording_changes_what_it_names_and_undo_puts_it_back(
    states: dict[str, tuple[bytes | None, bytes | None, bytes | None]], chosen: set[str]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        book = laid_out(folder, states)
        repo = Repository.find(book.top)
        head, index, files = tree(book), book.staged(), book.all_files()
        taken = kept_as(repo, [path for path in sorted(chosen) if states[path][2] is not None])
        gone = tuple(path for path in sorted(chosen) if states[path][2] is None)
        entry = script_round()
        data = write_entry(entry)
        record(repo, Recording({entry.path: data}, taken, gone, message="script-1", tag=entry.tag))

        named = {path: file.oid for path, file in taken.items()}
        named[entry.path] = book.git("hash-object", "--stdin", input=data)
        assert tree(book) == {p: o for p, o in head.items() if p not in gone} | named
        assert book.staged() == {p: o for p, o in index.items() if p not in gone} | named
        assert book.all_files() == files | {entry.path: data}
        assert {p: f.oid for p, f in at_commit(repo, "HEAD").files.items()} == tree(book)
        assert {p: f.oid for p, f in of_index(repo).files.items()} == book.staged()
        now = of_worktree(repo)
        assert {path: now.read(path) for path in now.files} == book.all_files()
        assert book.git("fsck", "--strict", "--no-dangling") == ""

        take_back(repo)
        assert tree(book) == head
        assert book.all_files() == files
        untouched = {path: oid for path, oid in index.items() if path not in chosen}
        assert {path: oid for path, oid in book.staged().items() if path not in chosen} == untouched
