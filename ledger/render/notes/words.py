"""Words for the states, the evidence and the standing of notes."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.model.note import MOST_CANDIDATES, Followed, Note
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
    "two-on-one-spot": "two rounds of notes on one spot",
}

#: So many candidates are written out.
_SHOWN = 5


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
    if followed.candidates:
        return "where it went can't be told" if followed.place_then else "it could be several places"
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
    return f"carried to {one_line(note.carried_to)}" if note.carried_to else STATE_WORDS[note.state]


def carried_words(to: str | None, there: Mapping[str, bool]) -> str:
    """`Carried to inks, which is there by now`: the head over notes that are put off to one pass or round."""
    if not to:
        return "Carried"
    return f"Carried to {one_line(to)}" + (", which is there by now" if there.get(to) else "")


def may_mean(followed: Followed) -> str:
    """`this stands in 3 places, so none was taken: p2.1 "No.", ...`: what an anchor that means several may mean;
    where nothing is left of a page to know it by, what it may be now."""
    told = [one_line(each) for each in followed.candidates]
    more = f", and {len(told) - _SHOWN} more" if len(told) > _SHOWN else ""
    if followed.place_then:
        return f"too little is left to know it by: it may be {' or '.join(told[:_SHOWN])}{more}, or it is gone"
    count = f"{len(told)} places" if len(told) < MOST_CANDIDATES else f"{MOST_CANDIDATES} places or more"
    return f"this stands in {count}, so none was taken: {', '.join(told[:_SHOWN])}{more}"


def stands_there(followed: Followed) -> list[tuple[str, str]]:
    """The words around a place: ("there", words), or ("then", words) and ("now", words) where they differ."""
    then, now = followed.words_then, followed.words_now
    if then == now:
        return [("there", then)] if then else []
    return [(when, said) for when, said in (("then", then), ("now", now)) if said]
