"""A bare repository that judges what is pushed to it: real pushes by git, from a clone without hooks of its own."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.books import Book
from tests.desk.signed_book import CUT, SCRIPT, page, record, renumbered, signed_book, slip


@pytest.fixture(scope="module")
def _served(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A signed book, pushed to a bare repository in which the hook was then installed."""
    home = tmp_path_factory.mktemp("served")
    book = signed_book(home / "book")
    book.git("tag", "-a", "-m", "lock-inks-1", "lock/inks/1")
    book.git("tag", "v1")
    book.git("init", "-q", "--bare", str(home / "copy.git"))
    book.git("remote", "add", "origin", "../copy.git")
    book.git("push", "-q", "-u", "origin", "HEAD:main", "--tags")
    ledger(home / "copy.git", "hook", "install", "--server")
    return home


@pytest.fixture
def book(_served: Path, tmp_path: Path) -> Book:
    shutil.copytree(_served, tmp_path / "home", symlinks=True)
    return Book(tmp_path / "home/book")


def ledger(here: Path, *words: str, code: int = 0) -> str:
    done = subprocess.run([sys.executable, "-m", "ledger", "-C", str(here), *words], capture_output=True, text=True)
    assert done.returncode == code, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    return done.stdout + done.stderr


def refs(book: Book) -> str:
    return book.git("--git-dir=../copy.git", "for-each-ref")


def push(book: Book, *words: str) -> tuple[int, str]:
    """A push as git does it: exit code, and what git and the server said."""
    done = subprocess.run(
        [shutil.which("git") or "git", "push", "origin", *words], cwd=book.top, capture_output=True, text=True
    )
    assert "Traceback" not in done.stderr
    return done.returncode, done.stderr


def refused(book: Book, rule: str, *words: str) -> str:
    """A push that is stopped by a rule and leaves no trace; without the hook the same push goes through."""
    before, objects = refs(book), sorted((book.top / "../copy.git/objects").rglob("*"))
    code, said = push(book, *words)
    assert code == 1 and "inkledger (pre-receive): this push was stopped" in said and rule in said, said
    assert refs(book) == before
    assert sorted((book.top / "../copy.git/objects").rglob("*")) == objects
    shutil.copytree(book.top / "../copy.git", book.top / "../open.git")
    ledger(book.top / "../open.git", "hook", "remove")
    book.git("push", "-q", "../open.git", *words)
    return said


def free(book: Book, *words: str) -> None:
    code, said = push(book, *words)
    assert code == 0, said


def late(book: Book, text: str = CUT) -> str:
    book.write({"script/01.md": text})
    return book.commit("late")


def test_innocent_work_goes_in(book: Book) -> None:
    book.write({"letter.txt": "Dear Marsh\n"})
    tip = book.commit("a letter")
    free(book, "HEAD:main")
    assert tip in refs(book)


def test_a_late_commit_is_refused_on_any_branch_even_when_undone(book: Book) -> None:
    commit = late(book)
    said = refused(book, "line-cut", "HEAD:main")
    assert commit[:10] in said and "git reset --soft origin/main" in said
    late(book, SCRIPT)
    shutil.rmtree(book.top / "../open.git")
    refused(book, "line-cut", "HEAD:refs/heads/another")


def test_a_late_commit_is_refused_under_a_tag_too(book: Book) -> None:
    late(book)
    book.git("tag", "v2")
    refused(book, "line-cut", "v2")


def test_another_commit_than_head_is_what_counts(book: Book) -> None:
    tip = book.git("rev-parse", "HEAD")
    commit = late(book)
    book.git("reset", "-q", "--hard", tip)
    refused(book, "line-cut", f"{commit}:refs/heads/side")


def test_a_slip_in_the_same_commit_goes_in(book: Book) -> None:
    book.write({"script/01.md": CUT})
    book.git("add", "-A")
    record(book, slip(book, "1"))
    free(book, "HEAD:main")


def test_all_refs_or_none(book: Book) -> None:
    tip = book.git("rev-parse", "HEAD")
    book.write({"letter.txt": "Dear Marsh\n"})
    innocent = book.commit("a letter")
    book.git("reset", "-q", "--hard", tip)
    late(book)
    refused(book, "line-cut", "HEAD:main", f"{innocent}:refs/heads/letters")


def test_all_refs_or_none_when_git_is_asked_for_it(book: Book) -> None:
    tip = book.git("rev-parse", "HEAD")
    late(book)
    refused(book, "line-cut", "--atomic", "HEAD:main", f"{tip}:refs/heads/letters")


def test_a_forced_push_that_drops_an_entry(book: Book) -> None:
    book.git("reset", "-q", "--hard", "HEAD~1")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("another way")
    refused(book, "entry-removed", "--force", "HEAD:main")


def test_history_written_anew_with_its_entries_goes_in(book: Book) -> None:
    book.git("commit", "-q", "--amend", "--no-verify", "-m", "said better")
    free(book, "--force", "HEAD:main")


def test_the_last_branch_with_an_entry_stays(book: Book) -> None:
    free(book, "HEAD~1:refs/heads/old")
    book.git("--git-dir=../copy.git", "symbolic-ref", "HEAD", "refs/heads/old")
    refused(book, "entry-removed", "--delete", "main")


