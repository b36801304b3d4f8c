"""The acts of git by which a change gets recorded: those that a hook of ours sees, and those that none does."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tests.books import Book
from tests.probes.edits import Change
from tests.probes.ground import act

Act = Callable[[Book], tuple[int, str]]


class Door(NamedTuple):
    """An act that our hook sees: how the ground is laid for it, the act, and how git takes back what it began.

    `early` is whether the change is made where nothing was signed off yet, so that the merge alone is late.
    """

    hook: str
    lay: Callable[[Book, Change], None]
    act: Act
    back: tuple[str, ...] = ()
    early: bool = False


def laid(*steps: Callable[[Book, Change], object]) -> Callable[[Book, Change], None]:
    """One step after another."""

    def lay(book: Book, change: Change) -> None:
        for step in steps:
            step(book, change)

    return lay


def git(*words: str) -> Callable[[Book, Change], object]:
    """Git itself, as a step."""
    return lambda book, _: book.git(*words)


def staged(book: Book, change: Change) -> None:
    change(book)
    book.git("add", "-A")


def aside(book: Book, change: Change, name: str = "side") -> None:
    """The change on a branch of its own, past our hooks; the main line goes on too."""
    book.git("switch", "-q", "-c", name)
    change(book)
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", f"on {name}")
    book.git("switch", "-q", "main")
    book.write({f"answer-{name}.txt": "Dear Bo\n"})
    book.git("add", "-A")
    book.git("commit", "-q", "-m", "an answer")


def early_aside(book: Book, change: Change, name: str = "side") -> None:
    """As `aside`, on a branch that began before anything was signed off: the change is innocent there."""
    book.git("switch", "-q", "-c", name, "HEAD~2")
    change(book)
    book.git("add", "-A")
    book.git("commit", "-q", "-m", f"on {name}")
    book.git("switch", "-q", "main")


def two_early(book: Book, change: Change) -> None:
    early_aside(book, change)
    early_aside(book, lambda b: b.write({"other.txt": "other\n"}), "other")


def two_aside(book: Book, change: Change) -> None:
    aside(book, change)
    aside(book, lambda b: b.write({"other.txt": "other\n"}), "other")


def mailed(book: Book, change: Change) -> None:
    aside(book, change)
    book.git("format-patch", "-q", "--binary", "-1", "-o", "../mail", "side")


def half_staged(book: Book, change: Change) -> None:
    """The change is staged, the files say nothing of it."""
    staged(book, change)
    book.git("restore", "--source=HEAD", "--worktree", "--", ".")


def put_away(book: Book, change: Change) -> None:
    staged(book, change)
    book.git("stash", "-q")


def merging(book: Book, change: Change) -> None:
    early_aside(book, change)
    book.git("merge", "-q", "--no-commit", "--no-ff", "side")


def reverting(book: Book, change: Change) -> None:
    """A commit whose taking back is the change: history had it before anybody signed."""
    head = book.git("rev-parse", "HEAD")
    change(book)
    book.git("add", "-A")
    book.git("commit", "-q", "--no-verify", "-m", "late")
    late = book.git("write-tree")
    book.git("reset", "-q", "--hard", head)
    # A commit that goes from the change back to what is there: reverting it brings the change.
    first = book.git("commit-tree", late, "-p", head, "-m", "once")
    second = book.git("commit-tree", f"{head}^{{tree}}", "-p", first, "-m", "and back")
    book.git("branch", "once", second)


def run(*words: str, input: str | None = None, **env: str) -> Act:
    return lambda book: act(book, *words, input=input, **env)


def then(*acts: Act) -> Act:
    """One after another; the first that fails is what is told."""

    def all_of(book: Book) -> tuple[int, str]:
        done = (0, "")
        for each in acts:
            done = each(book)
            if done[0]:
                break
        return done

    return all_of


COMMIT = run("commit", "-q", "-m", "work")


def elsewhere(book: Book) -> tuple[int, str]:
    """What is staged here, committed in a second working tree."""
    tree = book.git("write-tree")
    book.git("worktree", "add", "-q", "--detach", "../two")
    book.git("-C", "../two", "read-tree", tree)
    code, said = act(book, "-C", "../two", "commit", "-q", "-m", "work")
    if code == 0:
        book.git("reset", "-q", "--hard", book.git("-C", "../two", "rev-parse", "HEAD"))
    return code, said


#: Acts that one of our hooks sees.
SEEN: dict[str, Door] = {
    "commit": Door("pre-commit", staged, COMMIT),
    "commit -a": Door("pre-commit", lambda book, change: change(book), run("commit", "-q", "-a", "-m", "work")),
    "commit -o": Door("pre-commit", lambda book, change: change(book), run("commit", "-q", "-m", "work", "-o", ".")),
    "commit -i": Door("pre-commit", lambda book, change: change(book), run("commit", "-q", "-m", "work", "-i", ".")),
    "commit -p": Door("pre-commit", lambda book, change: change(book), run("commit", "-q", "-m", "work", "-p",
                                                                           input="a\na\na\n")),
    "commit --amend": Door("pre-commit", staged, run("commit", "-q", "--amend", "-m", "work")),
    "commit, half staged": Door("pre-commit", half_staged, COMMIT),
    "commit of a detached head": Door("pre-commit", laid(git("switch", "-q", "--detach"), staged), COMMIT),
    "commit from a folder below": Door("pre-commit", staged, run("-C", "script", "commit", "-q", "-m", "work")),
    "commit from a second worktree": Door("pre-commit", staged, elsewhere, ("worktree", "remove", "--force", "../two")),
    "merge": Door("pre-merge-commit", early_aside, run("merge", "-q", "--no-edit", "side"), ("merge", "--abort"), True),
    "merge, committed by hand": Door("pre-commit", merging, COMMIT, (), True),
    "merge -X theirs": Door("pre-merge-commit", early_aside, run("merge", "-q", "--no-edit", "-X", "theirs", "side"),
                            ("merge", "--abort"), True),
    "merge of three": Door("pre-merge-commit", two_early, run("merge", "-q", "--no-edit", "side", "other"),
                           ("reset", "-q", "--hard"), True),
    "merge -s subtree": Door("pre-merge-commit", early_aside, run("merge", "-q", "--no-edit", "-s", "subtree", "side"),
                             ("merge", "--abort"), True),
    "pull": Door("pre-merge-commit", early_aside, run("pull", "-q", "--no-rebase", "--no-edit", ".", "side"),
                 ("merge", "--abort"), True),
    "merge --squash": Door("pre-commit", aside, then(run("merge", "-q", "--squash", "side"), COMMIT),
                           ("reset", "-q", "--hard")),
    "am": Door("pre-applypatch", mailed, lambda book: act(book, "am", "-q", *sorted(
        str(p) for p in (book.top / "../mail").iterdir())), ("am", "--abort")),
    "apply --index": Door("pre-commit", mailed, then(run("update-index", "-q", "--refresh"),
                                                    lambda book: act(book, "apply", "--index", *sorted(
        str(p) for p in (book.top / "../mail").iterdir())), COMMIT), ("reset", "-q", "--hard")),
    "stash pop": Door("pre-commit", put_away, then(run("stash", "pop", "-q", "--index"), COMMIT),
                      ("stash", "push", "-q")),
    "cherry-pick -n": Door("pre-commit", aside, then(run("cherry-pick", "-n", "side"), COMMIT),
                           ("reset", "-q", "--hard")),
    "revert -n": Door("pre-commit", reverting, then(run("revert", "-n", "once"), COMMIT), ("revert", "--abort")),
    "another state's file": Door("pre-commit", aside, then(run("checkout", "-q", "side", "--", "."), COMMIT),
                                 ("reset", "-q", "--hard")),
    "commit --fixup": Door("pre-commit", staged, run("commit", "-q", "--fixup", "HEAD")),
    "commit --allow-empty -C": Door("pre-commit", staged, run("commit", "-q", "--allow-empty", "-C", "HEAD")),
    "read-tree": Door("pre-commit", aside, then(run("read-tree", "side"), COMMIT), ("reset", "-q", "--hard")),
}  # fmt: skip


class Past(NamedTuple):
    """An act that no hook of ours sees, with the ground laid for it."""

    lay: Callable[[Book, Change], None]
    act: Act
    refs: tuple[str, ...] = ("HEAD:refs/heads/main",)
    reach: str = "HEAD"


def by_hand(book: Book) -> tuple[int, str]:
    """A commit put together from its parts."""
    tree = book.git("write-tree")
    commit = book.git("commit-tree", tree, "-p", "HEAD", "-m", "by hand")
    return act(book, "update-ref", "refs/heads/main", commit)


def imported(book: Book) -> tuple[int, str]:
    """History written out and read in again, the change in it."""
    said = book.git_bytes("fast-export", "--no-data", "--all", "--signed-tags=strip").decode("utf-8", "replace")
    code, told = act(book, "fast-import", "--force", "--quiet", input=said)
    return (code, told) if code else by_hand(book)


def filtered(book: Book) -> tuple[int, str]:
    """All of history written anew, the newest commit with the change in it."""
    tree, head = book.git("write-tree"), book.git("rev-parse", "HEAD")
    book.git("reset", "-q", "--hard")
    take = f'if [ "$GIT_COMMIT" = {head} ]; then git read-tree {tree}; fi'
    code, said = act(book, "filter-branch", "-f", "--index-filter", take, "HEAD", FILTER_BRANCH_SQUELCH_WARNING="1")
    return code, said


def fast_imported(book: Book) -> tuple[int, str]:
    """A commit read in from a stream."""
    paths = book.git("diff", "--cached", "--name-only").split("\n")
    who = "Bo <bo@quill.example> 1772449200 +0100"
    said = f"commit refs/heads/main\ncommitter {who}\ndata 4\nwork\nfrom refs/heads/main^0\n"
    said += "".join(f'M 100644 {book.git("rev-parse", f":{path}")} "{path}"\n' for path in paths)
    return act(book, "fast-import", "--force", "--quiet", input=said)


def rewritten(book: Book) -> tuple[int, str]:
    """The newest commit's tree exchanged under the same message."""
    tree = book.git("write-tree")
    message = book.git("log", "-1", "--format=%B")
    commit = book.git("commit-tree", tree, "-p", "HEAD~1", "-m", message)
    return act(book, "update-ref", "refs/heads/main", commit)


