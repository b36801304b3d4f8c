"""The list of notes as Markdown: to print, to mail, to keep beside a round."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.model.note import Followed
from ledger.render.markdown import words
from ledger.render.notes.text import in_groups, reply_typed
from ledger.render.notes.words import became, may_mean, place_words, standing_words, stands_there, state_words
from ledger.render.plain import plural


def notes_markdown(followed: Sequence[Followed], there: Mapping[str, bool]) -> str:
    """Every note under what is to be done about it, ending in one line feed."""
    parts = ["# Notes", f"{plural(len(followed), 'note')}."]
    for title, notes in in_groups(followed, there):
        parts += [f"## {words(title)}", "\n".join(map(_note, notes))]
    return "\n\n".join(parts) + "\n"


def _note(followed: Followed) -> str:
    note = followed.note
    whose = f", {words(followed.reader, leading=False)}" if followed.reader else ""
    head = f"- **{words(note.id, leading=False)}**{whose}, {words(state_words(note), leading=False)}, "
    head += words(place_words(followed), leading=False)
    if followed.place_then or note.anchor.typed:
        head += f": {words(became(followed), leading=False)}"
    rows = [words(note.text, leading=False) or "(no words)"]
    rows += [f"look: {words(said, leading=False)}" for said in standing_words(followed)]
    rows += [f"look: {words(may_mean(followed), leading=False)}"] if followed.candidates else []
    rows += [f"{when}: {words(said, leading=False)}" for when, said in stands_there(followed)]
    said = [reply for reply in note.replies if reply.state != "mark"]
    rows += [words(reply_typed(said[-1]), leading=False)] if said else []
    return "\n".join([head, *(f"  - {row}" for row in rows)])
