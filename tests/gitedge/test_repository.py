"""Finding the book, running git safely, and what stands in the way of a recording."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from ledger.gitedge.repository import Repository, committer, state_of
from ledger.model.errors import Refusal
from tests.books import Book

Maker = Callable[..., Book]


def test_a_book_is_found_from_any_of_its_folders(new_repo: Maker, monkeypatch: pytest.MonkeyPatch) -> None:
    book = new_repo({"script/deep/01.md": "a"}, name="two\nlines \u00e9 'quoted'")
    for here in (book.top, book.top / "script", book.top / "script/deep"):
        repo = Repository.find(here)
        assert (repo.top, repo.git_dir, repo.common_dir) == (book.top, book.top / ".git", book.top / ".git")
    monkeypatch.chdir(book.top / "script")
    repo = Repository.find(Path("deep"))
    assert repo.common_dir == book.top / ".git"
    assert repo.run("ls-files", "-z") == b"script/deep/01.md\0"


def test_a_worktree_has_a_git_folder_of_its_own(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo({"a.md": "a"})
    book.git("worktree", "add", "-q", "-b", "side", str(tmp_path / "side"))
    repo = Repository.find(tmp_path / "side")
    assert repo.top == tmp_path / "side"
    assert repo.git_dir == book.top / ".git/worktrees/side"
    assert repo.common_dir == book.top / ".git"


def test_no_repository_is_said_plainly_with_the_way_out(tmp_path: Path) -> None:
    with pytest.raises(Refusal) as told:
        Repository.find(tmp_path)
    assert told.value.message == "this is no book's folder: there is no git repository here"
    assert told.value.remedy == "go to the book's folder, or lay one out here: inkledger init"
    with pytest.raises(Refusal, match="no such folder"):
        Repository.find(tmp_path / "nowhere")


def test_bare_broken_and_inner_folders_are_told_apart(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo({"a.md": "a"})
    book.git("clone", "-q", "--bare", ".", str(tmp_path / "bare.git"))
    with pytest.raises(Refusal, match="bare repository"):
        Repository.find(tmp_path / "bare.git")
    with pytest.raises(Refusal, match="git's own folder"):
        Repository.find(book.top / ".git")
    (book.top / ".git/HEAD").write_text("nonsense")
    with pytest.raises(Refusal, match="is broken"):
        Repository.find(book.top)


def test_git_is_missing(new_repo: Maker, monkeypatch: pytest.MonkeyPatch) -> None:
    book = new_repo({"a.md": "a"})
    monkeypatch.setenv("PATH", "/nonexistent")
    with pytest.raises(Refusal, match="git is not here") as told:
        Repository.find(book.top)
    assert "install git" in (told.value.remedy or "")


def test_a_failing_git_is_a_refusal_and_may_be_asked_for(new_repo: Maker) -> None:
    repo = Repository.find(new_repo({"a.md": "a"}).top)
    with pytest.raises(Refusal, match=r"^git could not do this: "):
        repo.run("cat-file", "blob", "HEAD")
    assert repo.ask("rev-parse", "-q", "--verify", "nowhere") == (b"", 1)
    oid = hashlib.sha1(b"blob 5\0words").hexdigest()
    assert repo.run("hash-object", "--stdin", input=b"words").decode() == f"{oid}\n"


def test_replaced_objects_and_grafts_are_not_believed(new_repo: Maker) -> None:
    book = new_repo({"a.md": "true"})
    book.write({"a.md": "later"})
    book.commit("later")
    false = book.git("hash-object", "-w", "--stdin", input=b"false")
    book.git("replace", book.staged()["a.md"], false)
    book.git("replace", "--graft", "HEAD")
    (book.top / ".git/info").mkdir(exist_ok=True)
    (book.top / ".git/info/grafts").write_text(book.git("rev-parse", "HEAD") + "\n")
    assert book.git("show", "HEAD:a.md") == "false"
    repo = Repository.find(book.top)
    assert repo.run("show", "HEAD:a.md") == b"later"
    assert repo.run("rev-list", "--count", "HEAD") == b"2\n"


def merging(book: Book) -> None:
    book.git("merge", "--no-commit", "side", check=False)


def rebasing(book: Book) -> None:
    book.git("rebase", "side", check=False)


def picking(book: Book) -> None:
    book.git("cherry-pick", "side", check=False)


def reverting(book: Book) -> None:
    book.git("revert", "--no-edit", "HEAD~1", check=False)


def mailing(book: Book) -> None:
    book.git("am", check=False, input=book.git_bytes("format-patch", "--stdout", "main..side"))


def detaching(book: Book) -> None:
    book.git("checkout", "-q", "--detach")


def unmerging(book: Book) -> None:
    merging(book)
    (book.top / ".git/MERGE_HEAD").unlink()


@pytest.mark.parametrize(
    ("act", "said", "way_out"),
    [
        (merging, "a merge is not finished", "git merge --abort"),
        (rebasing, "a rebase is not finished", "git rebase --abort"),
        (picking, "cherry-pick", "git cherry-pick --abort"),
        (reverting, "revert", "git revert --abort"),
        (mailing, "git am", "git am --abort"),
        (detaching, "detached HEAD", "git switch main"),
        (unmerging, "unmerged", "git add FILE"),
    ],
)
def test_what_git_is_in_the_middle_of_is_named(
    new_repo: Maker, act: Callable[[Book], None], said: str, way_out: str
) -> None:
    book = new_repo({"a.md": "base\n"})
    book.git("switch", "-q", "-c", "side")
    book.write({"a.md": "theirs\n"})
    book.commit("theirs")
    book.git("switch", "-q", "main")
    for words in ("ours\n", "ours again\n"):
        book.write({"a.md": words})
        book.commit(words)
    assert state_of(Repository.find(book.top)) is None
    act(book)
    found = state_of(Repository.find(book.top))
    assert found is not None
    assert said in found.message
    assert way_out in found.remedy


def test_the_first_commit_is_still_to_be_made_and_nothing_stands_in_its_way(new_repo: Maker) -> None:
    assert state_of(Repository.find(new_repo().top)) is None


def test_the_committer_and_the_time_are_gits_own(new_repo: Maker, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_COMMITTER_DATE", "2026-03-02T17:20:00+0130")
    monkeypatch.setenv("GIT_COMMITTER_NAME", "Ines Brandt <3")
    repo = Repository.find(new_repo().top)
    when = datetime(2026, 3, 2, 17, 20, tzinfo=timezone(timedelta(hours=1, minutes=30)))
    assert committer(repo) == ("Ines Brandt 3", "ada@quill.example", when)


def test_without_a_name_git_is_asked_for_none(new_repo: Maker, home: Path) -> None:
    book = new_repo()
    for key in ("user.name", "user.email"):
        book.git("config", key, "")
    with pytest.raises(Refusal, match="git does not know your name") as told:
        committer(Repository.find(book.top))
    assert "git config user.name" in (told.value.remedy or "")


def test_a_folder_of_somebody_else_is_named_with_the_way_to_trust_it(
    new_repo: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = new_repo({"a.md": "a"})
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    with pytest.raises(Refusal, match="belongs to somebody else") as told:
        Repository.find(book.top)
    assert told.value.remedy == f'if you trust it: git config --global --add safe.directory "{book.top}"'
