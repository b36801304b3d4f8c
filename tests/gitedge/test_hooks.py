"""The hooks on real repositories: run by git itself, beside whatever was there, gone without a trace."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import ledger
from ledger.gitedge import hooks
from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal
from ledger.read.entries import write_entry
from tests.books import Book
from tests.gitedge.entering import script_round

Maker = Callable[..., Book]

BOOK = {"book.toml": '[book]\ntitle = "The Tide Clock"\npages = 8\n', "script/01.md": "W: You said the map was here.\n"}
ALL = tuple(f".git/hooks/{name}" for name in hooks.NAMES)


def folder(place: Path) -> dict[str, object]:
    """A folder with all that is in it: content, mode, time, and where links lead."""
    return {
        p.name: (os.readlink(p) if p.is_symlink() else p.read_bytes(), stat.S_IMODE(p.lstat().st_mode),  # noqa: PTH115
                 p.lstat().st_mtime_ns)
        for p in place.iterdir()
    }  # fmt: skip


def hook(book: Book, name: str, text: str, *, mode: int = 0o755, at: str = ".git/hooks") -> Path:
    place = book.top / at / name
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(f"#!/bin/sh\n{text}\n")
    place.chmod(mode)
    return place


def interpreter(tmp_path: Path, text: str) -> str:
    """Something to run in the place of Python, which tells what it was given."""
    place = tmp_path / "it's a python"
    place.write_text(f"#!/bin/sh\n{text}\n")
    place.chmod(0o755)
    return str(place)


def commit(book: Book, *args: str, **env: str) -> tuple[int, str]:
    """A commit as the user makes it: the exit code and what was said."""
    done = subprocess.run(
        [shutil.which("git") or "git", "commit", "-q", "-am", "work", *args],
        cwd=book.top, capture_output=True, text=True, env={**os.environ, **env},
    )  # fmt: skip
    return done.returncode, done.stdout + done.stderr


def edited(book: Book) -> Book:
    """A book with an entry whose bytes somebody has changed."""
    entry = script_round()
    book.write({entry.path: write_entry(entry)})
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "entry")
    book.write({entry.path: write_entry(entry).replace(b"first draft", b"first try")})
    return book


def test_a_commit_passes_and_an_edited_entry_is_refused(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    assert hooks.install(Repository.find(book.top)) == ALL
    book.write({"script/01.md": "W: It was here.\n"})
    assert commit(book) == (0, "")
    edited(book)
    code, said = commit(book)
    assert code == 1
    assert "pre-commit" in said
    assert "script-1" in said
    assert "Traceback" not in said
    assert commit(book, "--no-verify")[0] == 0


@pytest.mark.parametrize("path", ["", "/usr/bin:/bin", "/nonexistent"])
def test_a_minimal_path_is_enough(new_repo: Maker, path: str) -> None:
    book = new_repo(BOOK)
    hooks.install(Repository.find(book.top))
    book.write({"script/01.md": "W: It was here.\n"})
    assert commit(book, PATH=path) == (0, "")
    assert commit(edited(book), PATH=path)[0] == 1


def test_python_is_told_nothing_of_the_folder_it_works_in(new_repo: Maker) -> None:
    book = new_repo({**BOOK, "ledger/__init__.py": "raise SystemExit(90)\n", "subprocess.py": "raise SystemExit(90)\n"})
    hooks.install(Repository.find(book.top))
    assert commit(edited(book), PYTHONPATH=str(book.top), PYTHONSAFEPATH="")[0] == 1


def test_twice_in_is_once_in(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    hook(book, "pre-commit", "echo mine")
    repo = Repository.find(book.top)
    assert not hooks.installed(repo)
    hooks.install(repo)
    once = folder(book.top / ".git/hooks")
    assert hooks.install(repo) == ()
    assert hooks.installed(repo)
    assert folder(book.top / ".git/hooks") == once


def test_out_again_the_folder_is_as_it_was(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    repo = Repository.find(book.top)
    hook(book, "pre-commit", "echo mine")
    hook(book, "pre-push", "echo not run", mode=0o644)
    (book.top / ".git/hooks/pre-merge-commit").symlink_to("pre-commit")
    before = folder(book.top / ".git/hooks")
    hooks.install(repo)
    assert folder(book.top / ".git/hooks") != before
    assert hooks.remove(repo) == ALL
    assert folder(book.top / ".git/hooks") == before
    assert hooks.remove(repo) == ()


def test_a_folder_made_for_the_hooks_goes_with_them(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    assert not (book.top / ".git/hooks").exists()
    repo = Repository.find(book.top)
    hooks.install(repo)
    assert hooks.install(repo) == ()
    hooks.remove(repo)
    assert not (book.top / ".git/hooks").exists()


def test_the_users_own_hook_runs_first_and_once_and_can_refuse(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    hook(book, "pre-commit", 'echo "mine: $# in $GIT_INDEX_FILE" >> ran; exit $(cat wanted)')
    hooks.install(Repository.find(book.top))
    book.write({"script/01.md": "changed", "wanted": "3"})
    assert commit(book)[0] == 1
    assert book.read("ran").startswith(b"mine: 0 in ")
    assert book.read("ran").strip().endswith(b"index.lock")
    assert book.read("ran").count(b"mine") == 1
    book.write({"wanted": "0"})
    assert commit(book)[0] == 0
    assert book.read("ran").count(b"mine") == 2


def test_a_link_to_the_users_own_hook_still_means_that_one(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    hook(book, "pre-commit", 'echo "mine" >> ran')
    (book.top / ".git/hooks/pre-merge-commit").symlink_to("pre-commit")
    book.git("switch", "-q", "-c", "side")
    book.write({"side.md": "s"})
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "side")
    book.git("switch", "-q", "main")
    book.git("commit", "-q", "--no-verify", "--allow-empty", "-m", "main")
    hooks.install(Repository.find(book.top))
    book.git("merge", "-q", "--no-edit", "side")
    assert book.read("ran") == b"mine\n"


def test_a_hook_that_git_would_not_run_is_not_run(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    hook(book, "pre-commit", "exit 1", mode=0o644)
    hooks.install(Repository.find(book.top))
    book.write({"script/01.md": "changed"})
    assert commit(book)[0] == 0


def test_a_push_hook_hears_what_git_says_and_so_do_we(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    book.git("clone", "-q", "--bare", ".", str(tmp_path / "there.git"))
    book.git("remote", "add", "there", str(tmp_path / "there.git"))
    hook(book, "pre-push", f'(echo "$@"; cat) > "{tmp_path}/own"')
    ours = f'shift 2; (shift 2; echo "$@"; cat) > "{tmp_path}/ours"; exit 90'
    hooks.install(Repository.find(book.top), python=interpreter(tmp_path, ours))
    book.git("branch", "second")
    book.git("push", "-q", "there", "second", "main:third")
    own = (tmp_path / "own").read_text().splitlines()
    head = book.git("rev-parse", "HEAD")
    assert own[0] == f"there {tmp_path / 'there.git'}"
    assert own[1:] == [f"refs/heads/second {head} refs/heads/second {'0' * 40}",
                       f"refs/heads/main {head} refs/heads/third {'0' * 40}"]  # fmt: skip
    assert (tmp_path / "ours").read_text().splitlines() == [f"pre-push {own[0]}", *own[1:]]


@pytest.mark.parametrize(
    ("answer", "code", "said"),
    [
        ("exit 90", 0, ""),
        ("exit 91", 1, ""),
        ("exit 92", 1, ""),
        ("exit 0", 1, "installation is broken"),
        ("exit 1", 1, "installation is broken"),
        ("exit 127", 1, "installation is broken"),
        ("kill -9 $$", 1, "installation is broken"),
    ],
)
def test_only_an_answer_counts(new_repo: Maker, tmp_path: Path, answer: str, code: int, said: str) -> None:
    book = new_repo(BOOK)
    hooks.install(Repository.find(book.top), python=interpreter(tmp_path, answer))
    book.write({"script/01.md": "changed"})
    found = commit(book)
    assert found[0] == code
    if said:
        first, second = found[1].strip().split("\n")[-2:]
        assert first.startswith(
            "inkledger (pre-commit): this commit was stopped: inkledger's own installation is broken"
        )
        assert second == "  To do: install inkledger again, then: inkledger hook install"


def test_an_interpreter_that_has_moved_is_named_with_the_way_out(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    python = interpreter(tmp_path, "exit 90")
    repo = Repository.find(book.top)
    hooks.install(repo, python=python)
    Path(python).unlink()
    book.write({"script/01.md": "changed"})
    code, said = commit(book)
    assert code == 1
    assert said == (
        "inkledger (pre-commit): this commit was stopped: the Python that inkledger ran with is gone"
        f" ({python}).\n  To do: put the hook in again: inkledger hook install\n"
    )
    assert hooks.install(repo) == ALL
    assert commit(book) == (0, "")


def test_without_inkledger_itself_the_commit_is_refused_in_one_sentence(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    hooks.install(Repository.find(book.top))
    home = str(Path(ledger.__file__).parent.parent)
    place = book.top / ".git/hooks/pre-commit"
    # A bare Python of the same version, to which nothing is installed.
    bare = Path(sys.base_prefix) / "bin" / f"python{sys.version_info[0]}.{sys.version_info[1]}"
    text = place.read_text().replace(f"'{sys.executable}'", f"'{bare}'").replace(f"'{home}'", f"'{tmp_path}'")
    place.write_text(text)
    book.write({"script/01.md": "changed"})
    code, said = commit(book)
    assert code == 1
    assert said.startswith("inkledger (pre-commit): this commit was stopped: inkledger's own installation is broken")
    assert len(said.strip().split("\n")) == 2


def test_a_merge_is_judged_too(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    book.git("switch", "-q", "-c", "side")
    book.write({"side.md": "s"})
    book.commit("side")
    book.git("switch", "-q", "main")
    book.write({"main.md": "m"})
    book.commit("main")
    hooks.install(Repository.find(book.top), python=interpreter(tmp_path, f'echo "$5" >> "{tmp_path}/ran"; exit 91'))
    book.git("merge", "--no-edit", "side", check=False)
    assert (tmp_path / "ran").read_text() == "pre-merge-commit\n"
    assert book.git("log", "-1", "--format=%s") == "main"


def test_a_copied_book_keeps_its_hooks(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    hook(book, "pre-commit", "echo mine >> ran")
    hooks.install(Repository.find(book.top))
    copy = Book(tmp_path / "a copy, elsewhere")
    shutil.copytree(book.top, copy.top)
    shutil.rmtree(book.top)
    copy.write({"script/01.md": "changed"})
    assert commit(copy)[0] == 0
    assert copy.read("ran") == b"mine\n"
    assert commit(edited(copy))[0] == 1


def test_hooks_of_a_worktree_are_those_of_its_book(new_repo: Maker, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    book.git("worktree", "add", "-q", "-b", "side", str(tmp_path / "side"))
    hooks.install(Repository.find(tmp_path / "side"))
    assert commit(edited(Book(tmp_path / "side")))[0] == 1
    assert commit(edited(book))[0] == 1


@pytest.mark.parametrize("where", [".githooks", "{tmp}/shared"])
def test_a_folder_of_the_books_own_choosing_is_used(new_repo: Maker, tmp_path: Path, where: str) -> None:
    book = new_repo(BOOK)
    book.git("config", "core.hooksPath", where.format(tmp=tmp_path))
    changed = hooks.install(Repository.find(book.top / "script"))
    assert changed[0] == f"{where.format(tmp=tmp_path)}/pre-commit"
    assert commit(edited(book))[0] == 1


def test_where_git_would_run_no_hook_of_this_book_it_is_refused(new_repo: Maker, home: Path, tmp_path: Path) -> None:
    book = new_repo(BOOK)
    repo = Repository.find(book.top)
    book.git("config", "--global", "core.hooksPath", str(tmp_path / "everybody"))
    try:
        with pytest.raises(Refusal, match="hooks of all your repositories") as told:
            hooks.install(repo)
    finally:
        book.git("config", "--global", "--unset", "core.hooksPath")
    assert told.value.remedy == "let this book have its own: git config core.hooksPath .git/hooks"
    assert not (tmp_path / "everybody").exists()
    book.git("config", "core.hooksPath", os.devnull)
    with pytest.raises(Refusal, match="told to run no hooks"):
        hooks.install(repo)


def test_a_hook_put_over_ours_is_not_guessed_at(new_repo: Maker) -> None:
    book = new_repo(BOOK)
    hook(book, "pre-commit", "echo first")
    repo = Repository.find(book.top)
    hooks.install(repo)
    hook(book, "pre-commit", "echo another program's")
    before = folder(book.top / ".git/hooks")
    for act in (hooks.install, hooks.remove):
        with pytest.raises(Refusal, match="another program has put its own pre-commit"):
            act(repo)
    assert folder(book.top / ".git/hooks") == before


def test_the_scripts_differ_in_nothing_but_what_they_must() -> None:
    home = Path(ledger.__file__).parent.parent / "hooks"
    texts = {name: (home / name).read_text() for name in (*hooks.NAMES, *hooks.SERVER_NAMES)}
    commit_hook = texts["pre-commit"]
    for name, act in (("pre-merge-commit", "merge"), ("pre-applypatch", "patch")):
        same = texts[name].replace(name, "pre-commit").replace(f"this {act}", "this commit").split("\n")
        assert [line for line in same if not line.startswith("# Refuses")] == [
            line for line in commit_hook.split("\n") if not line.startswith("# Refuses")
        ]
    assert set(texts) == {place.name for place in home.iterdir()}
    for name in texts:
        assert subprocess.run(["/bin/sh", "-n", str(home / name)]).returncode == 0
