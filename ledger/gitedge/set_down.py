"""A folder of files outside the book, there whole or not at all: made beside its place, then given its name.

Names are looked at before anything is written. A stranger's tree may hold some that lead out of the folder (CWE-22),
that git would take for its own, or that two kinds of disk take for one (CWE-178).
"""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from ledger.gitedge.complaints import of_the_machine
from ledger.gitedge.going_out import FRESH, clear, drop_empty, missing_above
from ledger.gitedge.repository import path_bytes
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

#: Signs that one kind of disk leaves out of a name: `.g<zero width>it` is `.git` there (Unicode category Cf).
_UNSEEN = "Cf"


def set_down(place: str, files: Mapping[str, Callable[[], bytes]]) -> None:
    """Makes the folder `place` with these files in it; each is asked for its bytes when it is written.

    Raises Refusal, with nothing left behind, where the folder holds anything, a name is unfit, or the disk is full;
    whatever the asking raises goes on.
    """
    refuse_unfit_names(files)
    place = os.path.realpath(place)
    refuse_filled(place)
    work, made = place + FRESH, missing_above(place)
    try:
        clear(work)
        os.makedirs(os.path.dirname(place), exist_ok=True)
        os.mkdir(work)
        for path, content in files.items():
            _write(os.path.join(os.fsencode(work), path_bytes(path)), content())
        os.rename(work, place)
        made = []
    except OSError as fault:
        raise of_the_machine(fault) from None
    finally:
        clear(work)
        for folder in made:
            drop_empty(folder)


def refuse_filled(place: str) -> None:
    """Raises Refusal for anything but a new name or an empty folder, and for a whole disk, which can't be renamed."""
    if not os.path.lexists(place):
        return
    if not os.path.isdir(place):
        raise Refusal("there is a file of this name already", path=place, remedy="name a new folder")
    try:
        filled = bool(os.listdir(place))
    except OSError as fault:
        raise of_the_machine(fault) from None
    if filled:
        raise Refusal("there is something in this folder already", path=place, remedy="name a new or an empty folder")
    if os.path.ismount(place):
        raise Refusal("this is a whole disk, not a folder of its own", path=place,
                      remedy=f"name a folder on it: --to {os.path.join(place, 'pages')}")  # fmt: skip


def refuse_inside(repo: Repository, place: str) -> None:
    """Raises Refusal for a folder that lies in the book or in git's own, by whatever name it is called."""
    own = [each for each in (repo.top_text, repo.git_dir_text, repo.in_common_dir("")) if os.path.isdir(each)]
    real = os.path.realpath(place)
    while not any(os.path.isdir(real) and os.path.samefile(real, each) for each in own):
        above = os.path.dirname(real)
        if above == real:
            return
        real = above
    raise Refusal("this lies inside the book itself", path=place, remedy="name a folder beside the book")


def refuse_unfit_names(paths: Iterable[str]) -> None:
    """Raises Refusal for paths that lead out of a folder, name git's own, or would be one file on some disks."""
    seen: dict[str, str] = {}
    for path in paths:
        if not path or path.startswith("/") or "\0" in path or any(map(_unfit, path.split("/"))):
            raise Refusal("a name like this is not written anywhere: it leads out of its folder, or into git's own",
                          path=path, remedy="leave it out with --pages, and ask whoever made this book")  # fmt: skip
        bare = _folded(path)
        if bare in seen:
            raise Refusal(f"this and {seen[bare]} are one file on some disks, so neither is written", path=path,
                          remedy="leave one of them out with --pages")  # fmt: skip
        seen[bare] = path
    for bare, path in seen.items():
        above = next((seen[a] for a in _above(bare) if a in seen), None)
        if above is not None:
            raise Refusal(f"this lies in {above}, which is a file", path=path, remedy="leave one out with --pages")


def _unfit(part: str) -> bool:
    bare = "".join(sign for sign in part if unicodedata.category(sign) != _UNSEEN).lower().rstrip(". ")
    return bare in ("", ".git", "git~1") or "\\" in part or bare.startswith(".git:")


def _folded(path: str) -> str:
    """The name as disks see it that know no capitals and no two ways to write an accent."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", path).casefold())


def _above(path: str) -> list[str]:
    parts = path.split("/")
    return ["/".join(parts[:n]) for n in range(1, len(parts))]


def _write(place: bytes, data: bytes) -> None:
    os.makedirs(os.path.dirname(place), exist_ok=True)
    with open(place, "xb") as file:
        file.write(data)
