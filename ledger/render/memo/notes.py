"""What a memo says of readers' notes, of pages that rest on older content, and of alteration slips and reopenings."""

from __future__ import annotations

from collections.abc import Iterable

from ledger.model.entry import Alteration, Reopen
from ledger.model.note import Followed
from ledger.model.stale import Stale, for_one_reason
from ledger.render.letter import Block, Paragraph, items
from ledger.render.places import pages_ref
from ledger.render.rounds_text import alterations_counted
from ledger.render.told import in_a_row, sentence, strong, words

_ANSWERED = ("done", "stet", "declined")
_STATES = {"stet": "stands as it is", "declined": "not followed", "done": "done"}
#: What a note says that is not answered yet.
_WAITING = {"query": "asked back", "open": "open", "carried": "put off"}
_EVIDENCE = {
    "untouched": "its place is as it was",
    "reworded": "its place was reworded",
    "redrawn": "its place was redrawn",
    "moved": "its place was carried elsewhere",
    "cut": "its place was cut",
    "unplaced": "its place could not be found",
}
_STANDINGS = {
    "done-but-untouched": "marked done, but its place is as it was",
    "stet-but-changed": "was to stand, but its place changed",
    "open-but-changed": "still open, but its place changed",
    "done-then-undone": "was done, then the old words came back",
    "query-unanswered": "a question waits for an answer",
    "two-on-one-spot": "two rounds of notes mark this spot",
}


def notes(followed: Iterable[Followed]) -> list[Block]:
    """Notes that need a look, that are not answered yet, and that are answered, each with its place then and now and
    what became of it."""
    kept = list(followed)
    look: list[Followed] = []
    others: list[Followed] = []
    for one in kept:
        (look if _needs_a_look(one) else others).append(one)
    waiting = [f for f in others if f.note.state not in _ANSWERED]
    answered = [f for f in others if f.note.state in _ANSWERED]
    rows: list[Block] = []
    for title, group in (("Needs a look", look), ("Not yet", waiting), ("Answered", answered)):
        if group:
            rows += [Paragraph(f"{title} ({len(group)}):"), *items(map(_told, group))]
    return rows


def _needs_a_look(followed: Followed) -> bool:
    """Whether a person is asked for; a question that waits for its answer alone is only not answered yet."""
    return bool(followed.candidates) or any(word != "query-unanswered" for word in followed.standing)


def _told(followed: Followed) -> str:
    return (_answered if followed.note.state in _ANSWERED else _waiting)(followed)


def _answered(followed: Followed) -> str:
    last = next((r for r in reversed(followed.note.replies) if r.state == followed.note.state), None)
    why = f": {words(last.text)}" if last and last.text else ""
    where = f" in {words(last.where)}" if last and last.where else ""
    where += f" at {words(last.at.typed)}" if last and last.at else ""
    return f"{_note(followed)} — {_STATES[followed.note.state]}{where}{why}{_doubts(followed)}"


def _waiting(followed: Followed) -> str:
    last = next((r for r in reversed(followed.note.replies) if r.text and r.state != "mark"), None)
    said = f": {words(last.text)}" if last else ""
    state = _WAITING[followed.note.state]
    state += f" to {words(followed.note.carried_to)}" if followed.note.carried_to else ""
    evidence = "" if not followed.place_then or followed.standing else f"; {_EVIDENCE[followed.evidence]}"
    return f"{_note(followed)} — {state}{said}{evidence}{_doubts(followed)}"


def _note(followed: Followed) -> str:
    then, now = followed.place_then, followed.place_now
    place = words(then or followed.note.anchor.typed)
    if then and now and then != now:
        place += f", now {words(now)}"
    text = words(followed.note.text)
    return f"{words(followed.note.id)}" + (f" ({place})" if place else "") + f": {text}"


def _doubts(followed: Followed) -> str:
    doubts = [_STANDINGS.get(standing, standing) for standing in followed.standing]
    doubts += [f"it could be any of {len(followed.candidates)} places"] if followed.candidates else []
    told = in_a_row(doubts)
    return f" (to look at: {told})" if told else ""


def stale(found: Stale) -> list[Block]:
    """Which pages of which pass rest on what has changed since, and because of what; where only words did."""
    told = []
    for group in for_one_reason(found.pages):
        rest = "rests" if len(group) == 1 else "rest"
        pages = pages_ref(each.page for each in group)
        told.append(f"{strong(words(group[0].pass_name) + ':')} {pages} {rest} on {words(group[0].because)}.")
    return [*items([*told, *(sentence(words(said)) for said in found.reworded)])]


def alterations(agreed: Iterable[Alteration]) -> list[Block]:
    """How many slips and reopenings of each class, then each of them."""
    kept = list(agreed)
    return [Paragraph(f"{words(alterations_counted(kept))}."), *items(map(_alteration, kept))] if kept else []


def _alteration(agreed: Alteration) -> str:
    pages = f", p{agreed.pages}" if agreed.pages and agreed.pages[:1].isdigit() else ""
    opened = " opened pages again" if isinstance(agreed, Reopen) else ""
    asked = f" Asked for by {words(agreed.asked_by)}." if agreed.asked_by else ""
    return f"{words(agreed.name)}{opened} ({agreed.alteration_class}{pages}): {sentence(words(agreed.reason))}{asked}"
