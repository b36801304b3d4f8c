"""What agreements do at every door: slips, late slips, reopenings, numbers that both sides of a merge took."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.books import Book
from tests.desk.signed_book import page
from tests.probes import edits
from tests.probes.acts import COMMIT
from tests.probes.ground import Ground, act
from tests.probes.pushes import free_after_commit, refused_after_commit, stopped, told

CUT = edits.STRUCTURE["a line cut"].make
REDRAWN = edits.DRAWING["a page redrawn"].make
Step = Callable[[Ground], None]


def made(change: edits.Change) -> Step:
    def step(ground: Ground) -> None:
        change(ground.book)
        ground.book.git("add", "-A")

    return step


def ours(*words: str) -> Step:
    def step(ground: Ground) -> None:
        code, said = ground.ledger(*words)
        assert code == 0, said

    return step


def committed(ground: Ground) -> None:
    code, said = COMMIT(ground.book)
    assert code == 0, said


def past_the_hooks(ground: Ground) -> None:
    ground.book.git("commit", "-q", "--no-verify", "-m", "past the hooks")


def as_signed(book: Book) -> None:
    """The script as it was signed off."""
    edits.typed()(book)


SLIP = ours("alter", "--reason", "he says nothing")
REOPENED = ours("reopen", "inks", "--pages", "1", "--reason", "the flood")
#: Steps that go through, then the change that is late all the same, with its rule.
REFUSED: dict[str, tuple[tuple[Step, ...], edits.Change, str]] = {
    "back to what was signed off, without a slip": (
        (made(CUT), SLIP, committed), as_signed, "line-added"),
    "another change than the slip's": (
        (made(CUT), SLIP, committed), edits.typed(("W: You said the map was here.\nT: It was.\n", "")), "line-cut"),
    "a slip without its change": ((made(CUT), SLIP), as_signed, "line-added"),
    "after a reopening that a sign-off closed": (
        (REOPENED, made(CUT), committed, ours("lock", "inks", "--pages", "1-2")), as_signed, "line-added"),
    "on a page that was not reopened": (
        (REOPENED,), edits.typed(("M: Three hours to high water.\n", "")), "line-cut"),
    "a picture on a page that was not reopened": (
        (REOPENED,), edits.drawn("art/inks/p002.png", page(2)), "panel-redrawn"),
    "a slip taken out again": (
        (made(CUT), SLIP, committed), edits.gone("ledger/alteration-1.toml"), "entry-removed"),
    "a reopening taken out again": ((REOPENED,), edits.gone("ledger/reopen-1.toml"), "entry-removed"),
    "a reopening widened": ((REOPENED,), lambda book: book.write({"ledger/reopen-1.toml":
        book.read("ledger/reopen-1.toml").replace(b'"1"', b'"1-2"')}), "entry-changed"),
    "a round's entry edited": (
        (made(edits.drawn("art/pencils/p001.png", page(9))), ours("enter", "pencils", "-m", "first")),
        lambda book: book.write({"ledger/pencils-1.toml": book.read("ledger/pencils-1.toml") + b"\n"}),
        "entry-changed"),
    "small changes that add up": (
        (made(edits.typed(("T: It was.", "T: It was!"))), committed, made(edits.typed(("T: It was.", "T: It was..."))),
         committed), CUT, "line-cut"),
}  # fmt: skip
#: What the other copy says of it, where what a slip names was never pushed.
THERE = {"a slip without its change": "export-unreadable"}


@pytest.mark.group("agreements", "refused")
@pytest.mark.parametrize("name", REFUSED)
def test_what_is_not_agreed_is_stopped(ground: Ground, tmp_path: Path, name: str) -> None:
    steps, late, rule = REFUSED[name]
    for step in steps:
        step(ground)
    code, said = act(ground.book, "push", "-q", "guarded", "HEAD:main", "--tags")
    assert code == 0, said
    ground.book.git("push", "-q", "--no-verify", "open", "HEAD:main", "--tags")
    made(late)(ground)
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(COMMIT(ground.book), "pre-commit", rule)
    assert ground.held() == before
    code, said = COMMIT(control.book)
    assert code == 0, said
    refused_after_commit(control, (rule,), there=THERE.get(name, ""), by_git=False)


#: Steps that all go through, at the commit and at every door after it.
FREE: dict[str, tuple[Step, ...]] = {
    "a change with its slip": (made(CUT), SLIP, committed),
    "a picture with its slip": (made(REDRAWN), SLIP, committed),
    "back again with a slip": (made(CUT), SLIP, committed, made(as_signed), SLIP, committed),
    "a slip's change in two steps": (made(CUT), SLIP, committed, made(edits.typed(("T: It was.\n", ""), (
        "M: Three", "M:  Three"))), committed),
    "a reopened page": (REOPENED, made(edits.both(CUT, REDRAWN)), committed),
    "a reopened page, signed off again": (REOPENED, made(CUT), committed, ours("lock", "inks", "--pages", "1-2")),
    "a round with its slip": (made(CUT), ours("enter", "script", "--reason", "he says nothing")),
    "pages of a round with their slip": (made(REDRAWN), ours("enter", "inks", "--pages", "1", "--class", "EA",
                                                             "--reason", "redrawn")),
    "saved with its slip": (made(CUT), SLIP, ours("save", "-m", "with its slip")),
    "a change taken back before it was pushed": (made(edits.both(CUT)), past_the_hooks,
                                                 lambda ground: ground.book.git("reset", "-q", "--hard", "HEAD~1")),
    "a round taken back": (made(edits.drawn("art/pencils/p001.png", page(9))), ours("enter", "pencils", "-m", "x"),
                           ours("undo"), ours("save", "-m", "x")),
}  # fmt: skip


@pytest.mark.group("agreements", "allowed")
@pytest.mark.parametrize("name", FREE)
def test_what_is_agreed_goes_through(ground: Ground, name: str) -> None:
    for step in FREE[name]:
        step(ground)
    free_after_commit(ground)


@pytest.mark.group("agreements", "refused")
def test_a_late_slip_settles_for_the_audit_and_not_for_the_push(ground: Ground) -> None:
    made(CUT)(ground)
    past_the_hooks(ground)
    assert told(ground)["line-cut"] == "block"
    ours("alter", "--late", "--reason", "he says nothing")(ground)
    committed(ground)
    refused_after_commit(ground, ("line-cut",), settled=True)


def two_slips(ground: Ground) -> None:
    book = ground.book
    for branch, change in (("side", REDRAWN), ("main", edits.drawn("art/inks/p002.png", page(2)))):
        book.git("switch", "-q", *(("-c",) if branch == "side" else ()), branch)
        made(change)(ground)
        ours("alter", "--reason", f"on {branch}")(ground)
        committed(ground)
    book.git("merge", "-q", "--no-edit", "side", check=False)


@pytest.mark.group("agreements", "allowed")
def test_a_number_that_both_sides_took_gets_the_next_one(ground: Ground) -> None:
    two_slips(ground)
    ours("doctor", "--renumber")(ground)
    committed(ground)
    assert {"ledger/alteration-1.toml", "ledger/alteration-2.toml"} <= set(ground.book.staged())
    free_after_commit(ground)


@pytest.mark.group("agreements", "refused")
@pytest.mark.parametrize("how", ["ours kept", "theirs kept", "renumbered and edited"])
def test_a_merge_that_keeps_one_of_two_is_stopped(ground: Ground, tmp_path: Path, how: str) -> None:
    two_slips(ground)
    book = ground.book
    if how == "renumbered and edited":
        ours("doctor", "--renumber")(ground)
        text = book.read("ledger/alteration-2.toml")
        book.write({"ledger/alteration-2.toml": text.replace(b"on side", b"on the other side")})
    else:
        book.git("checkout", f"--{how.split()[0]}", "--", "ledger")
    book.git("add", "-A")
    control, before = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(COMMIT(book), "pre-commit", "number-taken")
    assert ground.held() == before
    code, said = COMMIT(control.book)
    assert code == 0, said
    refused_after_commit(control, ("number-taken",))
