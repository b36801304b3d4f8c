"""The life of a line on a terminal and as a document."""

from __future__ import annotations

from ledger.model.life import LineStory, State, Trace, Turn
from ledger.model.script import Line
from ledger.model.words import normalise
from ledger.render.lives.words import (
    admitted_words,
    note_text,
    opened_words,
    scene_at,
    state_name,
    turn_wordings,
    turn_words,
    unread_rows,
)
from ledger.render.places import line_ref, mouth
from ledger.render.plain import clip, one_line, plural, wrapped

#: So many lives are told in full, so many more named in a row each.
HANDFUL, NAMED = 5, 10


def trace_text(trace: Trace) -> str:
    """Every life in sentences, the nearest first; above a handful the others in a row each."""
    parts = [_head(trace)]
    parts += [_story(story, trace.states) for story in trace.stories[:HANDFUL]]
    parts += [_others(trace)] if trace.stories[HANDFUL:] else []
    parts += [_nearest(trace)] if trace.nearest else []
    return "\n\n".join([*parts, *(["\n".join(unread_rows(trace.unread))] if trace.unread else [])])


def _head(trace: Trace) -> str:
    """How many lines were found."""
    words, found = one_line(trace.words), len(trace.stories)
    if not found:
        return wrapped(f'No line of any round of the script, and none of your files now, holds "{words}".', hang="")
    if found == 1:
        return wrapped(f'One line holds "{words}".', hang="")
    told = f'{found:,} lines hold "{words}"'
    if found <= HANDFUL:
        return wrapped(f"{told}, the nearest first.", hang="")
    return wrapped(f"{told}. The {HANDFUL} nearest are told here; for one alone give more of its words.", hang="")


def _story(story: LineStory, states: tuple[State, ...]) -> str:
    life = story.life
    rows = [wrapped(f'"{one_line(life.last.text)}"', hang=" "), wrapped(_where(story, states), indent="  ")]
    for turn in life.turns:
        rows += _turn(turn, states, story)
    rows += [wrapped(_since(story, states), indent="  ")] if not life.gone and not life.turns[-1].kinds else []
    rows += [wrapped(f"{note_text(said)}", indent="  ") for said in story.others]
    return "\n".join(rows)


def _where(story: LineStory, states: tuple[State, ...]) -> str:
    """Whose line it is and where it stands, or since when it is gone."""
    line, end = story.life.last, story.life.turns[-1]
    if story.life.gone:
        state = states[end.at]
        return f"{_whose(line)}, gone {'from' if state.entry is None else 'since'} {state_name(state)}"
    scene = scene_at(line, states[end.at])
    return f"{_whose(line)}, {line_ref(line)} now" + (f", {scene}" if scene else "")


def _whose(line: Line) -> str:
    return "Action" if line.role == "action" else mouth(line)


def _turn(turn: Turn, states: tuple[State, ...], story: LineStory) -> list[str]:
    """A state in which something happened, or to which a note led."""
    state = states[turn.at]
    notes = [f"({note_text(said)})" for said in story.notes.get(turn.at, ())]
    if not turn.kinds and not notes:
        return []
    words, texts = turn_words(turn) or "as it was", turn_wordings(turn)
    if turn.change.old is None and not any("reworded" in each.kinds for each in story.life.turns):
        texts = []
    before = _said_before(turn, story)
    if before is not None:
        words += f", back to the words of {one_line(states[before].name)}"
    if turn is story.life.turns[0] and state.entry is None:
        words += ", in no round yet"
    place = f" {line_ref(turn.change.new)}" if turn.change.new else ""
    rows = [wrapped(f"{state_name(state)}{place}: {words}{':' if texts else '.'}", indent="  ")]
    rows += [wrapped(text, indent="      ") for text in texts]
    why = [admitted_words(state.entry), *opened_words(turn, state)]
    return rows + [wrapped(said, indent="      ") for said in (*why, *notes) if said]


def _said_before(turn: Turn, story: LineStory) -> int | None:
    """The place of an earlier state in which a reworded line had the words it has now."""
    new = turn.change.new
    if new is None or "reworded" not in turn.kinds:
        return None
    words = normalise(new.text)
    earlier = [each for each in story.life.turns if each.at < turn.at and each.change.new]
    return next((t.at for t in earlier if t.change.new and normalise(t.change.new.text) == words), None)


def _since(story: LineStory, states: tuple[State, ...]) -> str:
    """The last sentence of a line that stayed as it was: since when."""
    last = next(turn for turn in reversed(story.life.turns) if turn.kinds)
    since = "since then" if states[last.at].entry is not None else "there"
    return f"Untouched {since}, in your files now too."


def _others(trace: Trace) -> str:
    rest = trace.stories[HANDFUL:]
    rows = [
        clip(f"  {'gone' if s.life.gone else line_ref(s.life.last):<8}  {one_line(s.life.last.text)}", 80)
        for s in rest[:NAMED]
    ]
    more = len(rest) - NAMED
    return "\n".join(["The others:", *rows, *([f"  and {plural(more, 'more line')}"] if more > 0 else [])])


def _nearest(trace: Trace) -> str:
    return "\n".join(
        ["Did you mean one of these?", *(clip(f"  {line_ref(x)}  {one_line(x.text)}", 80) for x in trace.nearest)]
    )
