"""More acts of git: names that lead past what is asked, history put together anew, refs that are no branches."""

from __future__ import annotations

from collections.abc import Callable

from tests.books import Book
from tests.probes.acts import COMMIT, Door, Past, aside, git, laid, mailed, run, staged, then
from tests.probes.edits import Change
from tests.probes.ground import act


def pointed(book: Book, change: Change) -> None:
    """What is to be recorded is put into the index by its ids; the files on disk are as they were signed."""
    before = book.staged()
    staged(book, change)
    late = {path: oid for path, oid in book.staged().items() if before.get(path) != oid}
    book.git("reset", "-q", "--hard")
    for path, oid in late.items():
        book.git("update-index", "--cacheinfo", f"100644,{oid},{path}")


def of_another_beginning(book: Book, change: Change) -> None:
    """A branch without any commit yet: its first one has nothing before it, and the book's entries in it."""
    staged(book, change)
    book.git("checkout", "-q", "--orphan", "fresh")


def narrow(book: Book, change: Change) -> None:
    """An index in which folders stand for what is in them (a sparse index)."""
    book.git("config", "index.sparse", "true")
    book.git("sparse-checkout", "set", "--cone", "--sparse-index", "script", "art/inks", "ledger")
    staged(book, change)


def patches(*words: str) -> Callable[[Book], tuple[int, str]]:
    return lambda book: act(book, "am", "-q", *words, *sorted(str(p) for p in (book.top / "../mail").iterdir()))


ONLY = ("commit", "-q", "-m", "work", "-o", "--")
#: Acts that one of our hooks sees.
SEEN: dict[str, Door] = {
    "update-index --cacheinfo": Door("pre-commit", pointed, COMMIT),
    "commit -o, a name in other case": Door("pre-commit", lambda book, change: change(book), run(
        *ONLY, ":(icase)SCRIPT/01.MD", ":(icase)ART", ":(icase)LEDGER")),
    "commit -o, all but": Door("pre-commit", lambda book, change: change(book), run(
        *ONLY, ".", ":(exclude)letter.txt")),
    "commit -i, by a pattern": Door("pre-commit", lambda book, change: change(book), run(
        "commit", "-q", "-m", "work", "-i", "--", ":(glob)**/*.md", ":(glob)**/*.png", ":(glob)**/*.toml")),
    "apply --cached": Door("pre-commit", mailed, then(lambda book: act(book, "apply", "--cached", *sorted(
        str(p) for p in (book.top / "../mail").iterdir())), COMMIT), ("reset", "-q", "--hard")),
    "restore --staged --source": Door("pre-commit", aside, then(run(
        "restore", "--staged", "--source", "side", "--", "."), COMMIT), ("reset", "-q", "--hard")),
    "am --keep-cr": Door("pre-applypatch", mailed, patches("--keep-cr"), ("am", "--abort")),
    "am --3way": Door("pre-applypatch", mailed, patches("--3way"), ("am", "--abort")),
    "the first commit of another beginning": Door("pre-commit", of_another_beginning, COMMIT, (), True),
    "commit with a sparse index": Door("pre-commit", narrow, COMMIT),
    "commit with git's folder named": Door("pre-commit", staged, lambda book: act(
        book, "-C", "..", "--git-dir=book/.git", "--work-tree=book", "commit", "-q", "-m", "work")),
    "commit with git's folder in the environment": Door("pre-commit", staged, lambda book: act(
        book, "commit", "-q", "-m", "work", GIT_DIR=str(book.top / ".git"), GIT_WORK_TREE=str(book.top))),
    "commit with Python's variables set": Door("pre-commit", staged, run(
        "commit", "-q", "-m", "work", PYTHONOPTIMIZE="2", PYTHONHOME="/nowhere", PYTHONWARNINGS="error")),
    "commit with history cut in the environment": Door("pre-commit", staged, run(
        "commit", "-q", "-m", "work", GIT_SHALLOW_FILE="../cut")),
}  # fmt: skip


def by_a_bundle(book: Book) -> tuple[int, str]:
    """A late commit fetched from a file and taken for the branch's own."""
    late = book.git("rev-parse", "side")
    book.git("bundle", "create", "-q", "../late.bundle", "side")
    book.git("branch", "-D", "side")
    book.git("fetch", "-q", "../late.bundle", "side")
    assert book.git("rev-parse", "FETCH_HEAD") == late
    return act(book, "reset", "-q", "--hard", "FETCH_HEAD")


def parents(*order: str) -> Callable[[Book], tuple[int, str]]:
    """A merge that holds what is late, with these parents; `side` began before the sign-off and has it too."""

    def merge(book: Book) -> tuple[int, str]:
        tree = book.git("write-tree")
        side = book.git("commit-tree", tree, "-p", "HEAD~2", "-m", "side")
        named = [word for each in order for word in ("-p", side if each == "side" else each)]
        made = book.git("commit-tree", tree, *named, "-m", "merge")
        return act(book, "reset", "-q", "--hard", made)

    return merge


def parent_twice(book: Book) -> tuple[int, str]:
    """A commit that names its parent twice, as no git writes it."""
    tree, head = book.git("write-tree"), book.git("rev-parse", "HEAD")
    who = "Bo <bo@quill.example> 1772449200 +0100"
    text = f"tree {tree}\nparent {head}\nparent {head}\nauthor {who}\ncommitter {who}\n\nwork\n"
    made = book.git("hash-object", "-t", "commit", "-w", "--literally", "--stdin", input=text.encode())
    return act(book, "reset", "-q", "--hard", made)


LATE = run("commit", "-q", "--no-verify", "-m", "work")
#: Acts that no hook of ours sees.
UNSEEN: dict[str, Past] = {
    "a bundle, and reset to it": Past(aside, by_a_bundle, ("+HEAD:refs/heads/main",)),
    "rebase --exec": Past(laid(aside, git("switch", "-q", "side")), run(
        "rebase", "-q", "--exec", "git commit -q --amend --no-verify --no-edit", "main")),
    "commit --fixup, put together": Past(laid(aside, git("switch", "-q", "side"), git(
        "commit", "-q", "--allow-empty", "--no-verify", "-m", "fixup! on side")), run(
        "-c", "sequence.editor=true", "rebase", "-q", "-i", "--autosquash", "main")),
    "a merge whose first parent is older": Past(staged, parents("side", "HEAD")),
    "a merge with itself and an older one": Past(staged, parents("HEAD", "HEAD~1", "side")),
    "one parent twice": Past(staged, parent_twice),
    "a ref of notes": Past(staged, LATE, ("HEAD:refs/notes/late",)),
    "a ref that replaces": Past(staged, then(LATE, run("update-ref", "refs/replace/" + "1" * 40, "HEAD")),
                                ("HEAD:refs/replace/" + "1" * 40,)),
    "a tag on a tag": Past(staged, then(LATE, run("tag", "-a", "-m", "one", "one"), run(
        "tag", "-a", "-m", "two", "two", "one")), ("two",)),
    "a space of names of its own": Past(staged, LATE, (
        "--receive-pack=env GIT_NAMESPACE=other git-receive-pack", "HEAD:refs/heads/main")),
}  # fmt: skip
