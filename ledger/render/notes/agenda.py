"""The agenda as Markdown, to print or to tick."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from ledger.model.agenda import Agenda, Errand, Stop
from ledger.model.outcome import Outcome
from ledger.model.pages import page_name
from ledger.render.documents import notes_document
from ledger.render.markdown import markdown, words
from ledger.render.notes.words import STANDING_WORDS
from ledger.render.outcome import outcome_document
from ledger.render.plain import plural
from ledger.render.told import day

_HEADS = {
    "book": "The whole book",
    "pages": "Pages without a scene",
    "gone": "Their places are cut or could not be found",
    "later": "Put off",
}


def agenda_document(agenda: Agenda) -> dict[str, Any]:
    """`notes agenda`: the general document, the notes as `notes list` has them, and the Markdown as `text`."""
    general = outcome_document(Outcome(False))
    listed = notes_document([errand.followed for errand in agenda.errands], [])
    return general | {"notes": listed["notes"], "text": agenda_markdown(agenda)}


def agenda_markdown(agenda: Agenda) -> str:
    """Every open note with a box, under its scene and page, ending in one line feed."""
    parts = [f"# To do: {words(agenda.title)}", f"{day(agenda.day)}. {_counted(agenda)}."]
    chapter = ""
    for stop in agenda.stops:
        if stop.kind == "scene" and stop.chapter and stop.chapter != chapter:
            chapter = stop.chapter
            parts.append(f"## {words(chapter)}")
        parts += _stop(stop)
    return "\n\n".join(parts) + "\n"


def _counted(agenda: Agenda) -> str:
    states = [errand.followed.note.state for errand in agenda.errands]
    if not states:
        return "No note is open"
    told = [f"{plural(states.count('open'), 'note')} open"]
    for state, said in (("query", "asked back"), ("carried", "put off")):
        if states.count(state):
            told.append(f"{states.count(state)} {said}")
    return ", ".join(told)


def _stop(stop: Stop) -> list[str]:
    head = words(stop.scene) or "Before the first scene" if stop.kind == "scene" else _HEADS[stop.kind]
    parts = [f"{'###' if stop.kind == 'scene' and stop.chapter else '##'} {head}"]
    by_page = stop.kind in ("scene", "pages")
    for page, errands in groupby(stop.errands, key=lambda errand: errand.page if by_page else ""):
        if page:
            parts.append(f"**{page_name(page)[:1].upper()}{page_name(page)[1:]}**")
        parts.append("\n".join(map(_errand, errands)))
    return parts


def _errand(errand: Errand) -> str:
    """`- [ ] p12.3: The door should open inward. (E. Marsh, marsh-1/1)`"""
    followed = errand.followed
    note = followed.note
    place = followed.place_now or note.anchor.typed
    whose = ", ".join(filter(None, (words(errand.reader, leading=False), words(note.id, leading=False))))
    said = f"{words(place, leading=False)}: " if place else ""
    text = " ".join(note.text.split())
    return f"- [ ] {said}{words(text, leading=False) or markdown('(no words)')} ({whose}){_since(errand)}"


def _since(errand: Errand) -> str:
    """What was said or happened since, in a few words."""
    note = errand.followed.note
    last = next((reply for reply in reversed(note.replies) if reply.state in ("query", "carried")), None)
    told = []
    if last and last.state == "carried" and last.where:
        told.append(f"carried to {words(last.where, leading=False)}" + ", which is there by now" * errand.due)
    if last and last.text and note.state in ("query", "carried"):
        asked = "asked back: " if note.state == "query" else ""
        told.append(asked + words(last.text, leading=False))
    told += [STANDING_WORDS[each] for each in errand.followed.standing if each != "query-unanswered"]
    return f" — {'; '.join(told)}" if told else ""
