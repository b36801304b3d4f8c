"""What git is in the middle of, and whose name it writes under."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone

from ledger.gitedge.repository import Repository
from ledger.model.errors import Refusal

_UNDER_WAY: tuple[tuple[str, str, str], ...] = (
    ("MERGE_HEAD", "a merge is not finished", "finish it (git commit) or give it up: git merge --abort"),
    ("rebase-merge", "a rebase is not finished", "finish it (git rebase --continue) or give it up: git rebase --abort"),
    ("rebase-apply/applying", "mailed patches are being applied (git am)",
     "finish it (git am --continue) or give it up: git am --abort"),
    ("rebase-apply", "a rebase is not finished", "finish it (git rebase --continue) or give it up: git rebase --abort"),
    ("CHERRY_PICK_HEAD", "a commit is being copied here (cherry-pick)",
     "finish it (git cherry-pick --continue) or give it up: git cherry-pick --abort"),
    ("REVERT_HEAD", "a commit is being taken back (revert)",
     "finish it (git revert --continue) or give it up: git revert --abort"),
    ("sequencer", "several commits are being copied or taken back",
     "finish it (git cherry-pick --continue) or give it up: git cherry-pick --abort"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Identity:
    """Whose name git writes, and when it is by git's clock (`GIT_COMMITTER_DATE` included)."""

    name: str
    address: str
    when: datetime

    @property
    def by(self) -> str:
        """`name <address>`, as entries say it."""
        return f"{self.name} <{self.address}>"


@dataclass(frozen=True, slots=True)
class Hindrance:
    """Why nothing can be recorded now, in plain words, and the way out."""

    message: str
    remedy: str


def hindrance(repo: Repository) -> Hindrance | None:
    """What stands in the way of a recording; None where nothing does."""
    for name, reason, remedy in _UNDER_WAY:
        if os.path.exists(repo.in_git_dir(name)):
            return Hindrance(f"nothing can be recorded now: {reason}", remedy)
    if branch_of(repo) is None:
        return Hindrance(
            "you are looking at an old state of the book (git: detached HEAD); nothing can be recorded there",
            f"to come back: {_way_back(repo)}",
        )
    if repo.run("ls-files", "-u", "-z"):
        return Hindrance(
            "nothing can be recorded now: some files stand in two versions that are not yet brought together "
            "(git: unmerged)",
            "choose what they should say, then: git add FILE",
        )
    return None


def refuse_unless_ready(repo: Repository) -> None:
    """Raises Refusal, with the way out, where a recording can't be made now."""
    found = hindrance(repo)
    if found:
        raise Refusal(found.message, remedy=found.remedy)


def branch_of(repo: Repository) -> str | None:
    """The full name of the branch (`refs/heads/main`), there or still to be born; None on a detached HEAD."""
    output, code = repo.ask("symbolic-ref", "-q", "HEAD")
    return os.fsdecode(output.removesuffix(b"\n")) if code == 0 else None


def _way_back(repo: Repository) -> str:
    name = os.fsdecode(repo.run("rev-parse", "--abbrev-ref", "@{-1}", check=False)).strip()
    if not name or name == "@{-1}":
        heads = os.fsdecode(repo.run("for-each-ref", "--format=%(refname:short)", "refs/heads")).split("\n")
        name = "main" if "main" in heads or not heads[0] else heads[0]
    return f"git switch {name}"


def identity(repo: Repository) -> Identity | None:
    """Who git would name as the committer, and when; None where no name or address is set."""
    output, code = repo.ask("-c", "user.useConfigOnly=true", "var", "GIT_COMMITTER_IDENT")
    return parse_ident(output.decode("utf-8", "replace").removesuffix("\n")) if code == 0 else None


def parse_ident(line: str) -> Identity | None:
    """Reads `name <address> seconds +hhmm`, as git writes it."""
    found = re.fullmatch(r"(.*?) ?<([^>]*)> (-?\d+) ([+-])(\d\d)(\d\d)", line, re.DOTALL)
    if not found:
        return None
    name, address, seconds, sign, hours, minutes = found.groups()
    offset = timedelta(hours=int(hours), minutes=int(minutes)) * (-1 if sign == "-" else 1)
    return Identity(name, address, datetime.fromtimestamp(int(seconds), timezone(offset)))


def give_identity(repo: Repository, name: str, address: str) -> None:
    """Sets name and address for this book alone."""
    repo.run("config", "--local", "user.name", name)
    repo.run("config", "--local", "user.email", address)
