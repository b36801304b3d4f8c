"""`trace`: the life of a line over all rounds of the script, with the notes and slips it went under."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from ledger.compare.heard import IN_A_ROW, Heard
from ledger.compare.lives import lives_of
from ledger.desk.notes.finding import PlacedNote, placed_notes
from ledger.desk.opening import open_book
from ledger.desk.script_states import script_states
from ledger.judge.notes.places import Place
from ledger.model.errors import Refusal
from ledger.model.life import Life, LineStory, NoteOn, State, Trace
from ledger.model.script import Line

#: So many lines are offered where none holds the words, and each must have this share of them.
NEAREST, HALF = 5, 0.5


def trace(here: Path, words: str) -> Trace:
    """The lives of the lines that hold these words in any round of the script, or in your files now.

    Raises Refusal where there is no book, no script, or no word.
    """
    heard = Heard(words)
    if heard.empty:
        raise Refusal("there is no word to look for", remedy='name some words of the line: inkledger trace "the door"')
    book = open_book(here)
    script = script_states(book)
    hits = _hits(heard, script.states)
    if not hits:
        return Trace(words, script.states, nearest=_nearest(heard, script.states), unread=script.unread)
    notes = placed_notes(book, script)
    lives = _in_order(heard, lives_of(hits, script.changes()), script.states)
    return Trace(words, script.states, tuple(_story(life, notes) for life in lives), unread=script.unread)


def _hits(heard: Heard, states: Sequence[State]) -> list[tuple[int, Line]]:
    """The lines that hold the words, by state; looser ones only where the words stand whole and in a row in none."""
    texts = {line.text for state in states for line in state.draft.lines}
    known = {text: near for text in texts if (near := heard.nearness(text)) is not None}
    found = [
        (at, line, known[line.text])
        for at, state in enumerate(states)
        for line in state.draft.lines
        if line.text in known
    ]
    loosest = max(IN_A_ROW, min((near for _, _, near in found), default=IN_A_ROW))
    return [(at, line) for at, line, near in found if near <= loosest]


def _in_order(heard: Heard, lives: Iterable[Life], states: Sequence[State]) -> list[Life]:
    """The nearest first, what is still there before what is gone, else as it is read."""
    seats = [{line: seat for seat, line in enumerate(state.draft.lines)} for state in states]

    def order(life: Life) -> tuple[int, bool, int, int]:
        lines = [turn.change.new for turn in life.turns if turn.change.new]
        near = min(near for text in {x.text for x in lines} if (near := heard.nearness(text)) is not None)
        at = life.turns[-1].at - life.gone
        return near, life.gone, -at, seats[at][life.last]

    return sorted(lives, key=order)


def _nearest(heard: Heard, states: Sequence[State]) -> tuple[Line, ...]:
    """Lines that have some of the words, those of your files now before older ones."""
    lines = {line.text: line for state in states for line in reversed(state.draft.lines)}
    shares = [(heard.shared(line.text), line) for line in lines.values()]
    near = sorted((share, at) for at, (share, _) in enumerate(shares) if share >= HALF)
    return tuple(shares[at][1] for _, at in reversed(near[-NEAREST:]))


def _story(life: Life, notes: Iterable[PlacedNote]) -> LineStory:
    """The life with its notes: each at the state that its reply names, or that changed the line first after it."""
    by_state: dict[int, list[NoteOn]] = {}
    others: list[NoteOn] = []
    for each in notes:
        if not (_stands_in(life, each.at, each.place) or _stands_in(life, each.led_to, each.there)):
            continue
        at = _answered(life, each)
        if at is not None:
            by_state.setdefault(at, []).append(each.said)
        elif each.narrow:
            others.append(each.said)
    return LineStory(life, {at: tuple(found) for at, found in by_state.items()}, tuple(others))


def _stands_in(life: Life, at: int | None, place: Place | None) -> bool:
    """Whether the line stands in a place of a state."""
    return at is not None and place is not None and life.line_at(at) in place.lines


def _answered(life: Life, note: PlacedNote) -> int | None:
    """The state in which the line changed under a note; one on a page or scene must name that state."""
    changed = [turn.at for turn in life.turns if set(turn.kinds) - {"renumbered", "renamed"}]
    if note.led_to is not None:
        return note.led_to if note.led_to in changed else None
    if note.said.note.state != "done" or not note.narrow or note.at is None:
        return None
    return next((at for at in changed if at > note.at), None)
