"""What became of pictures that were looked at before, kept in the git folder so that nothing is decoded twice."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from ledger.gitedge.repository import Repository
from ledger.pictures import METHOD

#: Pairs kept, the newest ones.
_MOST = 5000
_KINDS = frozenset(("same", "touch-up", "redrawn", "layout"))

Kinds = Mapping[tuple[str, str], str]


def remembered(repo: Repository) -> dict[tuple[str, str], str]:
    """(object id then, object id now) -> what became of the picture; empty where nothing is kept or can be read."""
    try:
        return dict(_pairs(_place(repo).read_text("ascii")))
    except (OSError, UnicodeDecodeError):
        return {}


def _pairs(text: str) -> Iterator[tuple[tuple[str, str], str]]:
    for row in text.splitlines():
        words = row.split(" ")
        if len(words) == 3 and words[2] in _KINDS:
            yield (words[0], words[1]), words[2]


def remember(repo: Repository, kinds: Kinds) -> None:
    """Keeps the pairs for later. Where the git folder can't be written nothing is kept, and nothing is lost."""
    place = _place(repo)
    rows = [f"{then} {now} {kind}\n" for (then, now), kind in kinds.items()]
    beside = place.with_name(f"{place.name}.{os.getpid()}")
    try:
        place.parent.mkdir(exist_ok=True)
        beside.write_text("".join(rows[-_MOST:]), "ascii")
        beside.replace(place)
    except OSError:
        return


def _place(repo: Repository) -> Path:
    return Path(repo.in_common_dir("inkledger")) / f"pictures-{METHOD}"
