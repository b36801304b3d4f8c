"""What a file brought: the notes as they will stand, what was left out, and what to look at."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from ledger.model.coming_in import Arrival, ArrivingRound, Left, NoteIn
from ledger.model.outcome import Outcome
from ledger.render.plain import clip, one_line, plural, wrapped

#: So many notes of a round are shown before they are taken in, so many ids are named in a sentence.
_SHOWN, _NAMED = 40, 8


def preview_text(arrival: Arrival) -> str:
    """What would be taken in, note by note."""
    parts = [_headed(each) for each in arrival.rounds]
    parts += [wrapped(sentence, hang="") for sentence in _left_out(arrival)]
    return "\n".join(parts)


def _headed(each: ArrivingRound) -> str:
    rows = [wrapped(f"{_reader(each)}{_on(each)}: {_counted(each)}.", hang="  ")]
    for note in each.notes[:_SHOWN]:
        place = f"({one_line(note.place)}) " if note.place else "(the whole book) "
        rows.append("  " + clip(place + _words(note), 78))
    if len(each.notes) > _SHOWN:
        rows.append(f"  ... and {len(each.notes) - _SHOWN:,} more")
    if each.unplaced:
        rows.append(wrapped(f"{plural(len(each.unplaced), 'place')} of these {_are(each.unplaced)} not there "
                            f"{_where(each)}.", hang=""))  # fmt: skip
    return "\n".join(rows)


def _words(note: NoteIn) -> str:
    return " ".join(one_line(note.text).split()) or "(no words)"


def _reader(each: ArrivingRound) -> str:
    return one_line(each.reader) or "Somebody who is not named"


def _whose(each: ArrivingRound) -> str:
    return one_line(each.reader) or "somebody who is not named"


def _on(each: ArrivingRound) -> str:
    return f" on {one_line(each.on)}" if each.on else ""


def _counted(each: ArrivingRound) -> str:
    new = plural(len(each.notes), "note") if each.notes else "nothing new"
    replies = f", {plural(each.answered, 'new reply', 'new replies')}" if each.answered else ""
    return f"{new}{replies}, {plural(each.known, 'note')} here already" if each.known else new


def arrival_outcome(arrival: Arrival) -> Outcome:
    """What was done, as a recording verb tells it."""
    said = [sentence for each in arrival.rounds for sentence in _told(each)]
    paths = tuple(each.path for each in arrival.rounds if each.data)
    return Outcome(arrival.fresh > 0, (*said, *_left_out(arrival)), paths=paths)


def nothing_taken(arrival: Arrival) -> Outcome:
    """The answer to a preview was no."""
    return Outcome(False, (f"Nothing was taken in from {one_line(arrival.source)}.",))


def _told(each: ArrivingRound) -> Iterator[str]:
    if each.notes:
        goes = "are in" if len(each.notes) > 1 else "is in"
        begun = "a new round" if each.begun else "after those that were there"
        here = f"; {plural(each.known, 'note was', 'notes were')} here already" if each.known else ""
        yield f"{plural(len(each.notes), 'note')} of {_whose(each)}{_on(each)} {goes} {each.path}, {begun}{here}."
        if each.begun and not each.reader:
            yield f"Whose they are is not said: put a line 'from: NAME' below the title of {each.path}."
    elif not each.answered:
        yield f"{_reader(each)}: {plural(each.known, 'note')}, here already in {each.path}; nothing was added."
    if each.answered:
        replies = plural(each.answered, "reply", "replies")
        verb = "was" if each.answered == 1 else "were"
        yield f"{replies} to notes that were here already {verb} put under them in {each.path}."
    if each.unplaced:
        one = len(each.unplaced) == 1
        whose = "this note" if one else "these notes"
        yield (f"{_names(each.unplaced)}: the place of {whose} is not there {_where(each)}. "
               "Kept as typed: look at the bracket, or at 'on:' in that file.")  # fmt: skip
    if each.reworded:
        yield f"{_names(each.reworded)} came with other words this time; yours stay as they are."


def _are(ids: tuple[str, ...]) -> str:
    return "is" if len(ids) == 1 else "are"


def _where(each: ArrivingRound) -> str:
    return f"in {one_line(each.on)}" if each.on else "in the script"


def _names(ids: tuple[str, ...]) -> str:
    more = f" and {len(ids) - _NAMED:,} more" if len(ids) > _NAMED else ""
    return ", ".join(map(one_line, ids[:_NAMED])) + more


def _left_out(arrival: Arrival) -> Iterator[str]:
    for left in arrival.left:
        yield _LEFT[left.kind](left)


def _verb(left: Left) -> str:
    return "was" if left.times == 1 else "were"


_LEFT: dict[str, Callable[[Left], str]] = {
    "quoted": lambda left: f"{plural(left.times, 'line')} of quoted mail {_verb(left)} left out.",
    "courtesy": lambda left: f"Left out as a greeting or sign-off: \u201c{one_line(left.name)}\u201d.",
    "greeting": lambda left: (
        f"\u201c{one_line(left.name)}\u201d is a greeting or sign-off and nothing else, taken for a note on the whole "
        "book. With --no-greeting such a one is left out."
    ),
    "signature": lambda left: f"A signature of {plural(left.times, 'line')} was left out.",
    "enclosure": lambda left: f"Enclosed and not read: {one_line(left.name)}. Save it and take it in by itself.",
    "foreign": lambda left: (
        f"{left.name[:1].upper()}{left.name[1:]} of the file is no page of this book, by its picture or its label: "
        f"{plural(left.times, 'note')} of it {'goes' if left.times == 1 else 'go'} to the whole book."
    ),
    "macro": lambda left: "It holds macros, which were not run and not taken in.",
    "control": lambda left: f"{plural(left.times, 'control character')} {_verb(left)} replaced by \ufffd.",
    "encoding": lambda left: f"About the file: {one_line(left.name)}.",
}
