"""What became of a line on its way into a state of the script, as a person would say it."""

from __future__ import annotations

from ledger.model.entry import CLASSES, Alteration, Entry
from ledger.model.life import NoteOn, State, Turn, Unread
from ledger.model.note import Note, Reply
from ledger.model.pages import pages_words
from ledger.model.script import Line
from ledger.render.changes.scene_lines import quoted, wordings
from ledger.render.notes.words import state_words
from ledger.render.places import line_ref, mouth, side_text
from ledger.render.plain import one_line, wrapped
from ledger.render.rounds_text import day_of, ended


def state_name(state: State) -> str:
    """`script-4 (13 Feb 2026)`, `your files now`."""
    return side_text(state.name) if state.entry is None else f"{one_line(state.name)} ({day_of(state.entry).strip()})"


def turn_words(turn: Turn) -> str:
    """What happened, without a full stop: `given to Veit Harl, Maro Teel had it before`; "" where nothing did."""
    old, new = turn.change.old, turn.change.new
    if old is None and new is not None:
        return _came(turn, new)
    if new is None and old is not None:
        return _left(turn, old)
    assert old is not None and new is not None
    said = {
        "reassigned": _given(old, new),
        "renamed": "{} is called {} from here on".format(*map(one_line, turn.renamed or ("", ""))),
        "moved": f"moved here from {line_ref(old)}",
        "carried": _carried(old, new),
        "renumbered": f"the same spot under another number, {line_ref(old)} before",
        "scene": _scene(turn),
        "reworded": "reworded",
    }
    return "; ".join(words for kind, words in said.items() if kind in turn.kinds)


def turn_wordings(turn: Turn) -> list[str]:
    """The words as they came in, or the two wordings of a reworded line; none where they stayed or left."""
    old, new = turn.change.old, turn.change.new
    if new is None or (old is not None and "reworded" not in turn.kinds):
        return []
    return [one_line(new.text)] if old is None else wordings(one_line(old.text), one_line(new.text))


def _came(turn: Turn, line: Line) -> str:
    said = "came back" if turn.back else "came in"
    if turn.scene is not None and turn.scene.kind == "new":
        said += f" with the new scene {quoted(turn.scene.new[0])}"
    how = {"action": "as action", "caption": "as a caption", "sfx": "as a sound"}.get(line.role)
    if how is None:
        return f"{said}, said by {mouth(line)}"
    return f"{said}, {how}" + (f" ({one_line(line.speaker)})" if line.speaker else "")


def _left(turn: Turn, line: Line) -> str:
    scene = turn.scene
    said = f"cut, with its scene {quoted(scene.old[0])}" if scene is not None and scene.kind == "cut" else "cut"
    return f"{said}; it stood on {line_ref(line)}" if line.page else said


def _who(line: Line) -> str:
    """Whose line it is: a name, or what it is where nobody says it."""
    return {"action": "the action", "caption": "a caption", "sfx": "a sound"}.get(line.role, mouth(line)) + (
        f" of {one_line(line.speaker)}'s" if line.role in ("caption", "sfx") and line.speaker else ""
    )


def _carried(old: Line, new: Line) -> str:
    before = line_ref(old)
    return f"came here from {before} with its scene" if before != line_ref(new) else "moved with its scene"


def _given(old: Line, new: Line) -> str:
    elsewhere = old.page is not None and (old.page, old.panel) != (new.page, new.panel)
    return f"given to {_who(new)}, {_who(old)} had it before" + (f", on {line_ref(old)}" if elsewhere else "")


def _scene(turn: Turn) -> str:
    """What became of the scene around it."""
    scene, old, new = turn.scene, turn.change.old, turn.change.new
    if scene is None or old is None or new is None or not scene.old or not scene.new:
        return ""
    before = next((each for each in scene.old if each.index == old.scene), scene.old[0])
    now = next((each for each in scene.new if each.index == new.scene), scene.new[0])
    if scene.kind == "split":
        return f"its scene {quoted(before)} was split, and it stands in {quoted(now)}"
    if scene.kind == "merged":
        others = [quoted(each) for each in scene.old if each is not before]
        return f"its scene {quoted(before)} became one with {' and '.join(others)}"
    return f"its scene {quoted(before)} is called {quoted(now)} from here on"


def admitted_words(entry: Entry | None) -> str:
    """Why a slip or a reopening: `EA (editor's): the lamp must be lit. Asked for by E. Marsh.`"""
    if not isinstance(entry, Alteration):
        return ""
    asked = f" Asked for by {one_line(entry.asked_by)}." if entry.asked_by else ""
    kind = f"{entry.alteration_class} ({CLASSES.get(entry.alteration_class, 'no known class')})"
    return ended(f"{kind}: {one_line(entry.reason)}") + asked


def opened_words(turn: Turn, state: State) -> list[str]:
    """The reopenings under which a line could change, each in a sentence."""
    pages = {line.page for line in (turn.change.old, turn.change.new) if line is not None and line.page}
    return [
        f"under {entry.name}, which had opened {pages_words(entry.pages)} again, {admitted_words(entry)}"
        for entry in state.opened
        if any(page in entry.page_set for page in pages)
    ]


def note_text(said: NoteOn) -> str:
    """`note lorn/2, Bede Lorn on script-3: Is this not the old man talking? - done in script-4: it is his now`."""
    note, who = said.note, one_line(said.reader)
    made = " on ".join(one_line(part) for part in (who, said.on or "") if part)
    reply = f" - {reply_text(note.replies[-1])}" if note.replies else f" - {state_words(note)}"
    return f"note {one_line(note.id)}{f', {made}' if made else ''}: {_words(note)}{reply}"


def reply_text(reply: Reply) -> str:
    """A reply as it is typed: `done in script-4: cut`."""
    where = f" {'to' if reply.state == 'carried' else 'in'} {reply.where}" if reply.where else ""
    head = reply.state + where + (f" at {reply.at.typed}" if reply.at else "")
    return one_line(f"{head}: {reply.text}" if head and reply.text else head or reply.text)


def _words(note: Note) -> str:
    return one_line(note.text) or "(no words)"


def scene_at(line: Line, state: State) -> str:
    """The scene that a line stands in, and its chapter, as far as they have names."""
    scene = next((each for each in state.draft.scenes if each.index == line.scene), None)
    names = [quoted(scene) if scene.headed else "", one_line(scene.chapter)] if scene is not None else []
    return ", ".join(name for name in names if name)


def unread_rows(unread: tuple[Unread, ...]) -> list[str]:
    """States that had to be left out, each in a sentence."""
    return [wrapped(f"look: {one_line(each.name)} could not be read ({one_line(each.why)}).") for each in unread]
