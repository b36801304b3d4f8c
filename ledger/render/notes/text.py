"""The notes on a terminal: those that ask for a person first, then what is open, carried, and done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from ledger.model.finding import Finding
from ledger.model.note import STATES, Followed, Reply
from ledger.render.findings_text import findings_text
from ledger.render.notes.words import (
    became,
    carried_words,
    may_mean,
    place_words,
    standing_words,
    stands_there,
    state_words,
)
from ledger.render.plain import one_line, plural, wrapped


def notes_text(
    followed: Sequence[Followed], findings: Iterable[Finding], every: int = 0, there: Mapping[str, bool] | None = None
) -> str:
    """Every note: id, state, place then and now, what became of it, what asks for a person, its words.

    `every` is how many notes the book has where only some are shown, `there` what carried notes wait for.
    """
    parts = [_totals(followed, every)]
    parts += [_group(title, notes) for title, notes in in_groups(followed, there or {})]
    found = findings_text(findings)
    return "\n\n".join([*parts, found] if found else parts)


def in_groups(followed: Sequence[Followed], there: Mapping[str, bool]) -> Iterator[tuple[str, list[Followed]]]:
    """Notes under what is to be done about them, what needs a person first."""
    asking = [each for each in followed if each.standing or each.candidates]
    if asking:
        yield f"{plural(len(asking), 'note')} to look at", asking
    others = [each for each in followed if not (each.standing or each.candidates)]
    for state in ("open", "query"):
        if mine := [each for each in others if each.note.state == state]:
            yield state.capitalize(), mine
    carried = [each for each in others if each.note.state == "carried"]
    for to in dict.fromkeys(each.note.carried_to for each in carried):
        yield carried_words(to, there), [each for each in carried if each.note.carried_to == to]
    if mine := [each for each in others if each.note.state in ("done", "stet", "declined")]:
        yield "Done, let stand or not followed", mine


def _totals(followed: Sequence[Followed], every: int) -> str:
    if not followed and not every:
        return wrapped('No notes yet. To begin a round: inkledger notes add marsh-1 "..." --at p12.3', hang="")
    counts = Counter(each.note.state for each in followed)
    told = ", ".join(f"{counts[state]:,} {state}" for state in STATES if counts[state])
    of = f" of {every:,}" if every > len(followed) else ""
    return wrapped(f"{plural(len(followed), 'note')}{of}" + (f": {told}." if told else "."), hang="")


def _group(title: str, followed: Sequence[Followed]) -> str:
    return "\n".join([wrapped(title, hang=""), *(_note(each) for each in followed)])


def _note(followed: Followed) -> str:
    """One note: a head line, its standing, its words, the words around its place."""
    note = followed.note
    head = f"{one_line(note.id)}, {state_words(note)}, {place_words(followed)}"
    if followed.place_then or note.anchor.typed:
        head += f": {became(followed)}"
    rows = [wrapped(head, indent="  ", hang="  ")]
    rows += [wrapped(f"look: {words}", indent="    ") for words in standing_words(followed)]
    if followed.candidates:
        rows.append(wrapped(f"look: {may_mean(followed)}", indent="    "))
    rows.append(wrapped(one_line(note.text) or "(no words)", indent="    ", hang=""))
    rows += [wrapped(f"{when}: {one_line(said)}", indent="    ") for when, said in stands_there(followed)]
    said = [reply for reply in note.replies if reply.state != "mark"]
    if said:
        rows.append(wrapped(f"- {reply_typed(said[-1])}", indent="    "))
    return "\n".join(rows)


def reply_typed(reply: Reply) -> str:
    """A reply as it is typed, on one line."""
    where = f" {'to' if reply.state == 'carried' else 'in'} {reply.where}" if reply.where else ""
    at = f" at {reply.at.typed}" if reply.at else ""
    head = reply.state + where + at
    return one_line(f"{head}: {reply.text}" if head and reply.text else head or reply.text)
