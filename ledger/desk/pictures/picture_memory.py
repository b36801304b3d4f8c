"""What was found out about pictures before, kept in the git folder so that nothing is decoded twice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from ledger.desk.pictures.by_method import keep, place_of
from ledger.gitedge.repository import Repository

#: Rows kept of each kind, the newest ones.
_MOST = 5000
#: No more bytes are read of a file: so many rows take less than half of it.
_BYTES = 2_000_000
_KINDS = frozenset(("same", "touch-up", "redrawn", "layout"))

Kinds = Mapping[tuple[str, str], str]


def remembered(repo: Repository) -> dict[tuple[str, str], str]:
    """(object id then, object id now) -> what became of the picture; empty where nothing is kept or can be read.

    What became of it is kept with its panels (`redrawn:2,3`); `<` after the second id: panels from right to left.
    """
    return dict(_pairs(_kept(_place(repo))))


def _pairs(text: str) -> Iterator[tuple[tuple[str, str], str]]:
    for row in text.splitlines():
        words = row.split(" ")
        if len(words) == 3 and words[2].partition(":")[0] in _KINDS:
            yield (words[0], words[1]), words[2]


def remember(repo: Repository, kinds: Kinds) -> None:
    """Keeps the pairs for later. Where the git folder can't be written nothing is kept, and nothing is lost."""
    _keep(_place(repo), [f"{then} {now} {kind}\n" for (then, now), kind in kinds.items()])


def prints_remembered(repo: Repository) -> dict[str, str]:
    """Object id -> what the picture is known by; empty where nothing is kept or can be read."""
    rows = [row.split(" ") for row in _kept(_place(repo, "prints")).splitlines()]
    return {row[0]: row[1] for row in rows if len(row) == 2 and row[1]}


def remember_prints(repo: Repository, prints: Mapping[str, str]) -> None:
    """Keeps them for later, as `remember` does."""
    _keep(_place(repo, "prints"), [f"{oid} {shown}\n" for oid, shown in prints.items()])


def _kept(place: Path) -> str:
    """What a file holds, up to what may be kept; nothing where it can't be read, or leads elsewhere."""
    if place.parent.is_symlink() or place.is_symlink():
        return ""
    try:
        with place.open("rb") as file:
            return file.read(_BYTES).decode("ascii")
    except (OSError, UnicodeDecodeError):
        return ""


def _keep(place: Path, rows: list[str]) -> None:
    keep(place, "".join(rows[-_MOST:]).encode("ascii", "replace"))


def _place(repo: Repository, what: str = "pictures") -> Path:
    return place_of(repo, what)
