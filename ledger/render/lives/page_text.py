"""The life of a page on a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from ledger.model.entry import Lock, Reopen, Round
from ledger.model.life import PageEvent, PageLife, PageTurn
from ledger.model.note import Followed
from ledger.model.pages import page_name
from ledger.model.script import Line
from ledger.render.changes.page_runs import panel_sentence
from ledger.render.changes.scene_lines import said
from ledger.render.lives.words import admitted_words, reply_text, state_name, unread_rows
from ledger.render.notes.words import became, place_words, standing_words, state_words
from ledger.render.places import line_place, mouth, page_ref, side_text
from ledger.render.plain import beside, columns, one_line, plural, wrapped
from ledger.render.rounds_text import day_of, entry_sentence, listed

#: What a round brought of the page.
PICTURES = {
    "first": "The first picture of the page.",
    "another": "Another picture of the page.",
    "same": "The picture stayed the same file.",
    "gone": "The page's picture was taken out.",
}


def page_text(life: PageLife) -> str:
    """Head, where it stands, script round by round, script then and now, what was entered and signed, notes."""
    parts = [_head(life), _now(life), _rounds(life), *_then_and_now(life), _events(life), _notes(life.notes)]
    parts.append("\n".join(unread_rows(life.unread)))
    return "\n\n".join(part for part in parts if part)


def _head(life: PageLife) -> str:
    """`The Upper Stair: page 15 (page 14 in script-2 and script-3)`."""
    older = "; ".join(older_names(life))
    return wrapped(f"{one_line(life.title)}: {page_name(life.label)}" + (f" ({older})" if older else ""), hang="  ")


def older_names(life: PageLife) -> list[str]:
    """What it was called in other states: `page 14 in script-2 and script-3`."""
    named = [(label, side_text(state.name)) for label, state in zip(life.labels, life.states, strict=True)]
    older = {label: [name for other, name in named if other == label] for label, _ in named if label}
    return [f"{page_name(label)} in {listed(names)}" for label, names in older.items() if label != life.label]


def standing_locks(life: PageLife) -> list[str]:
    """The sign-offs that close it now: `pencils for structure (lock-pencils-1)`; what was opened again is left out."""
    closed: dict[str, Lock] = {}
    for event in life.events:
        entry = event.entry
        if isinstance(entry, Lock):
            closed[entry.pass_name] = entry
        elif isinstance(entry, Reopen):
            for name in entry.passes:
                closed.pop(name, None)
    return [f"{name} for {listed(lock.scopes)} ({lock.name})" for name, lock in closed.items()]


def _now(life: PageLife) -> str:
    """What closes it, and what of it rests on older content."""
    locks = standing_locks(life)
    rows = [wrapped(f"Signed off: {listed(locks)}.")] if locks else []
    rows += [wrapped(f"Stale: {one_line(each.pass_name)} rests on {one_line(each.because)}.") for each in life.stale]
    return "\n".join(rows)


def _rounds(life: PageLife) -> str:
    """The script of the page, state by state."""
    if not any(life.labels):
        return "The script has no page of this name."
    rows = ["In the script"]
    for turn in life.turns:
        rows += _turn(turn, life)
    last = life.turns[-1] if life.turns else None
    if last is not None and last.new and last.at < len(life.states) - 1:
        rows.append(wrapped("Untouched since then, in your files now too.", indent="  "))
    return "\n".join(rows)


def _turn(turn: PageTurn, life: PageLife) -> list[str]:
    state = life.states[turn.at]
    label = turn.new or turn.old or life.label
    words = turn_words(turn, life)
    new = ", in no round yet" if turn.old is None and state.entry is None else ""
    rows = [wrapped(f"{state_name(state)} {page_ref(label)}: {words}{new}{':' if turn.lines else '.'}", indent="  ")]
    margin = max((columns(line_place(line)) for line in turn.lines), default=0)
    for line in turn.lines:
        first, *more = said(line)
        rows += beside(f"      {line_place(line):<{margin}}  ", first)
        rows += [row for text in more for row in beside(" " * (margin + 8), text)]
    why = admitted_words(state.entry)
    return [*rows, *([wrapped(why, indent="      ")] if why else [])]


def turn_words(turn: PageTurn, life: PageLife) -> str:
    """What became of the page, without a full stop."""
    if turn.new is None:
        return "cut"
    if turn.old is None:
        page = next((p for p in life.states[turn.at].draft.pages if p.label == turn.new), None)
        return "came in" + (f" with {plural(page.panel_count, 'panel')}" if page else "")
    told = [f"the same page under another number, {page_ref(turn.old)} before"] if turn.old != turn.new else []
    panels = panel_sentence(turn.panels)
    told += [panels] if panels else []
    told += ["changed"] if turn.lines else []
    return "; ".join(told) or "its panels changed"


def _then_and_now(life: PageLife) -> list[str]:
    """The page's script as it first was and as it is, or last was; once where it stayed word for word."""
    there = [at for at, label in enumerate(life.labels) if label]
    if not there:
        return []
    first, last = there[0], there[-1]
    then, now = life.script_at(first), life.script_at(last)
    title = "The script now" if last == len(life.states) - 1 else f"The script in {one_line(life.states[last].name)}"
    if first == last or _typed(then) == _typed(now):
        return [_script(title, now)]
    name = one_line(life.states[first].name)
    label = life.labels[first] or ""
    return [_script(f"The script then ({name}, {page_ref(label)})", then), _script(title, now)]


def _typed(lines: Sequence[Line]) -> list[tuple[str, str, int | None]]:
    return [(mouth(line), line.text, line.panel) for line in lines]


def _script(title: str, lines: Sequence[Line]) -> str:
    """What stands on the page, panel by panel."""
    rows = [title]
    for panel, group in groupby(lines, key=lambda line: line.panel):
        margin = f"  {panel or '':>2}  "
        for line in group:
            words = one_line(line.text)
            rows += beside(margin, words if line.role == "action" else f"{mouth(line)}: {words}")
            margin = " " * columns(margin)
    return "\n".join(rows if lines else [title, "  Nothing stands on it: a page without a word."])


def _events(life: PageLife) -> str:
    """What was entered of it, signed off and admitted."""
    rows = [row for event in life.events for row in beside(f"{day_of(event.entry):<13}", _event(event, life))]
    if life.undrawn:
        rows.append(wrapped(f"Nothing entered of it yet: {', '.join(map(one_line, life.undrawn))}.", hang=""))
    return "\n".join(["Rounds, sign-offs and slips", *rows]) if rows else ""


def _event(event: PageEvent, life: PageLife) -> str:
    told = entry_sentence(event.entry)
    if isinstance(event.entry, Round):
        told += f" {PICTURES[event.picture]}"
    return told + (f" It was {page_name(event.label)} then." if event.label != life.label else "")


def _notes(notes: Sequence[Followed]) -> str:
    """The notes made on the page, each with what became of its place."""
    rows = ["Notes"] if notes else []
    for each in notes:
        note = each.note
        head = f"{one_line(note.id)}, {state_words(note)}, {place_words(each)}: {became(each)}"
        rows.append(wrapped(head, indent="  "))
        rows += [wrapped(f"look: {words}", indent="    ") for words in standing_words(each)]
        rows.append(wrapped(one_line(note.text) or "(no words)", indent="    ", hang=""))
        rows += [wrapped(f"- {reply_text(note.replies[-1])}", indent="    ")] if note.replies else []
    return "\n".join(rows)
