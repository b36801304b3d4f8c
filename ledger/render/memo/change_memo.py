"""The change memo: what happened between two rounds, told to a reader, the weighty first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date, datetime

from ledger.model.change import Comparison, PictureChange, SceneChange, Side
from ledger.model.memo import MemoFacts
from ledger.render.changes.document import in_page_order
from ledger.render.changes.page_runs import page_sentences, panel_sentence
from ledger.render.letter import Block, Letter, Section, items
from ledger.render.markdown import letter_markdown
from ledger.render.memo.notes import alterations, notes, stale
from ledger.render.memo.pictures import gallery
from ledger.render.memo.scenes import polish, speakers, structure, wordings
from ledger.render.picture_words import panels_words
from ledger.render.places import ACROSS, page_ref, pages_ref, side_text
from ledger.render.told import day, in_a_row, sentence, strong, words

#: A class or a sign-off is a label between people (trade facts, T-196).
FOOT = (
    "This memo is a working record. The classes of alterations and the sign-offs it names are labels between the "
    "people at work on the book, not legal or contract advice."
)
_PICTURES = {
    "layout": "laid out anew", "redrawn": "redrawn", "swapped": "holding another page's picture", "added": "new",
    "missing": "no longer there", "touch-up": "touched up",
}  # fmt: skip
#: The same of one page and of several, to end a sentence.
_HAPPENED = {
    "layout": ("was laid out anew", "were laid out anew"),
    "redrawn": ("was redrawn", "were redrawn"),
    "swapped": ("holds another page's picture", "hold other pages' pictures"),
    "added": ("is new", "are new"),
    "missing": ("is no longer there", "are no longer there"),
    "touch-up": ("was touched up", "were touched up"),
}


def memo_markdown(comparison: Comparison, facts: MemoFacts) -> str:
    """The whole memo as Markdown, ending in one line feed."""
    return letter_markdown(memo_letter(comparison, facts))


def memo_letter(comparison: Comparison, facts: MemoFacts) -> Letter:
    """The memo as values: sections in the order of their weight, those with nothing to tell left out."""
    draft = comparison.draft
    theirs = [each for each in facts.notes if facts.reader and each.is_from(facts.reader)]
    others = [each for each in facts.notes if each not in theirs]
    sections: list[tuple[str, list[Block]]] = [
        ("Your notes", notes(theirs)),
        ("Scenes and lines", structure(draft)),
        ("Who speaks", speakers(draft)),
        ("Pages and panels", _pages(comparison)),
        ("Wording", wordings(draft)),
        ("Polish", polish(draft)),
        ("Pictures", [*_pictures(comparison.pictures), *gallery(facts.plates, facts.old_name, facts.new_name)]),
        ("Notes from others" if theirs else "Notes", notes(others)),
        ("What was made before this change", stale(facts.stale)),
        ("Alterations", alterations(facts.slips)),
    ]
    old, new = words(side_text(facts.old_name)), words(side_text(facts.new_name))
    return Letter(
        title=words(facts.title),
        about=f"what changed from {old} to {new}",
        opening=tuple(_opening(facts, old, new, strangers=bool(facts.notes) and not theirs)),
        message=words(facts.message) if facts.message else "",
        short=tuple(_in_short(comparison)),
        sections=tuple(Section(title, tuple(told)) for title, told in sections if told),
        foot=FOOT,
    )


def _opening(facts: MemoFacts, old: str, new: str, *, strangers: bool) -> Iterator[str]:
    """For whom it is, and of which days; `strangers` is whether all notes are somebody else's."""
    if facts.reader:
        yield f"For {words(facts.reader)}."
        if strangers:
            yield "None of your notes is about this change."
    if facts.old_date or facts.new_date:
        yield f"From {_dated(old, facts.old_date)} to {_dated(new, facts.new_date)}."


def _dated(name: str, when: date | datetime | None) -> str:
    return f"{name} ({day(when)})" if when else name


def _in_short(comparison: Comparison) -> list[str]:
    """The change in a few rows: scenes, pictures, and the numbers before and after."""
    scenes, pictures = comparison.draft.scenes, comparison.pictures
    told = [_scene_sentence(scenes)] if scenes else []
    drawn = Counter(p.kind for p in pictures if p.kind != "same")
    if drawn:
        told.append("Pictures: " + ", ".join(f"{drawn[k]} {w}" for k, w in _PICTURES.items() if drawn[k]) + ".")
    if not scenes and not drawn:
        told.append("No page is laid out anew." if comparison.across else "Nothing has changed.")
    told += [ACROSS] if comparison.across else []
    return [*told, *_numbers(comparison.old, comparison.new)]


def _scene_sentence(scenes: Iterable[SceneChange]) -> str:
    kept = list(scenes)
    counts = Counter(change.kind for change in kept)
    kinds = ("split", "merged", "cut", "new", "rewritten", "polished")
    told = [f"{counts[kind]} {kind}" for kind in kinds if counts[kind]]
    moved = sum(change.moved for change in kept)
    told += [f"{moved} moved"] if moved else []
    if not told:
        return "No scene has changed in its words."
    rest = f"; {counts['kept']} stayed word for word" if counts["kept"] else ""
    return f"Of the scenes {in_a_row([f'{one.split()[0]} {_was(one)}' for one in told])}{rest}."


def _was(told: str) -> str:
    """`was split`, `were cut`, `is new`."""
    count, kind = told.split()
    one = count == "1"
    if kind == "new":
        return "is new" if one else "are new"
    return f"{'was' if one else 'were'} {kind}"


def _numbers(old: Side, new: Side) -> list[str]:
    """`Words: 4,210 before, 4,388 now (178 more). Pages: 48 before, 49 now.`"""
    told = []
    for noun in ("words", "scenes", "pages", "panels"):
        before, after = getattr(old, noun), getattr(new, noun)
        if not before and not after:
            continue
        if before == after:
            told.append(f"{noun.capitalize()}: {after:,} as before.")
            continue
        more = f"{abs(after - before):,} {'more' if after > before else 'fewer'}"
        told.append(f"{noun.capitalize()}: {before:,} before, {after:,} now ({more}).")
    return told


def _pages(comparison: Comparison) -> list[Block]:
    told = [sentence(said) for said in page_sentences(comparison.draft.pages)]
    for page in comparison.draft.pages:
        said = panel_sentence(page.panels)
        if said and page.old and page.new:
            now = f" (now {page_ref(page.new)})" if page.new != page.old else ""
            told.append(f"On {page_ref(page.old)}{now} {said}.")
    return [*items(told)]


def _pictures(pictures: Iterable[PictureChange]) -> list[Block]:
    """`inks: p3 (panel 2) and p7 were redrawn.`"""
    groups: dict[tuple[str, str], list[PictureChange]] = {}
    for picture in in_page_order(pictures):
        groups.setdefault((picture.pass_name, picture.kind), []).append(picture)
    told = [
        f"{strong(words(name) + ':')} {_told_pages(found)} {_HAPPENED[kind][len(found) > 1]}."
        for (name, kind), found in groups.items()
        if kind in _HAPPENED
    ]
    return [*items(told)]


def _told_pages(pictures: list[PictureChange]) -> str:
    """Page by page with the panels that changed; as runs where no panel is known."""
    told = []
    for picture in pictures:
        changed = picture.changed_panels
        told.append(page_ref(picture.page) + (f" ({panels_words(changed)})" if changed else ""))
    return in_a_row(told) if any("(" in each for each in told) else pages_ref(p.page for p in pictures)
