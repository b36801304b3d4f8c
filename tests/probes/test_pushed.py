"""Pushes that take something away: at the push on this machine and at the repository pushed to, with the control."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.books import Book
from tests.desk.signed_book import slip
from tests.probes import edits
from tests.probes.ground import Ground, act
from tests.probes.pushes import refused_after_commit, stopped, told

Lay = Callable[[Book], object]


def back_before_the_lock(book: Book) -> None:
    book.git("reset", "-q", "--hard", "HEAD~2")
    book.write({"other.txt": "another way\n"})
    book.commit("another way")


def squashed_away(book: Book) -> None:
    """All of history as one commit, its entry left out."""
    book.git("rm", "-q", "--cached", "ledger/lock-inks-1.toml")
    commit = book.git("commit-tree", book.git("write-tree"), "-m", "a fresh beginning")
    book.git("reset", "-q", "--hard", commit)


def squashed(book: Book) -> None:
    """All of history as one commit, its entry in it."""
    book.git("reset", "-q", "--hard", book.git("commit-tree", "HEAD^{tree}", "-m", "a fresh beginning"))


def moved_tag(book: Book) -> None:
    book.git("tag", "-f", "lock/inks/1", "HEAD~2")


def another_object(book: Book) -> None:
    """The same commit under another tag object: what others hold would no longer be what is there."""
    book.git("tag", "-f", "-a", "-m", "other words", "lock/inks/1", "lock/inks/1^{commit}")


def tag_of_nothing(book: Book) -> None:
    book.git("tag", "alteration/1", "HEAD")


def tag_of_a_file(book: Book) -> None:
    book.git("tag", "lock/inks/2", "HEAD:book.toml")


def nothing(book: Book) -> None:
    return


#: What is refused: the rule, how the ground is laid, what is pushed.
REFUSED: dict[str, tuple[str, Lay, tuple[str, ...]]] = {
    "history before the lock, forced": ("entry-removed", back_before_the_lock, ("--force", "HEAD:main")),
    "forced with a lease": ("entry-removed", back_before_the_lock, ("--force-with-lease", "HEAD:main")),
    "forced among others": ("entry-removed", back_before_the_lock, ("--force", "HEAD:main", "HEAD:refs/heads/new")),
    "forced, all or nothing": ("entry-removed", back_before_the_lock, ("--atomic", "-f", "HEAD:main", "HEAD:new/one")),
    "one commit without the entry": ("entry-removed", squashed_away, ("--force", "HEAD:main")),
    "the branch deleted": ("entry-removed", nothing, ("--delete", "main")),
    "deleted while an older one comes": ("entry-removed", nothing, (":main", "HEAD~2:refs/heads/old")),
    "a mirror of less": ("entry-removed", back_before_the_lock, ("--mirror",)),
    "a tag moved": ("tag-moved", moved_tag, ("--force", "lock/inks/1")),
    "a tag moved with others": ("tag-moved", moved_tag, ("--force", "HEAD:main", "refs/tags/*")),
    "a tag replaced": ("tag-moved", another_object, ("--force", "lock/inks/1")),
    "a tag deleted": ("tag-moved", nothing, ("--delete", "lock/inks/1")),
    "a tag deleted beside a branch": ("tag-moved", nothing, ("HEAD:refs/heads/new", ":refs/tags/lock/inks/1")),
    "a tag where its entry is not": ("tag-moved", tag_of_nothing, ("alteration/1",)),
    "a tag on a file": ("tag-moved", tag_of_a_file, ("lock/inks/2",)),
}  # fmt: skip


@pytest.mark.group("taken away by a push", "refused")
@pytest.mark.parametrize("name", REFUSED)
def test_what_takes_something_away_is_refused(ground: Ground, name: str) -> None:
    rule, lay, words = REFUSED[name]
    for copy in ("guarded", "open"):
        ground.book.git(f"--git-dir=../{copy}.git", "symbolic-ref", "HEAD", "refs/heads/none")
    lay(ground.book)
    before = ground.held()
    # What a mirror would take away is more than its entry.
    stopped(act(ground.book, "push", "-q", "guarded", *words), "pre-push", rule)
    stopped(act(ground.book, "push", "-q", "--no-verify", "guarded", *words), "pre-receive", rule)
    assert ground.held() == before
    code, said = act(ground.book, "push", "-q", "--no-verify", "open", *words)
    assert code == 0, said


@pytest.mark.group("taken away by a push", "refused")
@pytest.mark.parametrize("words", [("--force", "HEAD~2:refs/heads/alias"), ("--delete", "alias")])
def test_a_branch_moved_by_a_name_that_leads_to_it(ground: Ground, words: tuple[str, ...]) -> None:
    """The other side alone knows that a name leads to its main branch: git moves that branch with it."""
    for copy in ("guarded", "open"):
        ground.book.git(f"--git-dir=../{copy}.git", "symbolic-ref", "HEAD", "refs/heads/none")
        ground.book.git(f"--git-dir=../{copy}.git", "symbolic-ref", "refs/heads/alias", "refs/heads/main")
    before = ground.held()
    stopped(act(ground.book, "push", "-q", "--no-verify", "guarded", *words), "pre-receive", "entry-removed")
    assert ground.held() == before
    main = ground.book.git("ls-remote", "open", "refs/heads/main")
    code, said = act(ground.book, "push", "-q", "--no-verify", "open", *words)
    assert code == 0, said
    if "--force" in words:
        assert ground.book.git("ls-remote", "open", "refs/heads/main") != main


@pytest.mark.group("late edits by acts of git", "refused")
@pytest.mark.parametrize("how", ["one commit", "before the sign-off"])
def test_history_written_anew_with_a_late_line_in_it(ground: Ground, how: str) -> None:
    """The sign-off says the same as ever; the commit that holds it does not hold what it signed."""
    book = ground.book
    lock, head = book.git("rev-parse", "HEAD~1"), book.git("rev-parse", "HEAD")
    if how == "before the sign-off":
        book.git("reset", "-q", "--hard", "HEAD~2")
    edits.CUT(book)
    book.git("add", "-A")
    if how == "one commit":
        book.git("reset", "-q", "--hard", book.git("commit-tree", book.git("write-tree"), "-m", "a beginning"))
    else:
        book.git("commit", "-q", "--no-verify", "-m", "early")
        book.git("cherry-pick", lock, head)
    refused_after_commit(ground, ("line-cut",), ("+HEAD:refs/heads/main",))


#: What is free: how the ground is laid, what is pushed before, what then.
FREE: dict[str, tuple[Lay, tuple[str, ...], tuple[str, ...]]] = {
    "a branch without an entry of its own": (nothing, ("HEAD:refs/heads/side",), ("--delete", "side")),
    "a branch under another name": (nothing, (), (":main", "HEAD:refs/heads/trunk")),
    "history written anew, its entry kept": (squashed, (), ("--force", "HEAD:main")),
    "a commit said better": (lambda book: book.git("commit", "-q", "--amend", "-m", "better"), (), ("-f", "HEAD:main")),
    "other tags moved": (lambda book: book.git("tag", "v1"), ("v1",), ("--force", "HEAD~1:refs/tags/v1")),
    "other tags deleted": (lambda book: book.git("tag", "v1"), ("v1",), ("--delete", "v1")),
    "notes": (lambda book: book.git("notes", "add", "-m", "read"), (), ("refs/notes/commits",)),
    "notes written anew": (lambda book: book.git("notes", "add", "-m", "read"), ("refs/notes/commits",),
                           ("--delete", "refs/notes/commits")),
    "what is there already": (nothing, (), ("HEAD:main", "--tags")),
    "the state before the lock, as a branch": (nothing, (), ("HEAD~2:refs/heads/old",)),
}  # fmt: skip


@pytest.mark.group("allowed", "allowed")
@pytest.mark.parametrize("name", FREE)
def test_what_takes_nothing_away_is_free(ground: Ground, name: str) -> None:
    lay, first, words = FREE[name]
    ground.book.git("--git-dir=../guarded.git", "symbolic-ref", "HEAD", "refs/heads/none")
    lay(ground.book)
    for each in filter(None, (first, words)):
        code, said = act(ground.book, "push", "-q", "guarded", *each)
        assert code == 0, said


@pytest.mark.group("cleverness", "refused")
def test_large_content_that_is_not_here_is_a_question_here_and_blocks_there(ground: Ground) -> None:
    book = ground.book
    book.write({"art/inks/p001.png": "version https://git-lfs.github.com/spec/v1\noid sha256:" + "ab" * 32
                + "\nsize 1234\n"})  # fmt: skip
    book.git("add", "-A")
    code, said = act(book, "commit", "-q", "-m", "work")
    assert code == 0 and "look: export-unreadable" in said and "not here" in said
    assert told(ground)["export-unreadable"] == "query"
    before = ground.held()
    stopped(act(book, "push", "guarded", "HEAD:main"), "pre-receive", "export-unreadable")
    assert ground.held() == before
    assert act(book, "push", "-q", "open", "HEAD:main")[0] == 0


@pytest.mark.group("allowed", "allowed")
def test_large_content_that_is_not_here_goes_in_with_its_slip(ground: Ground) -> None:
    from ledger.read.entries import write_entry

    book = ground.book
    book.write({"art/inks/p001.png": "version https://git-lfs.github.com/spec/v1\noid sha256:" + "ab" * 32
                + "\nsize 1234\n"})  # fmt: skip
    book.git("add", "-A")
    said = slip(book, "1", ["drawing"])
    book.write({said.path: write_entry(said)})
    book.git("add", "-A")
    assert act(book, "commit", "-q", "-m", "work")[0] == 0
    code, heard = act(book, "push", "-q", "guarded", "HEAD:main")
    assert code == 0, heard


@pytest.mark.group("cleverness", "refused")
@pytest.mark.parametrize("cut", ["at the late commit", "at the one before"])
def test_a_clone_cut_short_hides_nothing(ground: Ground, cut: str) -> None:
    book = ground.book
    book.write({"script/01.md": book.read("script/01.md").replace(b"T: It was.\n", b"")})
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "late")
    at = book.git("rev-parse", "HEAD" if cut == "at the late commit" else "HEAD~1")
    (book.top / ".git/shallow").write_text(f"{at}\n")
    for copy in ("guarded", "open"):
        book.git(f"--git-dir=../{copy}.git", "config", "receive.shallowUpdate", "true")
    before = ground.held()
    stopped(act(book, "push", "-q", "--no-verify", "guarded", "HEAD:refs/heads/new"), "pre-receive", "line-cut")
    assert ground.held() == before
    assert act(book, "push", "-q", "--no-verify", "open", "HEAD:refs/heads/new")[0] == 0
