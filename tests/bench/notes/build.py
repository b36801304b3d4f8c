"""Books of several rounds in real repositories, made by the real command, with notes on the first round."""

from __future__ import annotations

import copy
import random
from dataclasses import dataclass
from pathlib import Path

from tests.bench.notes import drawn
from tests.bench.notes.asked import Book, Note, notes_on_inks, notes_on_script
from tests.bench.notes.beside import mark_neighbours
from tests.bench.notes.moments import At
from tests.bench.pairs import line_deeds, scene_deeds
from tests.bench.pairs.revision import Revision
from tests.bench.pairs.story import Story
from tests.bench.pairs.writing import first_draft
from tests.typed_book import TypedBook

#: What is done to a script of a dozen scenes from one round to the next, and how often.
DEEDS = (
    (line_deeds.insert_page, 1.5), (line_deeds.cut_page, 0.8), (line_deeds.insert_panel, 1.5),
    (line_deeds.cut_panel, 1.0), (line_deeds.polish, 2.5), (line_deeds.move_inside, 0.7), (line_deeds.reassign, 1.5),
    (line_deeds.move_across, 0.7), (line_deeds.rewrite, 0.3), (line_deeds.gag, 0.7), (line_deeds.split_panel, 0.5),
    (scene_deeds.split, 0.5), (scene_deeds.merge, 0.5), (scene_deeds.cut, 0.4), (scene_deeds.add, 0.7),
    (scene_deeds.move_scene, 0.6), (scene_deeds.retitle, 1.0),
)  # fmt: skip

TOML = """\
[book]
title = "The Bell Pit"
pages = 400

[cast]
{cast}

[[pass]]
name = "script"
kind = "text"
files = "script/*.md"

[[pass]]
name = "inks"
kind = "art"
files = "art/inks/p{{page}}.png"

[[pass]]
name = "letters"
kind = "art"
files = "art/letters/p{{page}}.png"
from = ["inks", "script"]
"""


@dataclass
class Noted:
    """A book on disk, and its notes by id."""

    book: TypedBook
    notes: dict[str, Note]


def make_book(seed: int, top: Path) -> Noted:
    """Three rounds of script and of inks, then work since; notes of two readers on the first rounds."""
    story, chance = first_draft(seed, 10 + seed % 5)
    story.paged = story.titled = True
    stories = [story]
    for _ in range(3):
        stories.append(revised(stories, chance))
    pictures = [drawn.begin(chance, 7)]
    for _ in range(3):
        pictures.append(drawn.revise(chance, pictures))
    truth = Book([At(each) for each in stories], pictures)
    rounds = {
        "ida-1": ("Ida Kestrel", "script-1", notes_on_script(truth, chance, 20)),
        "marsh-1": ("E. Marsh", "script-1", notes_on_script(truth, chance, 15)),
        "osk-1": ("Osk", "inks-1", notes_on_inks(truth, chance, 8)),
    }
    rounds["marsh-1"][2].extend(_same_places(rounds["ida-1"][2], chance))
    notes = {f"{name}/{n}": note for name, (_, _, found) in rounds.items() for n, note in enumerate(found, 1)}
    for name, note in notes.items():
        note.round = name.partition("/")[0]
    mark_neighbours(list(notes.values()), truth)
    book = _written(truth, top)
    for name, (reader, on, found) in rounds.items():
        typed = "\n".join(note.typed.replace("NUMBER", str(n)) for n, note in enumerate(found, 1))
        book.write(f"notes/{name}.md", f"from: {reader}\non: {on}\n\n{typed}\n")
    return Noted(book, notes)


def _same_places(others: list[Note], chance: random.Random) -> list[Note]:
    """Another reader's open notes on places that one has marked."""
    able = [note for note in others if note.kind in ("phrase", "panel")]
    found = []
    for note in chance.sample(able, min(4, len(able))):
        head = note.typed.partition("\n")[0].replace("[x]", "[ ]")
        changed = note.now.touched
        standing = None if changed is None else frozenset({"open-but-changed"} if changed else ())
        found.append(
            Note(note.kind, "open", head, note.then, note.now, standing, row=note.row, quote=note.quote, waits=True)
        )
    return found


def revised(stories: list[Story], chance: random.Random) -> Story:
    """The next round of a script."""
    rev = Revision(copy.deepcopy(stories[-1]), chance, brutal=False)
    rev.written |= rev.story.twins
    todo = [deed for deed, times in DEEDS for _ in range(int(times) + (chance.random() < times % 1))]
    chance.shuffle(todo)
    for deed in todo:
        deed(rev)
        rev.story.tidy()
    if len(stories) > 1:
        _put_back(stories, rev.story, chance)
    return rev.story


def _put_back(stories: list[Story], now: Story, chance: random.Random) -> None:
    """Lines get the words again that they had at first: done, then undone."""
    first = {row.id: row for row in stories[0].rows()}
    other = [row for row in now.rows() if row.id in first and row.text != first[row.id].text]
    for row in chance.sample(other, min(3, len(other))):
        row.sentences = copy.deepcopy(first[row.id].sentences)
        row.who = first[row.id].who


def _written(truth: Book, top: Path) -> TypedBook:
    book = TypedBook(top)
    names = truth.script[0].story.names
    book.write("book.toml", TOML.format(cast="\n".join(f'{name.upper()} = "{name}"' for name in names)))
    book.git("init", "-q", "-b", "main")
    for n, (script, inks) in enumerate(zip(truth.script, truth.inks, strict=True)):
        book.write("script/01.md", script.typed.text)
        for place in (top / "art/inks").glob("*.png"):
            place.unlink()
        for path, data in drawn.files(inks).items():
            book.write(path, data)
        if n < len(truth.script) - 1:
            book.ledger("enter", "script", "-m", f"draft {n + 1}")
            book.ledger("enter", "inks", "-m", f"round {n + 1}")
    return book
