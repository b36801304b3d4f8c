"""Files of the working tree renamed as part of a recording: every new name is made ready before an old one goes."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ledger.gitedge.journal import Journal, Move
from ledger.gitedge.placing import folders_above, refuse_in_the_way
from ledger.gitedge.settling import digest_on_disk
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from ledger.gitedge.repository import Repository


def renames(journal: Journal, renamed: Mapping[str, str], first: int) -> tuple[Move, ...]:
    """The moves that give files new names (new path -> old path); chains and rings of names are as good as any.

    Each file gets a second name beside its new place, so that nothing is copied and nothing is lost whichever move is
    the last one carried out. `first` is the first free number of such names.
    """
    repo = journal.repo
    put = tuple(_ready(journal, number, new, old) for number, (new, old) in enumerate(renamed.items(), first))
    leaving = [old for old in renamed.values() if old not in renamed]
    return (*put, *(Move(old, None, digest_on_disk(repo.in_top(old))) for old in leaving))


def _ready(journal: Journal, number: int, new: str, old: str) -> Move:
    repo = journal.repo
    refuse_in_the_way(repo, new)
    refuse_in_the_way(repo, old)
    before = digest_on_disk(repo.in_top(new))
    for above in folders_above(new):
        folder = repo.in_top(above)
        if not os.path.isdir(folder):
            journal.note_stray(folder)
            os.mkdir(folder)
    name = f".inkledger-{number}"
    fresh = repo.in_top(os.path.join(os.path.dirname(new), name))
    journal.note_stray(fresh)
    _second_name(repo, old, fresh)
    return Move(new, name, before)


def _second_name(repo: Repository, old: str, fresh: bytes) -> None:
    source = repo.in_top(old)
    if not os.path.lexists(source):
        raise Refusal("this file was there a moment ago and is gone", path=old, remedy="try again")
    try:
        os.link(source, fresh)
    except OSError:
        # A disk without second names.
        shutil.copy2(source, fresh)
