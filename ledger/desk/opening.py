"""Opening the book: the states a verb works on."""

from __future__ import annotations

import os
from functools import cached_property
from pathlib import Path

from ledger.gitedge import snapshots
from ledger.gitedge.complaints import GitFailed
from ledger.gitedge.finding_git import is_bare
from ledger.gitedge.repository import Repository
from ledger.gitedge.worktree import read_file
from ledger.model.book import Book
from ledger.model.errors import Refusal
from ledger.model.snapshot import Snapshot
from ledger.read.state import BookState, book_of, read_state


class OpenBook:
    """A book on the desk; its states are read when first asked for.

    `head` is None where nothing is recorded yet, or where what is recorded holds no `book.toml`.
    """

    def __init__(self, repo: Repository) -> None:
        self.repo = repo

    @cached_property
    def working(self) -> BookState:
        """Your files now, untracked ones too."""
        return read_state(snapshots.of_worktree(self.repo))

    @cached_property
    def book_now(self) -> Book:
        """What `book.toml` says now; a plain one is read alone, and none of your other files is looked at."""
        if "working" not in self.__dict__:
            try:
                return book_of(read_file(self.repo.in_top("book.toml")))
            except OSError:
                pass  # it is not on disk; git may have it
        return self.working.book

    @cached_property
    def staged(self) -> BookState:
        """What is about to be recorded."""
        return read_state(snapshots.of_index(self.repo))

    @cached_property
    def head_commit(self) -> str | None:
        """The newest commit's id; None before the first."""
        return self.commit("HEAD")

    def commit(self, name: str) -> str | None:
        """The id of the commit that a revision names, from the git that reads objects anyway; None for none."""
        return self.repo.reader.commit(name)

    @cached_property
    def head_snapshot(self) -> Snapshot:
        """The files of the newest commit; empty before the first."""
        return snapshots.of_commit(self.repo, self.head_commit) if self.head_commit else snapshots.empty(self.repo)

    @cached_property
    def head(self) -> BookState | None:
        """The newest commit, read."""
        return read_state(self.head_snapshot) if "book.toml" in self.head_snapshot.files else None


def open_book(here: Path) -> OpenBook:
    """Opens the book that a folder belongs to. Raises Refusal where there is none."""
    repo = Repository.find(here)
    if not os.path.lexists(repo.in_top("book.toml")):
        _refuse_a_book_inside(here, repo)
    return OpenBook(repo)


def _refuse_a_book_inside(here: Path, repo: Repository) -> None:
    """Raises Refusal where the folder, or one above it, holds a `book.toml` below the top of the repository."""
    top = Path(repo.top).resolve()
    folder = here.resolve()
    while folder != top and top in folder.parents:
        if (folder / "book.toml").is_file():
            raise Refusal(
                f"this book lies inside another git repository ({top}), and a book is a repository of its own",
                path=(folder / "book.toml").relative_to(top).as_posix(),
                remedy="in the book's folder: inkledger init",
            )
        folder = folder.parent


def open_history(here: Path) -> OpenBook:
    """As `open_book`, for those who ask only what is recorded: a bare repository does too."""
    try:
        return open_book(here)
    except GitFailed:
        if is_bare(here):
            return OpenBook(Repository.served(here))
        raise


def recorded(book: OpenBook) -> BookState:
    """The newest commit's state. Raises Refusal where nothing is recorded yet."""
    if book.head is None:
        raise Refusal("nothing of this book is recorded yet", remedy="enter a round first: inkledger enter script")
    return book.head
