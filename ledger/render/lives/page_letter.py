"""The life of a page as a letter: where it stands, its pictures, its script round by round, its entries and notes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ledger.model.entry import Round
from ledger.model.life import LifePicture, PageLife, PageTurn
from ledger.model.pages import page_name
from ledger.model.script import Line
from ledger.render.letter import Block, Gallery, Items, Letter, PagePlate, Paragraph, Quoted, Section, Sheet, items
from ledger.render.lives.page_text import PICTURES, older_names, standing_locks, turn_words
from ledger.render.lives.words import admitted_words, state_name
from ledger.render.memo.lines import in_another_mouth, in_full, structural, wording
from ledger.render.memo.notes import notes
from ledger.render.picture_words import FRAMES, panels_words, picture_sentence
from ledger.render.places import page_ref
from ledger.render.plain import one_line, plural
from ledger.render.rounds_text import entry_sentence
from ledger.render.told import day, in_a_row, place_told, plain, sentence, strong, words

#: Dates and classes are what people wrote down (trade facts, T-195 and T-196).
FOOT = (
    "This page is a working record. Its dates are those that were written down, no proof of time; the classes of "
    "alterations and the sign-offs it names are labels between the people at work on the book, not legal or contract "
    "advice."
)


def page_letter(life: PageLife) -> Letter:
    """The whole life as values; parts with nothing to tell are left out."""
    then, now = _then_and_now(life)
    sections: list[tuple[str, list[Block]]] = [
        ("What it rests on", _stale(life)),
        ("Pictures", _pictures(life.pictures)),
        ("In the script", [block for turn in life.turns for block in _turn(turn, life)]),
        *then,
        *now,
        ("Rounds, sign-offs and slips", _events(life)),
        ("Notes", notes(life.notes)),
    ]
    older = older_names(life)
    return Letter(
        title=words(life.title),
        about=f"the life of {page_name(life.label)}",
        opening=(f"It was {in_a_row([words(each) for each in older])}.",) if older else (),
        message="",
        short=tuple(_in_short(life)),
        sections=tuple(Section(title, tuple(told)) for title, told in sections if told),
        foot=FOOT,
    )


def _in_short(life: PageLife) -> Iterator[str]:
    """Where it stands, in a few rows."""
    if not any(life.labels):
        yield "The script has no page of this name."
    elif life.labels[-1] is None:
        yield "It is no longer in the script."
    else:
        page = next(each for each in life.states[-1].draft.pages if each.label == life.labels[-1])
        yield f"In the script: {plural(page.panel_count, 'panel')}, {plural(_lettered(life), 'lettered line')}."
    rounds = [event.entry for event in life.events if event.picture]
    drawn = dict.fromkeys(entry.pass_name for entry in rounds if isinstance(entry, Round))
    if drawn:
        yield f"Entered in {in_a_row([words(name) for name in drawn])}."
    if life.undrawn:
        yield f"Nothing entered of it yet in {in_a_row([words(name) for name in life.undrawn])}."
    locks = standing_locks(life)
    if locks:
        yield f"Signed off: {in_a_row([words(each) for each in locks])}."
    if life.stale:
        yield f"Stale in {in_a_row([words(each.pass_name) for each in life.stale])}."


def _lettered(life: PageLife) -> int:
    return sum(line.lettered for line in life.script_at(len(life.states) - 1))


def _stale(life: PageLife) -> list[Block]:
    told = [f"{strong(words(each.pass_name) + ':')} rests on {words(each.because)}." for each in life.stale]
    return [*items(told)]


# -- pictures


def _pictures(pictures: Sequence[LifePicture]) -> list[Block]:
    if not pictures:
        return []
    framed = any(box.changed for picture in pictures for box in picture.change.panels)
    return [Gallery(FRAMES if framed else "", tuple(map(_plate, pictures)))]


def _plate(picture: LifePicture) -> PagePlate:
    entry, change = picture.entry, picture.change
    name = words(entry.name if entry else change.pass_name)
    when = day(entry.date) if entry else "your files now"
    told = f"{strong(name)} ({when}): {_became(picture)}."
    shows = f"{one_line(change.pass_name)} {page_ref(change.page)}, {plain(name)} ({when})"
    panels = change.changed_panels
    shows += f", {panels_words(panels)} framed" if panels else ""
    return PagePlate(told, (Sheet("" if picture.shown else "It can't be shown.", shows, picture.shown),))


def _became(picture: LifePicture) -> str:
    if picture.change.kind == "added":
        return "the first picture" if picture.entry else "a picture in no round yet"
    if picture.change.kind == "same":
        return "the same drawing, saved anew"
    return picture_sentence(picture.change)


# -- the script


def _turn(turn: PageTurn, life: PageLife) -> list[Block]:
    state = life.states[turn.at]
    new = ", in no round yet" if turn.old is None and state.entry is None else ""
    head = f"{strong(words(state_name(state)))} {place_told(page_ref(turn.new or turn.old or life.label))}: "
    told: list[Block] = [Paragraph(f"{head}{turn_words(turn, life)}{new}.")]
    told += items(
        sentence(said)
        for line in turn.lines
        for said in [structural(line) or in_another_mouth(line) or wording(line)]
        if said
    )
    why = admitted_words(state.entry)
    return [*told, *([Paragraph(words(why))] if why else [])]


def _then_and_now(life: PageLife) -> tuple[list[tuple[str, list[Block]]], list[tuple[str, list[Block]]]]:
    """The page's script as it first was and as it is or last was; once where it stayed word for word."""
    there = [at for at, label in enumerate(life.labels) if label]
    if not there:
        return [], []
    then, now = life.script_at(there[0]), life.script_at(there[-1])
    gone = "" if there[-1] == len(life.states) - 1 else " when it was last there"
    last = [(f"The script{gone or ' now'}", _script(now))]
    same = [(line.speaker, line.text, line.panel) for line in then] == [(x.speaker, x.text, x.panel) for x in now]
    return ([] if same else [("The script when it came in", _script(then))]), last


def _script(lines: Sequence[Line]) -> list[Block]:
    rows = tuple((place_told(f"panel {line.panel}" if line.panel else ""), in_full(line)) for line in lines)
    return [Quoted(rows)] if rows else [Paragraph("Nothing stands on it: a page without a word.")]


# -- the ledger


def _events(life: PageLife) -> list[Block]:
    told = []
    for event in life.events:
        said = f"{place_told(day(event.entry.date))} {words(entry_sentence(event.entry))}"
        if isinstance(event.entry, Round):
            said += f" {PICTURES[event.picture]}"
        told.append(said + (f" It was {page_name(event.label)} then." if event.label != life.label else ""))
    told += [f"{words(each.name)} could not be read ({words(each.why)})." for each in life.unread]
    return [Items(tuple(told))] if told else []
