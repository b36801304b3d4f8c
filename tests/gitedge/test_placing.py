"""Files put into the book beside any commit: all together or not at all."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ledger.gitedge.placing import put_and_stage, put_files
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal
from tests.books import Book
from tests.gitedge.test_interruptions import killed_while
from tests.gitedge.test_record import everything

Maker = Callable[..., Book]
NOTES = {"notes/marsh-1.md": b"- [x] 1 Brighter?\n", "notes/new/ida-1.md": b"- [ ] 1 Darker?\n"}
WAS = {"notes/marsh-1.md": b"- [ ] 1 Brighter?\n"}


@pytest.fixture
def book(new_repo: Maker) -> Book:
    made = new_repo({"a.md": "a\n", **WAS})
    made.write({"a.md": "half\n"})
    made.git("add", "a.md")
    made.write({"a.md": "whole\n"})
    (made.top / "notes/marsh-1.md").chmod(0o640)
    return made


def test_files_are_written_and_the_index_is_left_alone(book: Book) -> None:
    index = book.git_bytes("ls-files", "-s", "-z")
    (book.top / ".git/index.lock").touch()
    put_files(Repository.find(book.top), NOTES, WAS)
    assert {path: book.read(path) for path in NOTES} == NOTES
    assert book.git_bytes("ls-files", "-s", "-z") == index
    assert (book.top / "notes/marsh-1.md").stat().st_mode & 0o777 == 0o640
    assert (book.top / ".git/index.lock").exists()


@pytest.mark.parametrize(("path", "now"), [("notes/marsh-1.md", "typed meanwhile\n"), ("notes/new/ida-1.md", "mine\n")])
def test_what_was_changed_meanwhile_is_kept(book: Book, path: str, now: str) -> None:
    book.write({path: now})
    before = everything(book)
    with pytest.raises(Refusal, match="changed meanwhile") as told:
        put_files(Repository.find(book.top), NOTES, WAS)
    assert (told.value.path, told.value.remedy) == (path, "try again")
    assert everything(book) == before


@pytest.mark.parametrize("staging", [False, True])
def test_killed_at_every_step_it_is_before_or_after(book: Book, staging: bool) -> None:
    def put(repo: Repository) -> None:
        if staging:
            put_and_stage(repo, NOTES, over=True)
        else:
            put_files(repo, NOTES, WAS)

    before = everything(book)
    seen = [everything(each) for each in killed_while(book, put)]
    put(Repository.find(book.top))
    after = everything(book)
    assert before != after and before in seen and after in seen
    assert all(state in (before, after) for state in seen)


def test_files_are_staged_in_the_middle_of_a_merge_and_on_an_old_state(book: Book) -> None:
    book.git("commit", "-q", "-a", "-m", "whole")
    book.git("switch", "-q", "--detach")
    (book.top / ".git/MERGE_HEAD").write_text(book.git("rev-parse", "HEAD") + "\n")
    put_and_stage(Repository.find(book.top), {"ledger/alteration-1.toml": b"slip\n"})
    assert book.status() == "A  ledger/alteration-1.toml"


def test_before_the_first_commit(new_repo: Maker) -> None:
    book = new_repo()
    put_and_stage(Repository.find(book.top), {"ledger/alteration-1.toml": b"slip\n"})
    assert book.status() == "A  ledger/alteration-1.toml"
