"""The lives of lines and pages as JSON documents."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger.judge.resting.findings import stale_findings
from ledger.model.life import LineStory, PageEvent, PageLife, PageTurn, State, Trace, Turn
from ledger.model.stale import Stale
from ledger.render.changes.document import line_document
from ledger.render.documents import done_document, notes_document
from ledger.render.lives.words import opened_words, turn_words
from ledger.render.rounds_text import entry_sentence


def trace_document(trace: Trace) -> dict[str, Any]:
    """The general document of commands.md §3, with every line found and its whole life."""
    return {
        **done_document(done=False),
        "words": trace.words,
        "states": [state_document(state) for state in trace.states],
        "lives": [_life_document(story, trace.states) for story in trace.stories],
        "nearest": [line_document(line) for line in trace.nearest],
        "unread": [{"state": each.name, "why": each.why} for each in trace.unread],
    }


def state_document(state: State) -> dict[str, Any]:
    """A state of the script; `.` is your files now, which have no date."""
    return {"name": state.name, "date": state.entry.date.isoformat() if state.entry else None}


def _life_document(story: LineStory, states: tuple[State, ...]) -> dict[str, Any]:
    life = story.life
    return {
        "line": line_document(life.last),
        "gone": life.gone,
        "turns": [_turn_document(turn, states[turn.at], story) for turn in life.turns if turn.kinds],
        "notes": sorted({said.note.id for several in (*story.notes.values(), story.others) for said in several}),
    }


def _turn_document(turn: Turn, state: State, story: LineStory) -> dict[str, Any]:
    return {
        "state": state.name,
        "kinds": list(turn.kinds),
        "old": line_document(turn.change.old),
        "new": line_document(turn.change.new),
        "text": turn_words(turn),
        "notes": [said.note.id for said in story.notes.get(turn.at, ())],
        "reopened": [entry.name for entry in state.opened if opened_words(turn, state)],
    }


def page_document(life: PageLife, paths: Sequence[str] = ()) -> dict[str, Any]:
    """The general document of commands.md §3, with the page's whole life; `page` is its label now or last.

    `paths` are the files it was written to; where it is stale the findings say because of what.
    """
    there = [at for at, label in enumerate(life.labels) if label]
    return {
        **done_document(done=bool(paths), paths=paths, findings=stale_findings(Stale(life.stale))),
        "page": life.label,
        "gone": bool(there) and life.labels[-1] is None,
        "states": [{**state_document(s), "page": label} for s, label in zip(life.states, life.labels, strict=True)],
        "turns": [_page_turn(turn, life.states[turn.at]) for turn in life.turns],
        "script": {
            "then": [line_document(line) for line in life.script_at(there[0])] if there else None,
            "now": [line_document(line) for line in life.script_at(there[-1])] if there else None,
        },
        "entries": [_event(event) for event in life.events],
        "undrawn": list(life.undrawn),
        "notes": notes_document(life.notes, ())["notes"],
        "unread": [{"state": each.name, "why": each.why} for each in life.unread],
    }


def _page_turn(turn: PageTurn, state: State) -> dict[str, Any]:
    return {
        "state": state.name,
        "kind": turn.kind,
        "old": turn.old,
        "new": turn.new,
        "panels": [{"kind": panel.kind, "old": panel.old, "new": panel.new} for panel in turn.panels],
        "lines": [
            {"kind": line.kind, "old": line_document(line.old), "new": line_document(line.new)} for line in turn.lines
        ],
    }


def _event(event: PageEvent) -> dict[str, Any]:
    entry = event.entry
    return {"name": entry.name, "date": entry.date.isoformat(), "by": entry.by, "page": event.label,
            "picture": event.picture or None, "text": entry_sentence(entry)}  # fmt: skip
