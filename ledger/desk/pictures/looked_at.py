"""What comparing pictures found out, kept in the git folder by object id, so that a second look costs next to nothing.

Losing it costs time and nothing else. Every row carries a sum of its own: a damaged one is not believed.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.desk.pictures.by_method import keep, place_of

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

#: Bytes kept if nothing else is said; beyond it what was not asked for longest is dropped.
MOST = 4_000_000
#: No row is longer: thirty panels take three thousand signs.
_LONGEST = 8000


class LookedAt(dict[str, str]):
    """Name -> what was found out, what was asked for last at the end; `fresh` is whether anything new came in."""

    fresh = False

    def get(self, name: str, default: str | None = None) -> str | None:  # type: ignore[override]
        """What was found out; asking for it keeps it longer."""
        if name not in self:
            return default
        text = super().pop(name)
        super().__setitem__(name, text)
        return text

    def __setitem__(self, name: str, text: str) -> None:
        """Adds what was found out now."""
        super().pop(name, None)
        super().__setitem__(name, text)
        self.fresh = True


@contextmanager
def looked_at(repo: Repository | None, what: str = "looked-at", most: int | None = None) -> Iterator[LookedAt]:
    """What is kept under a word, with what is added meanwhile; `most` bytes of it. Without a repository nothing is."""
    if repo is None:
        yield LookedAt()
        return
    place = place_of(repo, what)
    found = LookedAt(_rows(place, most or MOST))
    yield found
    if found.fresh:
        _keep(place, found, most or MOST)


def _rows(place: Path, most: int) -> Iterator[tuple[str, str]]:
    if place.parent.is_symlink() or place.is_symlink():
        # A stranger's repository may lead elsewhere; what lies there is not ours.
        return
    try:
        with place.open("rb") as file:
            data = file.read(most + 1)
    except OSError:
        return
    for row in data.splitlines():
        name, _, rest = row.partition(b" ")
        total, _, text = rest.partition(b" ")
        if total == _sum(name + text) and len(row) <= _LONGEST:
            yield name.decode("ascii"), text.decode("ascii")


def _sum(data: bytes) -> bytes:
    return b"%08x" % zlib.crc32(data)


def _keep(place: Path, found: LookedAt, most: int) -> None:
    """Writes the rows, the newest last; where the git folder can't be written nothing is kept."""
    rows, total = [], 0
    for name, text in reversed(found.items()):
        head, body = name.encode("ascii", "replace"), text.encode("ascii", "replace")
        row = b"%s %s %s\n" % (head, _sum(head + body), body)
        total += len(row)
        if total > most:
            break
        rows.append(row)
    keep(place, b"".join(reversed(rows)))
