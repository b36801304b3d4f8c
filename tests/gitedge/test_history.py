"""History as git tells it: commits oldest first, what each changed, and the book before and after."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from ledger.gitedge.history import commits, first_with, range_of, shallow, walk
from ledger.gitedge.repository import Repository
from ledger.gitedge.snapshots import at_commit
from ledger.model.errors import Refusal
from tests.books import Book

Maker = Callable[..., Book]


@pytest.fixture
def woven(new_repo: Maker) -> Book:
    """A history with a merge, a merge that changes something itself, an empty commit, odd names and messages."""
    book = new_repo({"a.md": "a\n", "b.md": "b\n", "two\nlines.md": "x\n"})
    book.git("switch", "-q", "-c", "side")
    book.write({"side.md": "side\n", "b.md": "b on the side\n"})
    book.commit("side")
    book.git("switch", "-q", "main")
    book.write({"a.md": "changed\n", ":odd.md": "odd\n"})
    (book.top / "two\nlines.md").unlink()
    book.commit(":100644 100644 looks like a change\n\x01and\x02more\n\nA:\tb")
    book.git("merge", "-q", "--no-commit", "side")
    book.write({"merged.md": "made in the merge\n"})
    book.git("add", "-A")
    book.git("commit", "-q", "-m", "merge")
    book.git("commit", "-q", "--allow-empty", "-m", "nothing changed")
    (book.top / "a.md").chmod(0o755)
    book.commit("mode")
    return book


@pytest.mark.parametrize("config", [{}, {"log.showRoot": "false", "diff.renames": "copies", "log.follow": "true",
                                         "log.date": "iso", "log.mailmap": "false", "diff.noprefix": "true",
                                         "diff.ignoreSubmodules": "all", "log.diffMerges": "combined"}])  # fmt: skip
def test_commits_are_what_git_lists_whatever_is_configured(woven: Book, config: dict[str, str]) -> None:
    for key, value in config.items():
        woven.git("config", key, value)
    found = list(commits(Repository.find(woven.top), ["HEAD"]))
    assert [commit.oid for commit in found] == woven.git("rev-list", "--reverse", "--topo-order", "HEAD").split()
    for commit in found:
        assert " ".join(commit.parents) == woven.git("log", "-1", "--format=%P", commit.oid)
        assert commit.author == "Ada Quill <ada@quill.example>"
        assert commit.when == datetime(2026, 3, 2, 12, tzinfo=timezone(timedelta(hours=1)))
    by_subject = {commit.subject: commit for commit in found}
    assert {c.path for c in by_subject["merge"].changes} == {"side.md", "b.md", "merged.md"}
    assert by_subject["nothing changed"].changes == ()
    (change,) = by_subject["mode"].changes
    assert change.old is not None
    assert change.new is not None
    assert (change.path, change.old.mode, change.new.mode) == ("a.md", "100644", "100755")
    gone = next(c for commit in found for c in commit.changes if c.new is None)
    assert gone.path == "two\nlines.md"
    assert by_subject[":100644 100644 looks like a change"].message.endswith("A:\tb")


@pytest.mark.parametrize("form", ["sha1", "sha256"])
def test_the_book_before_and_after_every_commit_is_the_one_git_has(new_repo: Maker, form: str) -> None:
    book = new_repo({"a.md": "a"}, form=form)
    book.git("switch", "-q", "-c", "side")
    book.write({"s.md": "s"})
    book.commit("side")
    book.git("switch", "-q", "main")
    book.write({"a.md": "b", "m.md": "m"})
    book.commit("main")
    book.git("merge", "-q", "--no-edit", "side")
    repo = Repository.find(book.top)
    steps = list(walk(repo, ["HEAD"]))
    assert len(steps) == 4
    for step in steps:
        assert step.after.files == at_commit(repo, step.commit.oid).files
        assert [before.files for before in step.befores] == [at_commit(repo, p).files for p in step.commit.parents]
    assert steps[-1].after.read("s.md") == b"s"


def test_paths_that_look_like_the_next_commit_are_paths(new_repo: Maker) -> None:
    """Between two commits stand a NUL and the sign 1; a path may begin with that sign and end with a line."""
    book = new_repo({"a.md": "a"})
    names = ["\x01", "\x01" + "0" * 40 + "\n\n0 +0000\nx\ny", "\x01a\n", "b\n", ":100644", "\n\x01"]
    for number, paths in enumerate((names, names[:1], [], names[1:3])):
        book.write(dict.fromkeys(paths, str(number)))
        book.git("add", "-A")
        book.git("commit", "-q", "--allow-empty", "-m", f"number {number}\n\x01")
    found = list(commits(Repository.find(book.top), ["HEAD"]))
    assert [commit.oid for commit in found] == book.git("rev-list", "--reverse", "HEAD").split()
    assert [set(commit.paths) for commit in found[1:]] == [set(names), set(names[:1]), set(), set(names[1:3])]
    assert all(change.new is not None and change.old is None for change in found[1].changes)


NO_TIMES = ["", " x", " a <a@b.example> 9999999999999999999 +9999", " a <a@b.example> -5 +0100", " a <a@b.example> 5 x"]


@pytest.mark.parametrize("committer", NO_TIMES)
def test_a_commit_made_by_hand_that_says_no_time_is_read(new_repo: Maker, committer: str) -> None:
    book = new_repo({"a.md": "a\n"})
    tree, head = book.git("rev-parse", "HEAD^{tree}"), book.git("rev-parse", "HEAD")
    text = f"tree {tree}\nparent {head}\nauthor x\ncommitter{committer}\n\nby hand\n".encode()
    made = book.git("hash-object", "-t", "commit", "-w", "--literally", "--stdin", input=text)
    found = list(commits(Repository.find(book.top), [made]))
    assert [commit.oid for commit in found] == [head, made]
    assert found[1].when.year < 2100 and found[1].subject == "by hand"


def test_a_range_begins_with_the_state_before_it(woven: Book) -> None:
    repo = Repository.find(woven.top)
    include, exclude = range_of(repo, "HEAD~2..")
    steps = list(walk(repo, include, exclude))
    assert [step.commit.subject for step in steps] == ["nothing changed", "mode"]
    assert steps[0].befores[0].files == at_commit(repo, "HEAD~2").files
    assert range_of(repo, "HEAD") == ((woven.git("rev-parse", "HEAD"),), ())
    assert range_of(repo, "..HEAD~1")[1] == (woven.git("rev-parse", "HEAD"),)
    for text in ("nowhere..HEAD", "HEAD..nowhere", "nowhere", "--all"):
        with pytest.raises(Refusal, match="is no state of this book"):
            range_of(repo, text)


def test_where_a_shallow_clone_ends_is_told(woven: Book, tmp_path: Path) -> None:
    woven.git("clone", "-q", "--depth=2", f"file://{woven.top}", str(tmp_path / "clone"))
    repo = Repository.find(tmp_path / "clone")
    found = list(commits(repo, ["HEAD"]))
    assert [(commit.subject, commit.cut, commit.parents == ()) for commit in found] == [
        ("nothing changed", True, True),
        ("mode", False, False),
    ]
    assert shallow(repo) == {found[0].oid}
    assert next(walk(repo, ["HEAD"])).after.files == at_commit(repo, "HEAD~1").files
    assert shallow(Repository.find(woven.top)) == frozenset()


def test_the_commit_that_first_gave_a_path_its_content(woven: Book) -> None:
    repo = Repository.find(woven.top)
    now = woven.staged()
    found = first_with(repo, {"a.md": now["a.md"], "side.md": now["side.md"], "merged.md": now["merged.md"],
                              "b.md": "0" * 40})  # fmt: skip
    subjects = {path: woven.git("log", "-1", "--format=%s", oid).split()[0] for path, oid in found.items()}
    assert subjects == {"a.md": ":100644", "side.md": "side", "merged.md": "merge"}


def test_a_history_of_five_thousand_commits_is_one_walk(new_repo: Maker) -> None:
    book = new_repo({f"script/{n:03}.md": "a" for n in range(50)})
    lines = ["reset refs/heads/long\nfrom refs/heads/main\n"]
    for n in range(5000):
        when = "Ada Quill <ada@quill.example> 1772449200 +0100"
        lines.append(f"commit refs/heads/long\ncommitter {when}\ndata 1\nx\nM 100644 inline script/{n % 50:03}.md\n"
                     f"data {len(str(n))}\n{n}\n")  # fmt: skip
    book.git("fast-import", "--quiet", input="".join(lines).encode())
    repo = Repository.find(book.top)
    steps = list(walk(repo, ["long"], ["main"]))
    assert len(steps) == 5000
    assert steps[-1].after.files == at_commit(repo, "long").files