def test_a_branch_without_entries_of_its_own_is_free_to_go(book: Book) -> None:
    free(book, "HEAD:refs/heads/side")
    free(book, "--delete", "side")


def test_an_entry_that_goes_to_another_branch_in_the_same_push_is_not_lost(book: Book) -> None:
    book.git("--git-dir=../copy.git", "symbolic-ref", "HEAD", "refs/heads/none")
    free(book, ":main", "HEAD:refs/heads/trunk")


def test_tags_of_entries_stay_where_they_are(book: Book) -> None:
    book.git("tag", "-f", "lock/inks/1", "HEAD~1")
    refused(book, "tag-moved", "--force", "lock/inks/1")
    shutil.rmtree(book.top / "../open.git")
    refused(book, "tag-moved", "--delete", "lock/inks/1")


def test_a_tag_of_an_entry_stands_on_what_holds_it(book: Book) -> None:
    book.git("tag", "alteration/1", "HEAD")
    refused(book, "tag-moved", "alteration/1")


def test_other_tags_and_notes_are_free(book: Book) -> None:
    book.git("tag", "-f", "v1", "HEAD~1")
    free(book, "--force", "v1")
    free(book, "--delete", "v1")
    book.git("notes", "add", "-m", "read")
    free(book, "refs/notes/commits")
    book.git("notes", "add", "-f", "-m", "read again")
    free(book, "refs/notes/commits")


def test_a_merge_is_judged_by_both_sides_together(book: Book) -> None:
    book.git("switch", "-q", "-c", "side", "HEAD~1")
    book.write({"script/01.md": CUT})
    book.commit("cut before anybody signed here")
    book.git("switch", "-q", "main")
    book.write({"letter.txt": "Dear Marsh\n"})
    book.commit("a letter")
    book.git("merge", "-q", "--no-edit", "side")
    refused(book, "line-cut", "HEAD:main")


def test_large_content_that_is_not_here_blocks_unless_a_slip_names_it(book: Book) -> None:
    pointer = "version https://git-lfs.github.com/spec/v1\noid sha256:" + "ab" * 32 + "\nsize 1234\n"
    book.git("config", "filter.lfs.clean", "cat")
    book.write({"art/inks/p001.png": pointer})
    book.commit("not to be seen")
    said = refused(book, "export-unreadable", "HEAD:main")
    assert "not here" in said
    book.git("reset", "-q", "--soft", "HEAD~1")
    record(book, slip(book, "1", ["drawing"]))
    free(book, "HEAD:main")


def test_what_nobody_signed_may_be_anywhere(book: Book) -> None:
    pointer = "version https://git-lfs.github.com/spec/v1\noid sha256:" + "ab" * 32 + "\nsize 1234\n"
    book.write({"art/pencils/p001.png": pointer})
    book.commit("not signed")
    free(book, "HEAD:main")


def test_nothing_that_is_pushed_is_run(book: Book) -> None:
    mark = book.top / "../ran"
    program = f"#!/bin/sh\ntouch '{mark}'\n"
    book.write({".gitattributes": "* filter=own diff=own merge=own\n", "sitecustomize.py": "raise SystemExit(90)\n",
                ".gitmodules": '[submodule "x"]\n\tpath = x\n\turl = ext::sh -c touch% ran\n', "subprocess.py": "1/0\n",
                "ledger/__init__.py": "raise SystemExit(90)\n", "hooks/pre-receive": program, "post-receive": program,
                "art/inks/p001.png": page(12)})  # fmt: skip
    book.commit("brought along")
    refused(book, "panel-redrawn", "HEAD:main")
    assert not mark.exists()


def test_the_hook_is_one_of_several_and_leaves_again(book: Book) -> None:
    copy = book.top / "../copy.git"
    place = copy / "hooks/pre-receive"
    ledger(copy, "hook", "remove")
    assert not place.exists()
    place.parent.mkdir(exist_ok=True)
    place.write_text("#!/bin/sh\ncat > heard\n")
    place.chmod(0o755)
    before = place.read_bytes()
    ledger(copy, "hook", "install", "--server")
    assert "Nothing to do" in ledger(copy, "hook", "install", "--server")
    late(book)
    assert push(book, "HEAD:main")[0] == 1
    assert (copy / "heard").read_text().endswith(" refs/heads/main\n")
    ledger(copy, "hook", "remove")
    assert place.read_bytes() == before
    free(book, "HEAD:main")


def test_each_kind_of_repository_has_its_own_hooks(book: Book) -> None:
    assert "--server" in ledger(book.top / "../copy.git", "hook", "install", code=2)
    assert "inkledger hook install" in ledger(book.top, "hook", "install", "--server", code=2)


def test_an_entry_renumbered_by_a_merge_is_not_lost(book: Book) -> None:
    first = slip(book, "1")
    book.git("switch", "-q", "-c", "side")
    record(book, first)
    free(book, "side")
    book.git("switch", "-q", "main")
    other = renumbered(slip(book, "2", minutes=20), 1)
    record(book, other)
    book.git("merge", "-q", "--no-commit", "-s", "ours", "side")
    record(book, renumbered(first, 2), message="merged")
    free(book, "HEAD:main")
    free(book, "--delete", "side")
