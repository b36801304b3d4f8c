"""Once past all hooks: what the commit before took out or weakened, the next one is still held to."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.read.entries import write_entry
from tests.books import Book
from tests.desk.signed_book import slip
from tests.probes import edits
from tests.probes.acts import COMMIT
from tests.probes.ground import Ground
from tests.probes.pushes import refused_after_commit, stopped

CUT = edits.STRUCTURE["a line cut"].make


def widened(book: Book) -> None:
    """A slip that admitted another line is made to admit the cut as well."""
    path = "ledger/alteration-1.toml"
    text = book.read(path)
    book.git("stash", "-q")
    CUT(book)
    book.git("add", "-A")
    late = book.git("rev-parse", ":script/01.md")
    book.git("reset", "-q", "--hard")
    book.git("stash", "drop", "-q", check=False)
    old = text.split(b'"script/01.md" = "')[1][:40]
    book.write({path: text.replace(old, late.encode())})


def with_a_slip(book: Book) -> None:
    """A slip for a line more on page 2, recorded and tagged as the next command tags it."""
    edits.typed(("M: Three hours to high water.\n", "M: Three hours to high water.\nM: Less, now.\n"))(book)
    book.git("add", "-A")
    said = slip(book, "2")
    book.write({said.path: write_entry(said)})
    book.git("add", "-A")
    book.git("commit", "-q", "-m", "with its slip")
    book.git("tag", "-a", "-m", said.name, "alteration/1")
    book.git("push", "-q", "--no-verify", "open", "main")
    book.git("push", "-q", "guarded", "main")


def nothing(book: Book) -> None:
    return


#: What was done past the hooks: how the ground is laid, what is done, and the change that follows.
BEFORE: dict[str, tuple[Callable[[Book], None], Callable[[Book], object], Callable[[Book], None]]] = {
    "the lock taken out": (nothing, edits.TAMPERING["an entry gone"].make, CUT),
    "the lock renamed": (nothing, edits.TAMPERING["an entry renamed"].make, CUT),
    "the lock narrowed": (nothing, edits.lock_entry(pages="2"), CUT),
    "its scopes taken away": (nothing, edits.lock_entry(scopes=("drawing",)), CUT),
    "the lock made unreadable": (nothing, lambda book: book.write({edits.LOCK: "entry = lock\n"}), CUT),
    "book.toml taken out": (nothing, edits.TAMPERING["book.toml gone"].make, CUT),
    "book.toml and the lock taken out": (nothing, edits.gone("book.toml", edits.LOCK), CUT),
    "a slip widened": (with_a_slip, widened, lambda book: edits.typed(("T: It was.\n", ""))(book)),
}


@pytest.mark.group("once past the hooks", "refused")
@pytest.mark.parametrize("name", BEFORE)
def test_the_next_commit_is_held_to_it_all_the_same(ground: Ground, tmp_path: Path, name: str) -> None:
    lay, before, late = BEFORE[name]
    book = ground.book
    lay(book)
    before(book)
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "past the hooks")
    book.write({"other.txt": "innocent\n"})
    book.git("add", "-A")
    assert COMMIT(book)[0] == 0, "an innocent commit is stopped"
    late(book)
    book.git("add", "-A")
    control, held = ground.without_hooks(tmp_path / "control"), ground.held()
    stopped(COMMIT(book), "pre-commit", "line-cut")
    assert ground.held() == held
    code, said = COMMIT(control.book)
    assert code == 0, said
    refused_after_commit(control, ("line-cut",), by_git=False)


@pytest.mark.group("once past the hooks", "refused")
@pytest.mark.parametrize("name", ["the lock taken out", "book.toml taken out"])
@pytest.mark.parametrize("words", [("enter", "script", "-m", "late"), ("save", "-m", "late")], ids=["enter", "save"])
def test_our_own_verbs_are_held_to_it_too(ground: Ground, tmp_path: Path, name: str, words: tuple[str, ...]) -> None:
    book = ground.book
    BEFORE[name][1](book)
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "past the hooks")
    if not (book.top / "book.toml").exists():
        book.write({"book.toml": book.git_bytes("show", "HEAD~1:book.toml")})
    CUT(book)
    control, held = ground.without_hooks(tmp_path / "control"), ground.held()
    code, said = ground.ledger(*words)
    assert code == 1 and "line-cut" in said, said
    assert ground.held() == held
    control.book.git("add", "-A")
    assert COMMIT(control.book)[0] == 0


@pytest.mark.group("allowed", "allowed")
def test_a_lock_of_another_branch_holds_nothing_here(ground: Ground) -> None:
    """A tag tells of a sign-off below this commit alone: an older branch is free."""
    book = ground.book
    book.git("switch", "-q", "-c", "older", "HEAD~2")
    CUT(book)
    book.git("add", "-A")
    code, said = COMMIT(book)
    assert code == 0, said


@pytest.mark.group("allowed", "allowed")
def test_a_lock_put_back_is_free(ground: Ground) -> None:
    book = ground.book
    was = book.read(edits.LOCK)
    edits.gone(edits.LOCK)(book)
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "out with it")
    book.write({edits.LOCK: was})
    book.git("add", "-A")
    code, said = COMMIT(book)
    assert code == 0, said
