"""What `notes list` costs on a long book with many notes, told in units of `python -c pass`."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.bench.notes.asked import Book, notes_on_script
from tests.bench.notes.build import TOML, revised
from tests.bench.notes.moments import At
from tests.bench.pairs.writing import first_draft
from tests.bench.ratio import ratios, within
from tests.typed_book import TypedBook

#: The most units it may take on a book of so many pages, script rounds and notes.
MOST, PAGES, ROUNDS, NOTES = 40.0, 160, 12, 600
#: How many scenes the first draft has, so that the last one fills the pages.
_SCENES, _READERS = 69, 4


def long_book(top: Path) -> tuple[TypedBook, int]:
    """A book of this size in a real repository, notes of four readers on its first round; and how many pages it has."""
    story, chance = first_draft(77, _SCENES)
    story.paged = story.titled = True
    stories = [story]
    while len(stories) < ROUNDS:
        stories.append(revised(stories, chance))
    rounds = [At(each) for each in stories]
    book = TypedBook(top)
    book.write("book.toml", TOML.format(cast="\n".join(f'{name.upper()} = "{name}"' for name in story.names)))
    book.git("init", "-q", "-b", "main")
    for number, each in enumerate(rounds, 1):
        book.write("script/01.md", each.typed.text)
        book.ledger("enter", "script", "-m", f"draft {number}")
    truth, share = Book([rounds[0], rounds[ROUNDS // 2], rounds[-1]], []), NOTES // _READERS
    for reader in range(_READERS):
        found = notes_on_script(truth, chance, share + 10)[:share]
        typed = "\n".join(note.typed.replace("NUMBER", str(n)) for n, note in enumerate(found, 1))
        book.write(f"notes/reader{reader}-1.md", f"from: Reader {reader}\non: script-1\n\n{typed}\n")
    return book, len({at.page for at in rounds[-1].rows.values()})


def speed(times: int) -> None:
    """Prints the ratio; the first run, which finds out what later ones know, is told beside it."""
    listing = [sys.executable, "-m", "ledger", "notes", "list"]
    with tempfile.TemporaryDirectory() as folder:
        book, pages = long_book(Path(folder) / "book")
        first = ratios({"list": listing}, cwd=book.top, times=1)["list"]
        found = ratios({"list": listing}, cwd=book.top, times=times)["list"]
        count = len(book.ledger("notes", "list", "--json").document["notes"])
    print(
        f"notes list, {pages} pages, {ROUNDS} rounds, {count} notes: {within(found, MOST, 'x python -c pass')}; "
        f"the first time {first:.0f}"
    )
