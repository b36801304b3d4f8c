"""Notes as they come in from outside: by mail, in a word processor's margin, on a PDF, in a saved round."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from ledger.model.note import Reply


class NoteIn(NamedTuple):
    """One note or mark as it came.

    `place` is in the notes' own spelling, "" for the whole book; `date` is `2026-02-12` or ""; `kind` says what it was
    (`mail`, `comment`, `highlight` ...), `name` is the name that the mark carries itself, `where` tells marks of one
    kind and wording apart in the file that they came in. `own` is the mark's own words where `text` says more.
    """

    text: str
    place: str = ""
    author: str = ""
    date: str = ""
    kind: str = ""
    name: str = ""
    where: str = ""
    replies: tuple[Reply, ...] = ()
    ticked: bool = False
    own: str = ""


class Left(NamedTuple):
    """What of a file was not taken in: how often, and its name where it has one. `kind` is worded by `render`."""

    kind: str
    times: int = 1
    name: str = ""


@dataclass(frozen=True)
class NotesIn:
    """A file as it was read. `on` is the entry that it says it was made on, `read` the pages that its reader saw."""

    source: str
    notes: tuple[NoteIn, ...] = ()
    left: tuple[Left, ...] = ()
    on: str = ""
    read: str = ""


@dataclass(frozen=True)
class ArrivingRound:
    """The notes of one reader as they will stand in a round: `numbers` go with `notes`.

    `known` counts those that are in the book already, `answered` new replies to these; `reworded` are the ids of these
    whose words came otherwise, `unplaced` those of new ones whose place is not there in the round they are on. `data`
    is what the file will hold, `was` what it holds now, None where it is not there.
    """

    name: str
    path: str
    reader: str
    on: str | None
    notes: tuple[NoteIn, ...] = ()
    numbers: tuple[int, ...] = ()
    begun: bool = False
    known: int = 0
    answered: int = 0
    reworded: tuple[str, ...] = ()
    unplaced: tuple[str, ...] = ()
    data: bytes = b""
    was: bytes | None = None


@dataclass(frozen=True)
class Arrival:
    """All that a file brings, before anything is written."""

    source: str
    rounds: tuple[ArrivingRound, ...] = ()
    left: tuple[Left, ...] = ()

    @property
    def fresh(self) -> int:
        """How many notes and replies are new."""
        return sum(len(each.notes) + each.answered for each in self.rounds)
