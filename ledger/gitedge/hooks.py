"""Putting the hooks where git runs them from, beside whatever was there, and taking them out again."""

from __future__ import annotations

import contextlib
import os
import sys
from typing import TYPE_CHECKING

import ledger
from ledger.gitedge.complaints import of_the_machine
from ledger.gitedge.repository import path_text
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

#: The hooks of git that can still stop what they judge.
NAMES = ("pre-commit", "pre-merge-commit", "pre-applypatch", "pre-push")
#: The hook of a bare repository, which judges what is pushed to it before anything of it is taken in.
SERVER_NAMES = ("pre-receive",)
_KEPT = ".before-inkledger"
_MARK = b"# inkledger hook "
_FOLDER_MADE = b"# This folder was made for it.\n"


def install(repo: Repository, *, python: str | None = None, names: tuple[str, ...] = NAMES) -> tuple[str, ...]:
    """Puts the hooks in; a hook that is there already is kept beside ours and runs first.

    `names` are the hooks (`SERVER_NAMES` in a bare repository), `python` is the interpreter they run, this one if left
    out. Gives the paths that changed, none where all is as it should be. Raises Refusal where git would not run hooks
    from there.
    """
    folder = _folder(repo)
    scripts = _scripts(python or sys.executable, names)
    try:
        made = not os.path.isdir(folder)
        os.makedirs(folder, exist_ok=True)
        for name in names:
            _refuse_two_before(folder, name)
        changed = [name for name in names if _put_in(os.path.join(folder, name), scripts[name], made)]
    except OSError as fault:
        raise of_the_machine(fault) from None
    return tuple(_shown(repo, folder, name) for name in changed)


def remove(repo: Repository, *, names: tuple[str, ...] = NAMES) -> tuple[str, ...]:
    """Takes the hooks out and puts back what was there before; gives the paths that changed. Raises Refusal."""
    folder = _folder(repo)
    try:
        for name in names:
            _refuse_two_before(folder, name)
        made = any(_FOLDER_MADE in (_ours(os.path.join(folder, name)) or b"") for name in names)
        changed = [name for name in names if _take_out(os.path.join(folder, name))]
        if made and not os.listdir(folder):
            os.rmdir(folder)
    except OSError as fault:
        raise of_the_machine(fault) from None
    return tuple(_shown(repo, folder, name) for name in changed)


def installed(repo: Repository, *, names: tuple[str, ...] = NAMES) -> bool:
    """Whether every hook is in, where git runs it from."""
    folder = _folder(repo)
    return all(_ours(os.path.join(folder, name)) is not None for name in names)


def _folder(repo: Repository) -> str:
    """The folder git runs this repository's hooks from. Raises Refusal where hooks of ours have no place there."""
    said, code = repo.ask("config", "-z", "--show-scope", "--get", "core.hooksPath", hooks=True)
    if code == 0:
        scope, value = (part.decode("utf-8", "surrogateescape") for part in said.split(b"\0")[:2])
        if scope not in ("local", "worktree"):
            raise Refusal(
                f"git takes the hooks of all your repositories from {value}; hooks for this book alone have no place",
                remedy=f"let this book have its own: git config core.hooksPath {_own_folder(repo)}",
            )
    found, _ = repo.ask("rev-parse", "--git-path", "hooks", hooks=True, check=True)
    folder = os.path.join(repo.top_text, os.fsdecode(found.removesuffix(b"\n")))
    if os.path.lexists(folder) and not os.path.isdir(folder):
        raise Refusal(
            f"git is told to run no hooks here (core.hooksPath is {folder})",
            remedy="let it run them: git config --unset core.hooksPath",
        )
    return folder


def _own_folder(repo: Repository) -> str:
    """The hook folder that every repository has, as git's configuration names it."""
    return "hooks" if os.path.samefile(repo.top_text, repo.git_dir_text) else ".git/hooks"


def _scripts(python: str, names: tuple[str, ...]) -> dict[str, bytes]:
    """The scripts, with the interpreter they run and the folder in which inkledger itself lies."""
    package = os.path.dirname(os.path.abspath(ledger.__file__))
    home = os.path.dirname(package)
    shipped = os.path.join(package, "_hooks")
    source = shipped if os.path.isdir(shipped) else os.path.join(home, "hooks")
    found = {}
    for name in names:
        with open(os.path.join(source, name), "rb") as file:
            text = file.read()
        found[name] = text.replace(b"@PYTHON@", _quoted(python)).replace(b"@HOME@", _quoted(home))
    return found


def _quoted(path: str) -> bytes:
    """A path as one word of a shell."""
    return b"'" + os.fsencode(path).replace(b"'", b"'\\''") + b"'"


def _ours(place: str) -> bytes | None:
    """The script that lies there, if it is ours and no link to it."""
    if os.path.islink(place):
        return None
    try:
        with open(place, "rb") as file:
            text = file.read()
    except OSError:
        return None
    return text if _MARK in text[:200] else None


def _refuse_two_before(folder: str, name: str) -> None:
    """Raises Refusal where somebody put a hook over ours: whose is to run is not for us to say."""
    place = os.path.join(folder, name)
    if os.path.lexists(place + _KEPT) and os.path.lexists(place) and _ours(place) is None:
        if _same(place, place + _KEPT):
            # A command was killed when the hook had its second name already, and ours was not there yet.
            return
        raise Refusal(
            f"another program has put its own {name} over inkledger's; the hook from before is kept as {name}{_KEPT}",
            path=place, remedy=f"bring the two together as {name}, delete {name}{_KEPT}, then run this again",
        )  # fmt: skip


def _same(one: str, other: str) -> bool:
    """Whether two names stand for one file, a link itself and not what it leads to."""
    return os.path.samestat(os.lstat(one), os.lstat(other))


def _put_in(place: str, script: bytes, folder_made: bool) -> bool:
    there = _ours(place)
    if folder_made or _FOLDER_MADE in (there or b""):
        head, _, rest = script.partition(_MARK)
        line, _, rest = rest.partition(b"\n")
        script = head + _MARK + line + b"\n" + _FOLDER_MADE + rest
    if there == script and os.access(place, os.X_OK):
        return False
    fresh = place + ".inkledger-new"
    with contextlib.suppress(FileNotFoundError):
        os.unlink(fresh)
    with open(fresh, "xb") as file:
        file.write(script)
    os.chmod(fresh, 0o755)
    if there is None and os.path.lexists(place) and not os.path.lexists(place + _KEPT):
        _keep(place)
    os.replace(fresh, place)
    return True


def _keep(place: str) -> None:
    """Gives the hook that is there its second name; it keeps the first until ours takes it."""
    try:
        os.link(place, place + _KEPT, follow_symlinks=False)
    except (OSError, NotImplementedError):
        os.rename(place, place + _KEPT)


def _take_out(place: str) -> bool:
    if os.path.lexists(place + _KEPT):
        if os.path.lexists(place) and _same(place, place + _KEPT):
            # Renamed onto itself a file keeps both its names.
            os.unlink(place + _KEPT)
        else:
            os.replace(place + _KEPT, place)
        return True
    if _ours(place) is None:
        return False
    os.unlink(place)
    return True


def _shown(repo: Repository, folder: str, name: str) -> str:
    place = os.path.join(folder, name)
    inside = os.path.relpath(place, repo.top_text)
    return path_text(os.fsencode(place if inside.startswith("..") else inside))