def evil(book: Book) -> tuple[int, str]:
    """A merge of two innocent sides that holds what neither has."""
    tree = book.git("write-tree")
    head = book.git("rev-parse", "HEAD")
    side = book.git("commit-tree", "HEAD^{tree}", "-p", "HEAD", "-m", "an innocent side")
    commit = book.git("commit-tree", tree, "-p", head, "-p", side, "-m", "merge")
    return act(book, "update-ref", "refs/heads/main", commit)


def rootless(book: Book) -> tuple[int, str]:
    """A merge with a history that has nothing in common with this one, in which the change was always so."""
    tree = book.git("write-tree")
    root = book.git("commit-tree", tree, "-m", "another beginning")
    commit = book.git("commit-tree", tree, "-p", "HEAD", "-p", root, "-m", "merge")
    return act(book, "update-ref", "refs/heads/main", commit)


#: Acts that no hook of ours sees; the push, the server and the audit do.
UNSEEN: dict[str, Past] = {
    "commit --no-verify": Past(staged, run("commit", "-q", "--no-verify", "-m", "work")),
    "commit with the hooks' folder elsewhere": Past(staged, run("-c", "core.hooksPath=/dev/null", "commit", "-q", "-m",
                                                                "work")),
    "commit --amend --no-verify": Past(staged, run("commit", "-q", "--amend", "--no-verify", "-m", "work"),
                                       ("+HEAD:refs/heads/main",)),
    "merge, fast forward": Past(laid(aside, git("reset", "-q", "--hard", "HEAD~1")),
                                run("merge", "-q", "--ff-only", "side")),
    "merge --no-verify": Past(aside, run("merge", "-q", "--no-verify", "--no-edit", "side")),
    "merge of three --no-verify": Past(two_aside, run("merge", "-q", "--no-verify", "--no-edit", "side", "other")),
    "merge -s ours of an innocent": Past(laid(aside, git("switch", "-q", "side")),
                                         run("merge", "-q", "--no-verify", "--no-edit", "-s", "ours", "main")),
    "cherry-pick": Past(aside, run("cherry-pick", "side")),
    "rebase": Past(laid(aside, git("switch", "-q", "side")),
                   run("rebase", "-q", "main")),
    "rebase onto": Past(laid(aside, git("switch", "-q", "side")),
                        run("rebase", "-q", "--onto", "main", "HEAD~1")),
    "revert": Past(reverting, run("revert", "--no-edit", "once")),
    "am with the hooks' folder elsewhere": Past(mailed, lambda book: act(book, "-c", "core.hooksPath=x", "am", *sorted(
        str(p) for p in (book.top / "../mail").iterdir()))),
    "pull --rebase": Past(laid(aside, git("switch", "-q", "side")), run("pull", "-q", "--rebase", ".", "main")),
    "rebase that puts together": Past(laid(aside, git("switch", "-q", "side")), run(
        "-c", "sequence.editor=true", "rebase", "-q", "-i", "--autosquash", "main")),
    "filter-branch": Past(staged, filtered, ("+HEAD:refs/heads/main",)),
    "fast-import": Past(staged, fast_imported),
    "a stash kept as a branch": Past(staged, then(run("stash", "-q"), run("branch", "kept", "stash@{0}")),
                                     ("kept:refs/heads/kept",), "kept"),
    "another commit than HEAD": Past(aside, run("status", "-s"), ("side:refs/heads/main",), "side"),
    "a tag with words": Past(staged, then(run("commit", "-q", "--no-verify", "-m", "work"),
                                          run("tag", "-a", "-m", "a tag", "v2")), ("v2",)),
    "everything at once": Past(staged, run("commit", "-q", "--no-verify", "-m", "work"), ("--all",)),
    "all or nothing": Past(staged, run("commit", "-q", "--no-verify", "-m", "work"),
                           ("--atomic", "HEAD~1:refs/heads/innocent", "HEAD:refs/heads/main")),
    "a commit by hand": Past(staged, by_hand),
    "history read in again": Past(staged, imported, ("+HEAD:refs/heads/main",)),
    "the newest commit exchanged": Past(staged, rewritten, ("+HEAD:refs/heads/main",)),
    "a merge that holds what no side has": Past(staged, evil),
    "a merge with another beginning": Past(staged, rootless),
    "another branch": Past(staged, run("commit", "-q", "--no-verify", "-m", "work"), ("HEAD:refs/heads/new",)),
    "a tag": Past(staged, then(run("commit", "-q", "--no-verify", "-m", "work"), run("tag", "v2")), ("v2",)),
    "several refs": Past(staged, run("commit", "-q", "--no-verify", "-m", "work"),
                         ("HEAD~1:refs/heads/innocent", "HEAD:refs/heads/main")),
    "another name": Past(staged, run("commit", "-q", "--no-verify", "-m", "work"), ("HEAD:refs/for/main",)),
}  # fmt: skip
