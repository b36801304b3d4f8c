"""Finding the repository that a folder belongs to."""

from __future__ import annotations

import os

from ledger.gitedge.complaints import GitFailed
from ledger.gitedge.repository import Repository
from ledger.gitedge.running import run_git
from ledger.model.errors import Refusal

_FACTS = ("--show-object-format", "--is-bare-repository", "--is-inside-work-tree")
_PLACES = ("--show-toplevel", "--absolute-git-dir", "--git-common-dir")


def find(here: str, dropped: tuple[str, ...]) -> Repository:
    """See `Repository.find`; `dropped` are variables not to be believed."""
    if not os.path.isdir(here):
        raise Refusal(f"{here}: no such folder", remedy="name a folder of the book with -C")
    try:
        lines = _rev_parse(here, dropped, *_FACTS, *_PLACES).split("\n")
    except GitFailed as fault:
        raise _worded(fault, here, dropped) from None
    if len(lines) != 6:
        lines = [*lines[:3], *(_rev_parse(here, dropped, place) for place in _PLACES)]
    form, _, _, top, git_dir, common = lines
    found = Repository(top, git_dir, os.path.normpath(os.path.join(here, common)), form, dropped=dropped)
    if _interrupted(found) and "GIT_INDEX_FILE" not in os.environ:
        from ledger.gitedge.settling import settle_quietly

        # A recording that was killed half-way is finished or taken back before anybody looks.
        settle_quietly(found)
    return found


def served(here: str) -> Repository:
    """See `Repository.served`."""
    lines = _rev_parse(here, (), "--show-object-format", "--absolute-git-dir", "--git-common-dir").split("\n")
    form, git_dir, common = lines
    return Repository(git_dir, git_dir, os.path.normpath(os.path.join(here, common)), form)


def is_bare(here: str | os.PathLike[str]) -> bool:
    """Whether a folder lies in a bare repository: history that others push to, no files to work on."""
    if not os.path.isdir(here):
        return False
    try:
        return _rev_parse(os.path.abspath(here), (), "--is-bare-repository") == "true"
    except GitFailed:
        return False


def _rev_parse(here: str, dropped: tuple[str, ...], *options: str) -> str:
    output, _ = run_git(("rev-parse", *options), here, env=dict.fromkeys(dropped), check=True)
    return os.fsdecode(output.removesuffix(b"\n"))


def _worded(fault: GitFailed, here: str, dropped: tuple[str, ...]) -> Refusal:
    """A refusal that tells a bare repository, a git folder and a broken one apart."""
    if "must be run in a work tree" in fault.said:
        facts = _rev_parse(here, dropped, "--is-bare-repository")
        if facts == "true":
            return fault
        return Refusal("this is git's own folder, not the book's", remedy="go up to the folder that holds book.toml")
    broken = next((p for p in _upwards(here) if os.path.lexists(os.path.join(p, ".git"))), None)
    if "not a git repository" in fault.said and broken is not None:
        return Refusal(
            f"the git repository in {broken} is broken: {fault.said.splitlines()[0].removeprefix('fatal: ')}",
            remedy="put its .git folder back from a backup: inkledger init --from BACKUP makes the book again",
        )
    return fault


def _upwards(here: str) -> list[str]:
    place, places = os.path.abspath(here), []
    while True:
        places.append(place)
        above = os.path.dirname(place)
        if above == place:
            return places
        place = above


def _interrupted(repo: Repository) -> bool:
    try:
        return os.path.getsize(repo.in_git_dir("inkledger/journal")) > 0
    except OSError:
        return False
