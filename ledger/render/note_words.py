"""Words for the states, the evidence and the standing of notes."""

from __future__ import annotations

from ledger.model.note import Followed, Note
from ledger.render.plain import one_line

STATE_WORDS = {
    "open": "open",
    "query": "query",
    "done": "done",
    "stet": "stet",
    "declined": "declined",
    "carried": "carried",
}

#: What became of a place, as the end of a sentence that begins with the place.
EVIDENCE_WORDS = {
    "untouched": "as it was",
    "reworded": "changed",
    "redrawn": "redrawn",
    "moved": "carried elsewhere, its words as they were",
    "cut": "cut",
    "unplaced": "not found in the round these notes are on",
}

STANDING_WORDS = {
    "done-but-untouched": "done, but what stands there never changed",
    "stet-but-changed": "stet, but the place changed",
    "open-but-changed": "open, but the place changed",
    "done-then-undone": "done, then put back as it was",
    "query-unanswered": "asked back, no answer yet",
    "two-on-one-spot": "two readers on one spot",
}


def place_words(followed: Followed) -> str:
    """The place then and now: `p12.3 → p14.3`; `(hm)` for one that can't be read, `the whole book` without one."""
    then, now = followed.place_then, followed.place_now
    if then is None:
        typed = followed.note.anchor.typed
        return f"({one_line(typed)})" if typed else "the whole book"
    return one_line(then) if now in (None, then) else f"{one_line(then)} → {one_line(now or '')}"


def became(followed: Followed) -> str:
    """What became of the place, in words; a renumbered one is told as such."""
    then, now = followed.place_then, followed.place_now
    if followed.evidence == "untouched" and then and now and then != now:
        return "the same under another number"
    if followed.evidence == "untouched" and then is None:
        return "no place to follow"
    return EVIDENCE_WORDS[followed.evidence]


def standing_words(followed: Followed) -> list[str]:
    """What asks for a person, in words; who else is on the spot is named."""
    said = []
    for word in followed.standing:
        others = f" (also {', '.join(map(one_line, followed.beside))})" if word == "two-on-one-spot" else ""
        said.append(STANDING_WORDS[word] + others)
    return said


def state_words(note: Note) -> str:
    """The state; a carried note says where to."""
    where = next((reply.where for reply in reversed(note.replies) if reply.state == "carried"), None)
    if note.state == "carried" and where:
        return f"carried to {one_line(where)}"
    return STATE_WORDS[note.state]
