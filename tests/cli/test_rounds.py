"""`inkledger rounds` and `inkledger completion`."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from ledger.model.entry import Alteration, Delivery, Handoff, Lock, Reopen
from tests.books import Book
from tests.cli.conftest import Tell
from tests.desk.salt_lantern import WHEN, recorded
from tests.schema_check import checked

BY = {"date": WHEN, "by": "Ada Quill <ada@quill.example>"}


@pytest.fixture
def full(lantern: Book) -> Book:
    """Every kind of entry, one after the other."""
    ids = lantern.staged()
    art = {path: oid for path, oid in ids.items() if path.startswith("art/")}
    slip = {"reason": "the lamp must be lit", "asked_by": "E. Marsh", "scopes": ("drawing",), "passes": ("inks",)}
    lock = {"scopes": ("structure", "drawing"), "round": 1, "approved_by": "E. Marsh", "how": "mail of 3 March"}
    hand = {"pass_name": "inks", "pages": "1-2", "to": "Ines", "files": art}
    for entry in (
        Lock(path="ledger/lock-inks-1.toml", pass_name="inks", number=1, pages="1-2", files=art, **lock, **BY),
        Alteration(
            path="ledger/alteration-1.toml", number=1, alteration_class="EA", pages="2", files=art, **slip, **BY
        ),
        Reopen(path="ledger/reopen-1.toml", number=1, pages="1", **slip, **BY),
        Handoff(path="ledger/handoff-1.toml", number=1, **hand, **BY),
        Handoff(path="ledger/handoff-2.toml", number=2, returns=1, **hand, **BY),
        Delivery(path="ledger/delivery-1.toml", number=1, passes=("inks",), pages="1-3", files=art, **BY),
    ):
        recorded(lantern, entry)
    return lantern


def told(text: str) -> list[str]:
    """The sentences with their dates, unwrapped."""
    return [
        " ".join(part.split()) for part in text.replace("\n 2 Mar 2026", "\n\n 2 Mar 2026").split("\n\n")[1:] if part
    ]


def test_every_entry_in_order_in_words(tell: Tell, full: Book) -> None:
    assert told(tell(full.top, "rounds").out) == [
        "2 Mar 2026 script-1 was entered by Ada Quill: first draft.",
        "2 Mar 2026 inks-1, pages 1-3, was entered by Ada Quill: all inked. Made from script-1.",
        "2 Mar 2026 script-2 was entered by Ada Quill: the boat comes in.",
        "2 Mar 2026 lock-inks-1 signed inks off, by Ada Quill: structure and drawing of pages 1-2 closed. "
        "Approved by E. Marsh (mail of 3 March).",
        "2 Mar 2026 alteration-1 admitted a late change on page 2, drawing, EA (editor's): the lamp must be lit. "
        "Asked for by E. Marsh.",
        "2 Mar 2026 reopen-1 opened page 1 of inks again, AA (author's): the lamp must be lit. Asked for by E. Marsh.",
        "2 Mar 2026 handoff-1: pages 1-2 of inks went to Ines.",
        "2 Mar 2026 handoff-2: pages 1-2 of inks came back from Ines (handoff-1).",
        "2 Mar 2026 delivery-1 delivered inks, pages 1-3, by Ada Quill.",
    ]


def names(tell: Tell, book: Book, *words: str) -> list[str]:
    return [entry["name"] for entry in checked(tell(book.top, "rounds", *words, "--json").out)["entries"]]


def test_of_one_pass_and_of_one_page(tell: Tell, full: Book) -> None:
    assert names(tell, full, "script") == ["script-1", "script-2"]
    assert names(tell, full, "inks", "--page", "3") == ["inks-1", "delivery-1"]
    assert names(tell, full, "--page", "2-3")[:3] == ["script-1", "inks-1", "script-2"]
    assert tell(full.top, "rounds", "inks", "--page", "3").out.startswith("The Salt Lantern: inks, page 3\n")


def test_nothing_entered_yet_and_wrong_names(tell: Tell, lantern: Book) -> None:
    assert "Nothing has been entered for this yet." in tell(lantern.top, "rounds", "outline").out
    assert "did you mean inks?" in tell(lantern.top, "rounds", "ink", code=2).err
    assert "is no page" in tell(lantern.top, "rounds", "--page", "twelve", code=2).err


def test_an_entry_that_cannot_be_read_is_named(tell: Tell, lantern: Book) -> None:
    """Left out in silence it would be missed by nobody."""
    lantern.write({"ledger/inks-2.toml": 'entry = "pass"\npass = "inks"\nround = 2\ndate = 2026-03-02\nby = 5\n'})
    found = checked(tell(lantern.top, "rounds", "--json", code=1).out)
    assert [entry["name"] for entry in found["entries"]] == ["script-1", "inks-1", "script-2"]
    assert [(f["rule"], f["path"], f["line"]) for f in found["findings"]] == [
        ("entry-changed", "ledger/inks-2.toml", 5)
    ]
    said = tell(lantern.top, "rounds", code=1).out
    assert "script-2 was entered" in said and "block: entry-changed ledger/inks-2.toml:5" in said


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_is_told_how_to_complete(tell: Tell, lantern: Book, shell: str) -> None:
    text = tell(lantern.top, "completion", shell).out
    assert "_INKLEDGER_COMPLETE" in text
    assert checked(tell(lantern.top, "completion", shell, "--json").out)["text"].strip() == text.strip()
    if shutil.which(shell):
        subprocess.run([shell, "-n"], input=text.encode(), check=True)
