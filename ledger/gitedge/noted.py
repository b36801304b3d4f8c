"""What inkledger notes for itself in the book's git folder: its newest copy, what was said once."""

from __future__ import annotations

import contextlib
import os
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository

_COPY = "inkledger/backup"
_SAID = "inkledger/said-"


def note_copy(repo: Repository, place: str) -> None:
    """Notes when and where the newest copy was made. Raises OSError."""
    _write(repo.in_common_dir(_COPY), f"{int(time.time())}\n{place}\n")


def newest_copy(repo: Repository) -> tuple[int, str] | None:
    """When the newest copy was made (seconds) and where it lies; None where none is known of."""
    with contextlib.suppress(OSError, ValueError):
        with open(repo.in_common_dir(_COPY), encoding="utf-8", errors="surrogateescape") as file:
            seconds, place = file.readline(), file.readline().removesuffix("\n")
        return int(seconds), place
    return None


def said_before(repo: Repository, what: str) -> bool:
    """Whether something that is said once was said."""
    return os.path.exists(repo.in_common_dir(_SAID + what))


def note_said(repo: Repository, what: str) -> None:
    """Notes that it was said; where nothing can be written it will be said again."""
    with contextlib.suppress(OSError):
        _write(repo.in_common_dir(_SAID + what), "")


def _write(place: str, text: str) -> None:
    os.makedirs(os.path.dirname(place), exist_ok=True)
    with open(f"{place}.new", "w", encoding="utf-8", errors="surrogateescape") as file:
        file.write(text)
    os.replace(f"{place}.new", place)
