"""Making a book's repository, on a machine where git may know nothing yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from ledger.gitedge import hooks, set_up
from ledger.gitedge.repository import Repository, committer
from ledger.gitedge.standing import identity
from ledger.model.errors import Refusal
from tests.books import Book

Maker = Callable[..., Book]


@pytest.fixture
def nobody(new_repo: Maker, home: Path) -> Iterator[None]:
    """A machine on which git knows no name."""
    config = home / ".gitconfig"
    before = config.read_text()
    config.write_text("[init]\n\tdefaultBranch = trunk\n")
    yield
    config.write_text(before)


def test_a_repository_is_made_with_the_branch_git_would_choose(tmp_path: Path, nobody: None, home: Path) -> None:
    (tmp_path / "book").mkdir()
    repo = set_up.make_repository(tmp_path / "book")
    assert repo.top == tmp_path / "book"
    assert repo.run("symbolic-ref", "HEAD") == b"refs/heads/trunk\n"
    (home / ".gitconfig").write_text("")
    (tmp_path / "other").mkdir()
    assert set_up.make_repository(tmp_path / "other").run("symbolic-ref", "HEAD") == b"refs/heads/main\n"


def test_a_repository_is_made_inside_another_and_inside_its_hooks(
    new_repo: Maker, monkeypatch: pytest.MonkeyPatch
) -> None:
    outer = new_repo({".gitignore": "/inner/\n", "a.md": "a"})
    (outer.top / "inner").mkdir()
    (outer.top / "beside").mkdir()
    around = Repository.find(outer.top)
    assert set_up.is_ignored(around, outer.top / "inner")
    assert not set_up.is_ignored(around, outer.top / "beside")
    monkeypatch.setenv("GIT_DIR", str(outer.top / ".git"))
    monkeypatch.setenv("GIT_INDEX_FILE", str(outer.top / ".git/index"))
    repo = set_up.make_repository(outer.top / "inner")
    assert repo.git_dir == outer.top / "inner/.git"
    assert repo.index_path == str(outer.top / "inner/.git/index")
    assert repo.run("ls-files") == b""


def test_a_name_is_given_to_this_book_alone_and_only_where_there_is_none(nobody: None, new_repo: Maker) -> None:
    book = new_repo()
    repo = Repository.find(book.top)
    assert identity(repo) is None
    assert set_up.give_identity(repo, "J\u00f3zefa\n <Wren>")
    assert committer(repo)[:2] == ("J\u00f3zefa Wren", "jzefa.wren@localhost")
    assert not set_up.give_identity(repo, "Somebody Else")
    book.write({"a.md": "a"})
    book.commit()
    assert book.git("log", "-1", "--format=%an <%ae>") == "J\u00f3zefa Wren <jzefa.wren@localhost>"
    assert identity(Repository.find(new_repo().top)) is None


@pytest.mark.parametrize(
    ("name", "address"), [("Ada", "ada@localhost"), ("\u6728\u6751", "author@localhost"), ("A.-B", "a.b@localhost")]
)
def test_any_name_will_do(nobody: None, new_repo: Maker, name: str, address: str) -> None:
    repo = Repository.find(new_repo().top)
    set_up.give_identity(repo, name)
    assert committer(repo)[:2] == (name, address)


def test_what_git_knows_in_part_is_kept(nobody: None, new_repo: Maker) -> None:
    book = new_repo()
    book.git("config", "user.email", "ada@quill.example")
    repo = Repository.find(book.top)
    assert set_up.give_identity(repo, "Ada Quill")
    assert committer(repo)[:2] == ("Ada Quill", "ada@quill.example")
    with pytest.raises(Refusal, match="a name is needed"):
        book.git("config", "--unset", "user.name")
        set_up.give_identity(repo, " <> ")


def test_the_machine_has_a_name_for_everybody(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LOGNAME", "nobody-known-here")
    assert set_up.login_name() == "nobody-known-here"
    monkeypatch.setenv("LOGNAME", "root")
    assert set_up.login_name()


def test_without_git_lfs_it_says_so(new_repo: Maker, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = Repository.find(new_repo().top)
    monkeypatch.setenv("PATH", "/nonexistent")
    assert not set_up.lfs_is_here()
    with pytest.raises(Refusal, match="git-lfs is not installed here"):
        set_up.use_lfs(repo)


@pytest.mark.needs_lfs
def test_large_files_are_set_up_for_this_book_alone(nobody: None, new_repo: Maker) -> None:
    book = new_repo()
    repo = Repository.find(book.top)
    set_up.give_identity(repo, "Ada")
    hooks.install(repo)
    set_up.use_lfs(repo)
    book.write({".gitattributes": "*.png filter=lfs diff=lfs merge=lfs -text\n", "p001.png": "drawing"})
    book.git("add", "-A")
    assert book.git("show", ":p001.png").startswith("version https://git-lfs")
    assert hooks.installed(repo)
    assert "git lfs pre-push" in (book.top / ".git/hooks/pre-push.before-inkledger").read_text()
    set_up.use_lfs(repo)
    assert "git lfs pre-push" in (book.top / ".git/hooks/pre-push.before-inkledger").read_text()
