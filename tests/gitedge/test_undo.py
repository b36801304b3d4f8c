"""Taking back what was recorded last: branch, tag, index and the tool's own files, nothing of the user's."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from ledger.gitedge.intake import kept_as
from ledger.gitedge.record import Recording, record
from ledger.gitedge.repository import Repository
from ledger.gitedge.undo import take_back
from ledger.model.errors import Refusal
from ledger.read.entries import write_entry
from tests.books import Book
from tests.gitedge.entering import enter, slip
from tests.gitedge.test_interruptions import killed_while
from tests.gitedge.test_record import BOOK, everything, sound

Maker = Callable[..., Book]


def without_kept(state: dict[str, object]) -> dict[str, object]:
    """The state of a book, what was taken back and is kept left out."""
    refs = [line for line in str(state["refs"]).split("\n") if not line.startswith("refs/inkledger/")]
    return {**state, "refs": "\n".join(refs), "work": []}


@pytest.mark.parametrize("form", ["sha1", "sha256"])
def test_a_round_taken_back_leaves_the_book_as_it_was(new_repo: Maker, form: str) -> None:
    book = new_repo({**BOOK, "notes/a.md": "one\n"}, form=form)
    repo = Repository.find(book.top)
    enter(repo)
    book.write({"script/01.md": "second\n", "notes/a.md": "half\n"})
    book.git("add", "notes/a.md")
    before = everything(book)
    done = enter(repo, 2)
    tag = book.git("rev-parse", "pass/script/2")
    back = take_back(repo)
    assert without_kept(everything(book)) == without_kept(before)
    assert (back.subject, back.entry, back.tag, back.kept) == ("script-2: first draft", "script-2", "pass/script/2", ())
    assert back.paths == ("ledger/script-2.toml", "memos/script-2.md", "script/01.md")
    kept = book.git("for-each-ref", "--format=%(objectname)", "refs/inkledger").split()
    assert set(kept) == {done.commit, tag}
    book.git("reflog", "expire", "--expire=all", "--all")
    book.git("gc", "-q", "--prune=now")
    assert book.git("cat-file", "-t", done.commit) == "commit"
    assert book.git("cat-file", "-t", tag) == "tag"
    sound(book)
    assert enter(repo, 2).commit == book.git("rev-parse", "HEAD")


def test_the_first_commit_of_all_can_be_taken_back(new_repo: Maker) -> None:
    book = new_repo()
    book.write(BOOK)
    repo = Repository.find(book.top)
    enter(repo, paths=tuple(BOOK))
    take_back(repo)
    assert book.git("rev-parse", "-q", "--verify", "HEAD", check=False) == ""
    assert book.all_files() == {path: text.encode() for path, text in BOOK.items()}
    assert book.staged() == {}
    enter(repo, paths=tuple(BOOK))
    assert book.status() == ""


def test_several_are_taken_back_one_after_the_other_and_then_no_more(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    repo = Repository.find(book.top)
    for number in (1, 2, 3):
        book.write({"script/01.md": f"{number}\n"})
        enter(repo, number)
    assert [take_back(repo).entry for _ in range(3)] == ["script-3", "script-2", "script-1"]
    with pytest.raises(Refusal, match="the newest commit was not recorded by inkledger here"):
        take_back(repo)
    assert book.read("script/01.md") == b"3\n"


def test_files_changed_since_stay_as_they_are(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    repo = Repository.find(book.top)
    enter(repo)
    book.write({"script/01.md": "second\n"})
    enter(repo, 2)
    book.write({"memos/script-2.md": "my own words\n", "script/01.md": "third\n", "notes/a.md": "staged\n"})
    book.git("add", "notes/a.md", "script/01.md")
    back = take_back(repo)
    assert back.kept == ("memos/script-2.md",)
    assert book.read("memos/script-2.md") == b"my own words\n"
    assert book.git("show", ":script/01.md") == "third"
    assert book.status().split("\n") == ["A  notes/a.md", "M  script/01.md", "?? memos/"]


def test_what_was_saved_and_what_was_taken_out_comes_back_to_the_index(new_repo: Maker) -> None:
    book = new_repo({**BOOK, "old.md": "old\n"})
    repo = Repository.find(book.top)
    book.write({"script/01.md": "saved\n"})
    (book.top / "old.md").unlink()
    before = everything(book)
    record(repo, Recording(taken=kept_as(repo, ["script/01.md"]), removed=("old.md",), message="save 2 files"))
    back = take_back(repo)
    assert (back.subject, back.entry, back.tag) == ("save 2 files", None, None)
    assert without_kept(everything(book)) == without_kept(before)


def test_a_file_the_tool_wrote_over_is_written_back(new_repo: Maker) -> None:
    book = new_repo({**BOOK, "memos/a.md": "then\n"})
    repo = Repository.find(book.top)
    record(repo, Recording({"memos/a.md": b"now\n"}, message="memo"))
    assert book.read("memos/a.md") == b"now\n"
    take_back(repo)
    assert book.read("memos/a.md") == b"then\n"
    assert book.status() == ""


def test_the_tag_of_an_older_slip_stays(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    book.write({slip().path: write_entry(slip())})
    book.commit("slip")
    repo = Repository.find(book.top)
    enter(repo)
    take_back(repo)
    assert book.git("tag") == "alteration/1"


REFUSED: list[tuple[str, Callable[[Book, Path], object], str]] = [
    ("committed upon", lambda b, t: (b.write({"x": "x"}), b.commit("x")), "something was committed on top of it"),
    ("a branch", lambda b, t: b.git("branch", "side"), "the branch side stands on it"),
    ("a tag", lambda b, t: b.git("tag", "mine"), "the tag mine stands on it"),
    ("a stash", lambda b, t: (b.write({"book.toml": "[book]\n"}), b.git("stash")), "a stash stands on it"),
    ("pushed", lambda b, t: pushed(b, t, "origin"), "it has left this machine, origin has it"),
    ("pushed far", lambda b, t: pushed(b, t, "far/away"), "it has left this machine, far/away has it"),
    ("merging", lambda b, t: (b.top / ".git/MERGE_HEAD").touch(), "a merge is not finished"),
    ("locked", lambda b, t: (b.top / ".git/index.lock").touch(), "another git is at work"),
]


def pushed(book: Book, folder: Path, name: str) -> None:
    book.git("clone", "-q", "--bare", ".", str(folder / "there.git"))
    book.git("remote", "add", name, str(folder / "there.git"))
    book.git("push", "-q", name, "main")


@pytest.mark.parametrize("form", ["sha1", "sha256"])
@pytest.mark.parametrize(("act", "said"), [case[1:] for case in REFUSED], ids=[case[0] for case in REFUSED])
def test_what_somebody_may_have_built_on_stays(
    new_repo: Maker, tmp_path: Path, act: Callable[[Book, Path], object], said: str, form: str
) -> None:
    book = new_repo(BOOK, form=form)
    repo = Repository.find(book.top)
    enter(repo)
    act(book, tmp_path)
    before = everything(book)
    with pytest.raises(Refusal, match=said) as told:
        take_back(repo)
    assert told.value.remedy
    assert everything(book) == before


def test_a_clone_takes_nothing_back_and_an_empty_book_neither(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    enter(Repository.find(book.top))
    book.git("clone", "-q", ".", str(tmp_path / "clone"))
    with pytest.raises(Refusal, match="was not recorded by inkledger here"):
        take_back(Repository.find(tmp_path / "clone"))
    with pytest.raises(Refusal, match="nothing is recorded yet"):
        take_back(Repository.find(new_repo().top))


def test_after_ninety_days_it_is_let_go(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    repo = Repository.find(book.top)
    for days in (100, 89):
        enter(repo)
        take_back(repo)
        kept = book.git("for-each-ref", "--format=%(refname) %(objectname)", "refs/inkledger/undone").split("\n")
        for name, oid in (line.split(" ") for line in kept):
            moment = name.split("/")[3].split("-")[0]
            if int(moment) < time.time() - 3600:
                continue
            book.git("update-ref", name.replace(moment, str(int(moment) - days * 86400)), oid)
            book.git("update-ref", "-d", name)
    enter(repo)
    take_back(repo)
    names = book.git("for-each-ref", "--format=%(refname)", "refs/inkledger/undone").split("\n")
    ages = {round((time.time() - int(name.split("/")[3].split("-")[0])) / 86400) for name in names}
    assert ages == {89, 0}


def test_killed_at_every_step_it_is_before_or_after(new_repo: Maker) -> None:
    first = new_repo({**BOOK, "notes/a.md": "one\n"})
    enter(Repository.find(first.top))
    first.write({"script/01.md": "second draft\n", "notes/a.md": "half\n"})
    first.git("add", "notes/a.md")
    after = without_kept(everything(first))
    enter(Repository.find(first.top), 2)
    before = without_kept(everything(first))
    seen = {os.fspath(book.top): without_kept(everything(book)) for book in killed_while(first, take_back, every=2)}
    assert len(seen) > 5
    assert all(state in (before, after) for state in seen.values())
    assert before in seen.values()
    assert after in seen.values()
