"""The notes on a terminal: those that ask for a person first, then the others, reader by reader."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from ledger.model.finding import Finding
from ledger.model.note import STATES, Followed, Reply
from ledger.render.findings_text import findings_text
from ledger.render.note_words import became, place_words, standing_words, state_words
from ledger.render.plain import one_line, plural, wrapped


def notes_text(followed: Sequence[Followed], findings: Iterable[Finding]) -> str:
    """Every note: id, state, place then and now, what became of it, what asks for a person, its words."""
    asking = [each for each in followed if each.standing]
    others = [each for each in followed if not each.standing]
    parts = [_totals(followed)]
    if asking:
        parts.append(_group(f"{plural(len(asking), 'note')} to look at", asking))
    for name in dict.fromkeys(each.note.round for each in others):
        mine = [each for each in others if each.note.round == name]
        parts.append(_group(one_line(name), mine))
    found = findings_text(findings)
    return "\n\n".join([*parts, found] if found else parts)


def _totals(followed: Sequence[Followed]) -> str:
    if not followed:
        return wrapped('No notes yet. To begin a round: inkledger notes add marsh-1 "..." --at p12.3', hang="")
    counts = Counter(each.note.state for each in followed)
    told = ", ".join(f"{counts[state]} {state}" for state in STATES if counts[state])
    return wrapped(f"{plural(len(followed), 'note')}: {told}.", hang="")


def _group(title: str, followed: Sequence[Followed]) -> str:
    return "\n".join([title, *(_note(each) for each in followed)])


def _note(followed: Followed) -> str:
    """One note: a head line, its standing, its words."""
    note = followed.note
    head = f"{one_line(note.id)}, {state_words(note)}, {place_words(followed)}"
    if followed.place_then or note.anchor.typed:
        head += f": {became(followed)}"
    rows = [wrapped(head, indent="  ", hang="  ")]
    rows += [wrapped(f"look: {words}", indent="    ") for words in standing_words(followed)]
    rows.append(wrapped(one_line(note.text) or "(no words)", indent="    ", hang=""))
    said = [reply for reply in note.replies if reply.state != "mark"]
    if said:
        rows.append(wrapped(f"- {_reply(said[-1])}", indent="    "))
    return "\n".join(rows)


def _reply(reply: Reply) -> str:
    """The last reply as it is typed."""
    where = f" {'to' if reply.state == 'carried' else 'in'} {reply.where}" if reply.where else ""
    at = f" at {reply.at.typed}" if reply.at else ""
    head = reply.state + where + at
    return one_line(f"{head}: {reply.text}" if head and reply.text else head or reply.text)
