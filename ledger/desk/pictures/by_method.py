"""Files in the git folder of what one method of looking at pictures found out; those of older methods go."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.pictures import METHOD

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository


def place_of(repo: Repository, what: str) -> Path:
    """Where it is kept under a word, by the method of today."""
    return Path(repo.in_common_dir("inkledger")) / f"{what}-{METHOD}"


def keep(place: Path, data: bytes) -> None:
    """Writes it whole or not at all; where the git folder can't be written nothing is kept, and nothing is lost."""
    if place.parent.is_symlink():
        # A stranger's repository may lead elsewhere; what lies there is not ours.
        return
    beside = place.with_name(f"{place.name}.{os.getpid()}")
    try:
        place.parent.mkdir(exist_ok=True)
        beside.write_bytes(data)
        beside.replace(place)
        _drop_older(place)
    except OSError:
        with suppress(OSError):
            beside.unlink(missing_ok=True)


def _drop_older(place: Path) -> None:
    """Removes what older methods kept under the word. A newer one's stays: another version of the program made it."""
    what = place.name.rpartition("-")[0]
    for other in place.parent.iterdir():
        word, _, number = other.name.rpartition("-")
        if word == what and number.isascii() and number.isdecimal() and len(number) < 6 and int(number) < METHOD:
            with suppress(OSError):
                other.unlink()
