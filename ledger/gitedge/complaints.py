"""What git complains of, in plain words with the way out."""

from __future__ import annotations

import os
import re
import signal

from ledger.model.errors import Refusal

_LOCKED = re.compile(r"Unable to create '([^'\n]*)': File exists")
_CONFIG_LOCKED = re.compile(r"could not lock config file ([^\n]*): File exists")
_UNTRUSTED = re.compile(r"(?:detected dubious ownership in|unsafe) repository (?:at )?\(?'([^']*)'")
_TAG_THERE = re.compile(r"cannot lock ref 'refs/tags/([^']*)'[^\n]*reference already exists")
_BRANCH_MOVED = re.compile(
    r"cannot lock ref 'refs/heads/([^']*)': (?:is at|reference already exists|unable to resolve)"
)

_LOST = re.compile(
    r"unable to read [0-9a-f]{40}|missing (?:blob|tree|commit|tag) [0-9a-f]{40}|possible repository corruption"
)
_NAME_TAKEN = re.compile(r"'([^']*)' exists; cannot create '([^']*)'")


class GitFailed(Refusal):
    """A refusal that came from git itself; `said` holds git's own words."""

    def __init__(self, message: str, said: str, *, path: str | None = None, remedy: str | None = None) -> None:
        super().__init__(message, path=path, remedy=remedy)
        self.said = said


def not_found(folder: str) -> Refusal:
    """Why a program could not be started: git is missing, or the folder is."""
    if not os.path.isdir(folder):
        return Refusal(f"{folder}: no such folder", remedy="name a folder of the book with -C")
    return Refusal("git is not here", remedy="install git 2.34 or later, and see that it is on the PATH")


def as_refusal(complaint: bytes, code: int, folder: str) -> GitFailed:
    """Git's complaint (its standard error) as a refusal in plain words."""
    said = complaint.decode("utf-8", "surrogateescape").strip()
    if code == -signal.SIGXFSZ:
        said += "\nFile too large"
    message, path, remedy = _plain(said, folder)
    return GitFailed(message or f"git could not do this: {_gist(said) or f'it ended with {code}'}", said,
                     path=path, remedy=remedy)  # fmt: skip


def _gist(said: str) -> str:
    """The line of git's words that says most: the first fatal one, else the first error, else the last."""
    lines = [line.strip() for line in said.splitlines() if line.strip() and not line.startswith("hint:")]
    for start in ("fatal: ", "error: "):
        for line in lines:
            if line.startswith(start):
                return line.removeprefix(start)
    return lines[-1] if lines else ""


def of_the_machine(fault: OSError) -> Refusal:
    """What the operating system would not do, in plain words."""
    place = fault.filename if isinstance(fault.filename, (str, bytes)) else ""
    name = place.decode("utf-8", "surrogateescape") if isinstance(place, bytes) else place
    said = fault.strerror or "no reason given"
    known, _, remedy = _of_the_disk(f"{name}: {said}" if name else said)
    plain = f"this can't be written: {name}: {said}" if name else f"this can't be done: {said}"
    usual = "see that the disk is sound and that the folder is yours, then try again"
    return Refusal(known or plain, remedy=remedy or usual)


def nameless() -> Refusal:
    """Git has no name to write under."""
    return Refusal(
        "git does not know your name yet, so it can't say who recorded this",
        remedy='git config user.name "Your Name"; git config user.email you@your.address',
    )


def locked(path: str) -> Refusal:
    """Somebody holds a lock of git's."""
    return Refusal(
        f"another git is at work here: {path}",
        remedy="wait until it is done and try again; if no git is running, delete that file",
    )


def _plain(said: str, folder: str) -> tuple[str | None, str | None, str | None]:
    """Message, path and remedy for what is known to happen; no message for the rest."""
    in_the_way = _lock_in_the_way(said)
    if in_the_way:
        refusal = locked(_shortened(in_the_way, folder))
        return refusal.message, None, refusal.remedy
    if found := _UNTRUSTED.search(said):
        place = found.group(1)
        return ("git does not trust this folder, because it belongs to somebody else", place,
                f'if you trust it: git config --global --add safe.directory "{place}"')  # fmt: skip
    if found := _TAG_THERE.search(said):
        return (f"the tag {found.group(1)} is there already", None,
                "see what it names: inkledger rounds; doctor tells what does not fit")  # fmt: skip
    if found := _BRANCH_MOVED.search(said):
        return (f"the branch {found.group(1)} was moved by another git at the same time; nothing was recorded", None,
                "try again")  # fmt: skip
    if found := _NAME_TAKEN.search(said):
        return (f"git can't keep {found.group(2)} beside {found.group(1)}: one name is the beginning of the other",
                None, f"rename the other one: git tag {found.group(1).removeprefix('refs/tags/')}-old ...")  # fmt: skip
    if any(words in said for words in ("Please tell me who you are", "empty ident name", "auto-detection is disabled")):
        refusal = nameless()
        return refusal.message, None, refusal.remedy
    if _LOST.search(said):
        return ("git has lost something that was recorded here, so it could not do this", None,
                "see what is missing: inkledger doctor; then bring it back from a copy or another clone")  # fmt: skip
    # Nothing here talks to a remote: what hangs up is the filter, killed before it could say what it misses.
    if "the remote end hung up unexpectedly" in said or (
        "git-lfs" in said and ("not found" in said or "filter 'lfs' failed" in said)
    ):
        return ("this book keeps its art in git-lfs, and git-lfs could not be run here", None,
                "install git-lfs, then: git lfs install")  # fmt: skip
    if "paths are ignored by one of your .gitignore files" in said:
        return "git is told to ignore a file that is to be recorded", None, "take it out of .gitignore"
    return _of_the_disk(said)


def _lock_in_the_way(said: str) -> str | None:
    """The lock file that git names, or means, as being there already."""
    if found := _CONFIG_LOCKED.search(said):
        return f"{found.group(1)}.lock"
    found = _LOCKED.search(said)
    return found.group(1) if found else None


def _of_the_disk(said: str) -> tuple[str | None, str | None, str | None]:
    if "No space left on device" in said or "Disk quota exceeded" in said:
        return "the disk is full; nothing was recorded", None, "make room and try again"
    if "Read-only file system" in said or "Permission denied" in said or "insufficient permission" in said:
        return (f"this folder can't be written or read: {_gist(said)}", None,
                "see that the disk is not read-only and that the folder is yours")  # fmt: skip
    if "File too large" in said or "file size limit" in said:
        return "the disk takes no file of this size; nothing was recorded", None, "keep the book on another disk"
    if "not a git repository" in said:
        return ("this is no book's folder: there is no git repository here", None,
                "go to the book's folder, or lay one out here: inkledger init")  # fmt: skip
    if "must be run in a work tree" in said:
        return ("this is a bare repository: it holds the history, but no files to work on", None,
                "work in a clone of it: git clone")  # fmt: skip
    return None, None, None


def _shortened(path: str, folder: str) -> str:
    """A path inside the folder from there on: `.git/index.lock`."""
    inside = folder.rstrip("/") + "/"
    return path.removeprefix(inside) if path.startswith(inside) else path
