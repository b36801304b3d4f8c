"""A book at one moment: drafts, exports and entries of plain values, whatever holds the bytes."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from ledger.model.book import Pass
from ledger.model.errors import Refusal
from ledger.model.snapshot import FileAt, Snapshot
from ledger.read.config import default_book_toml
from ledger.read.state import read_state

ENTRY = b'entry = "reopen"\nnumber = 1\ndate = 2026-03-02\nby = "Ines"\n'


class Drawer:
    """Bytes by path."""

    def __init__(self, contents: Mapping[str, bytes]) -> None:
        self.contents = contents

    def read(self, file: FileAt) -> bytes:
        return self.contents[file.path]

    def blob(self, oid: str) -> bytes:
        raise AssertionError("nothing here is asked for by its id")

    def warm(self, files: list[FileAt]) -> None:
        assert all(file.path in self.contents for file in files)


def snapshot(contents: Mapping[str, bytes], modes: Mapping[str, str] | None = None) -> Snapshot:
    whole = {"book.toml": default_book_toml("Harbour").encode(), **contents}
    files = {path: FileAt(path, None, (modes or {}).get(path, "100644")) for path in whole}
    return Snapshot("now", files, Drawer(whole))


def the_pass(name: str, contents: Mapping[str, bytes]) -> Pass:
    found = read_state(snapshot(contents)).book.pass_named(name)
    assert found is not None
    return found


def test_a_book_without_book_toml() -> None:
    with pytest.raises(Refusal, match=r"no book\.toml") as refused:
        read_state(Snapshot("now", {}, Drawer({})))
    assert "inkledger init" in (refused.value.remedy or "")


def test_exports_stand_under_their_page() -> None:
    contents = dict.fromkeys(("art/inks/p1.png", "art/inks/p001.png", "art/inks/p002-003.png", "art/inks/a.txt"), b"")
    state = read_state(snapshot(contents))
    exports = state.exports(the_pass("inks", contents))
    assert {label: [file.path for file in files] for label, files in exports.items()} == {
        "1": ["art/inks/p001.png", "art/inks/p1.png"],
        "2-3": ["art/inks/p002-003.png"],
    }


def test_entries_that_cannot_be_read_become_findings() -> None:
    contents = {f"ledger/reopen-{n}.toml": ENTRY.replace(b"number = 1", b"number = %d" % n) for n in (1, 2, 10)}
    broken = {"ledger/reopen-3.toml": ENTRY, "ledger/README.md": b"free"}
    state = read_state(snapshot({**contents, **broken}))
    assert [entry.name for entry in state.entries] == ["reopen-1", "reopen-2", "reopen-10"]
    (finding,) = state.findings
    assert (finding.rule, finding.level, finding.path) == ("entry-changed", "block", "ledger/reopen-3.toml")
    assert "can't be read" in finding.message


def test_a_link_is_no_entry() -> None:
    state = read_state(snapshot({"ledger/reopen-1.toml": b"elsewhere"}, {"ledger/reopen-1.toml": "120000"}))
    assert state.entries == ()
    assert [finding.path for finding in state.findings] == ["ledger/reopen-1.toml"]


def test_a_link_in_place_of_a_draft_is_named() -> None:
    state = read_state(snapshot({"script/01.md": b"K: Row.\n", "script/02.md": b"x"}, {"script/02.md": "120000"}))
    draft = state.draft("script")
    assert draft.paths == ("script/01.md",)
    assert [(finding.rule, finding.path) for finding in draft.findings] == [("text-dropped", "script/02.md")]


def test_a_drawn_pass_has_no_draft() -> None:
    state = read_state(snapshot({"art/inks/p001.png": b""}))
    assert state.draft("inks").lines == ()
    assert state.draft("nothing").lines == ()
