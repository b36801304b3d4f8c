"""Making a book's repository: git itself, large files, and a name to write under."""

from __future__ import annotations

import getpass
import json
import os
import re
import shutil
from collections.abc import Iterable
from pathlib import Path

from ledger.gitedge import hooks
from ledger.gitedge.complaints import of_the_machine
from ledger.gitedge.repository import Repository, path_bytes
from ledger.gitedge.running import PLACE, run_git
from ledger.gitedge.standing import identity
from ledger.model.errors import Refusal

#: Where a repository is made before it is put in its place.
_ASIDE = ".inkledger-init"
#: The list of files that `init` lays out, in the git folder of a repository it made, until they are recorded.
_BEGUN = "inkledger/laying-out"


def make_repository(place: Path, object_format: str = "") -> Repository:
    """Makes a repository in a folder, whatever lies around it: whole, with the mark of one being laid out, or not.

    `object_format` is git's usual one where left out.
    Raises Refusal where it can't be made.
    """
    aside = place / _ASIDE
    try:
        clear_aside(place)
        aside.mkdir()
        _init(aside, object_format)
        mark = aside / ".git" / _BEGUN
        mark.parent.mkdir()
        mark.write_bytes(b"[]")
        if (place / ".git").exists():
            _init(place, "")
        else:
            (aside / ".git").rename(place / ".git")
    except OSError as fault:
        raise of_the_machine(fault) from None
    finally:
        clear_aside(place)
    return Repository.find(place, own=True)


def clear_aside(place: Path) -> None:
    """Takes away what an `init` that was killed left beside the repository's place."""
    shutil.rmtree(place / _ASIDE, ignore_errors=True)


def _init(place: Path, object_format: str) -> None:
    dropped = dict.fromkeys(PLACE)
    folder = os.fspath(place)
    chosen, code = run_git(("config", "--get", "init.defaultBranch"), folder, env=dropped, check=False)
    branch = () if code == 0 and chosen.strip() else ("--initial-branch=main",)
    form = (f"--object-format={object_format}",) if object_format else ()
    run_git(("init", "--quiet", *branch, *form, "."), folder, env=dropped, check=True)


def being_laid_out(repo: Repository) -> tuple[str, ...] | None:
    """The files that `init` was laying out in a repository of its making, None where it was not or is done."""
    try:
        return tuple(str(path) for path in json.loads((repo.git_dir / _BEGUN).read_bytes()))
    except (OSError, ValueError, TypeError):
        return None


def lays_out(repo: Repository, paths: Iterable[str]) -> None:
    """Remembers the files that are about to be laid out; none forgets them, for then it is done."""
    mark, listed = repo.git_dir / _BEGUN, list(paths)
    try:
        if listed:
            mark.with_suffix(".new").write_text(json.dumps(listed))
            mark.with_suffix(".new").replace(mark)
        else:
            mark.unlink(missing_ok=True)
    except OSError as fault:
        raise of_the_machine(fault) from None


def is_ignored(repo: Repository, place: Path) -> bool:
    """Whether the repository is told to ignore a folder inside it, so that another book may lie there."""
    inside = os.path.relpath(os.path.realpath(place), repo.top_text)
    listed = repo.run("ls-files", "-o", "-i", "--directory", "--exclude-standard", "-z", "--", path_bytes(inside))
    return bool(listed)


def login_name() -> str:
    """What the machine calls the person at it: the full name where it knows one, else the login name."""
    try:
        login = getpass.getuser()
    except (KeyError, OSError):
        return "author"
    try:
        import pwd

        known = pwd.getpwnam(login).pw_gecos.partition(",")[0].strip()
    except (ImportError, KeyError):
        known = ""
    return known or login


def give_identity(repo: Repository, name: str, address: str | None = None) -> bool:
    """Gives this book alone a name and an address to write under, where git knows none; whether that was so.

    The address, if left out, is one that leads nowhere, made from the name. Raises Refusal for an empty name.
    """
    if identity(repo) is not None:
        return False
    plain = " ".join(re.sub(r"[<>\x00-\x1f\x7f]", " ", name).split())
    if not plain.strip(".,:;<>\"\\'"):
        raise Refusal("a name is needed to write under", remedy='git config user.name "Your Name"')
    word = re.sub(r"[^a-z0-9]+", ".", plain.lower().encode("ascii", "ignore").decode()).strip(".") or "author"
    for key, value in (("user.name", plain), ("user.email", address or f"{word}@localhost")):
        # What git knows in part it keeps.
        if not repo.ask("config", "--get", key)[0].strip():
            repo.run("config", "--local", key, value)
    return True


def lay_out_files(repo: Repository) -> None:
    """Puts the files of the newest commit into the empty folder of a repository, large files with them."""
    repo.run("read-tree", "-u", "--reset", "HEAD")


def lfs_is_here() -> bool:
    """Whether git-lfs is installed on this machine."""
    return shutil.which("git-lfs") is not None


def use_lfs(repo: Repository) -> None:
    """Sets git-lfs up for this book alone: its filters, and its hooks, without which a push sends no large files.

    Our own hooks, where they are in, stand before those of git-lfs afterwards as before. Raises Refusal.
    """
    if not lfs_is_here():
        raise Refusal("git-lfs is not installed here", remedy="install git-lfs, or do without --lfs")
    was_in = hooks.installed(repo)
    if was_in:
        hooks.remove(repo)
    try:
        repo.ask("lfs", "install", "--local", check=True, hooks=True)
    finally:
        if was_in:
            hooks.install(repo)
