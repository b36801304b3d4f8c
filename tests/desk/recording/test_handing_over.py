"""What is judged is what is recorded."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from ledger.desk.opening import open_book
from ledger.desk.recording.handing_over import record_entry
from ledger.model.entry import Reopen
from ledger.model.errors import Refusal
from tests.books import Book

BOOK = '[book]\ntitle = "Nets"\npages = 4\n'


def test_a_commit_made_after_the_judgement_stops_the_recording(tmp_path: Path) -> None:
    kept = Book.new(tmp_path / "book", {"book.toml": BOOK})
    book = open_book(kept.top)
    assert book.head is not None
    kept.write({"designs/nell.md": "scar left\n"})
    newer = kept.commit("by another hand")
    entry = Reopen(path="ledger/reopen-1.toml", number=1, date=date(2026, 3, 2),
                   by="Ada <a@example.org>", reason="why", passes=("inks",))  # fmt: skip
    with pytest.raises(Refusal, match="meanwhile"):
        record_entry(book, entry, tag=None)
    assert kept.git("rev-parse", "HEAD") == newer
    assert kept.git("status", "--porcelain") == ""
