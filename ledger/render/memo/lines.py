"""One line of a draft in a memo: what happened to it, in a sentence."""

from __future__ import annotations

from ledger.model.change import LineChange
from ledger.model.script import Line
from ledger.render.places import line_ref, mouth
from ledger.render.told import new_wording, old_wording, place_told, quoted, slanted, strong, words

#: What a line that is no dialogue is called.
_NOUNS = {"action": "description", "caption": "caption", "sfx": "sound"}


def structural(change: LineChange) -> str:
    """A lettered line that came, went or was carried elsewhere, in a sentence; "" for anything else."""
    old, new = change.old, change.new
    if change.kind == "added" and new is not None and new.lettered:
        return f"New on {place(new)}: {says(new)} {quoted(new.text)}"
    if change.kind == "cut" and old is not None and old.lettered:
        return f"Cut from {place(old)}: {of(old)} {quoted(old.text)}"
    if change.kind == "moved" and old is not None and new is not None:
        return f"Moved from {place(old)} to {place(new)}: {of(new)} {both_wordings(old, new)}"
    return ""


def in_another_mouth(change: LineChange) -> str:
    """A line that somebody else says now, in a sentence; "" for anything else."""
    old, new = change.old, change.new
    if old is None or new is None or change.kind != "reassigned":
        return ""
    told = f"On {between(old, new)} {of(old)}"
    if old.text == new.text:
        return f"{told} {quoted(old.text)} is {of(new)} now"
    before, after = old_wording(old.text, new.text), new_wording(old.text, new.text)
    return f"{told} {before} is {of(new)} now, and reads {after}"


def wording(change: LineChange) -> str:
    """A line in both wordings, or a description that came or went, in a sentence; "" for anything else."""
    old, new = change.old, change.new
    if change.kind == "reworded" and old is not None and new is not None:
        return f"On {between(old, new)} {of(new)} {both_wordings(old, new)}"
    if change.kind == "added" and new is not None and not new.lettered:
        return f"New on {place(new)}: the description {quoted(new.text)}"
    if change.kind == "cut" and old is not None and not old.lettered:
        return f"Cut from {place(old)}: the description {quoted(old.text)}"
    return ""


def both_wordings(old: Line, new: Line) -> str:
    """`“old words” became “new words”`; once where they are equal."""
    if old.text == new.text:
        return quoted(new.text)
    return f"{old_wording(old.text, new.text)} became {new_wording(old.text, new.text)}"


def in_full(line: Line) -> str:
    """A line as it stands in a scene told whole: `Ada: Who lit it?`."""
    if line.role == "action":
        return slanted(words(line.text))
    return f"{strong(owner(line) + ':')} {words(line.text)}"


def owner(line: Line) -> str:
    """Who or what says it."""
    return words("description" if line.role == "action" else mouth(line))


def says(line: Line) -> str:
    """`Ada says`, `the caption`, `the sound`."""
    return f"{words(line.speaker)} says" if line.role == "dialogue" and line.speaker else of(line)


def of(line: Line) -> str:
    """`Ada's`, `Wren's caption`, `the sound`, `the description`, `the line of PHONE`."""
    whose = f"{words(line.speaker)}'s" if line.speaker else ""
    if line.role == "dialogue":
        return whose or f"the line of {words(mouth(line))}"
    return f"{whose or 'the'} {_NOUNS[line.role]}"


def place(line: Line) -> str:
    """`p12.3`, or file and line where no page is marked."""
    return place_told(line_ref(line))


def between(old: Line, new: Line) -> str:
    """`p12.3`, `p12.3 (now p13.1)`; without page marks the new file and line."""
    before, after = place(old), place(new)
    return after if before == after or new.page is None else f"{before} (now {after})"
