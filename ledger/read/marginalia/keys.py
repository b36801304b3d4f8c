"""What a mark is known by, so that a file that comes twice adds nothing."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from hashlib import sha256

from ledger.model.coming_in import NoteIn
from ledger.model.note import NotesRound, Reply
from ledger.read.marginalia.plain import one_row

#: A name that can stand in a mark's line as it is.
_NAME = re.compile(r"[^\s,\x00-\x1f\x7f-\x9f\ud800-\udfff]{1,100}\Z")


def keyed(notes: Sequence[NoteIn]) -> list[tuple[NoteIn, str]]:
    """Every note with its key, each key once.

    The key is the mark's own name (ISO 32000-1, 12.5.2, `NM`: unique on its page alone); where it has none, or another
    mark of the file has the same, a digest of place, kind, words, author and date. Marks alike in all are counted.
    """
    names = Counter(note.name for note in notes)
    taken: set[str] = set()
    found = []
    for note in notes:
        key = note.name if names[note.name] == 1 and _NAME.match(note.name) else digest(note)
        nth = 1
        while key in taken:
            nth += 1
            key = digest(note, nth)
        taken.add(key)
        found.append((note, key))
    return found


def digest(note: NoteIn, nth: int = 1) -> str:
    """The first 16 hex digits of the SHA-256 of what a mark without a name is known by.

    A note of a saved round has no date of its own: the round saved again another day says a new one.
    """
    date = "" if note.kind == "round" else note.date
    said = [
        note.name,
        note.where,
        note.kind,
        note.own or note.text,
        note.author,
        date,
        *([str(nth)] if nth > 1 else []),
    ]
    return sha256("\0".join(said).encode("utf-8", "surrogatepass")).hexdigest()[:16]


def mark_reply(note: NoteIn, key: str) -> Reply:
    """The reply line that carries a mark: `mark: 2026-02-12, Ida Kestrel, 4f1c...`; what is not known is left out."""
    author = one_row(note.author)
    return Reply("mark", ", ".join(filter(None, (note.date, author, key))), 0)


def known_keys(rounds: Iterable[NotesRound]) -> dict[str, tuple[NotesRound, int]]:
    """The key of every mark that came in before -> its round, and which note of it."""
    return {
        reply.text.rpartition(", ")[2]: (each, at)
        for each in rounds
        for at, note in enumerate(each.notes)
        for reply in note.replies
        if reply.state == "mark"
    }
