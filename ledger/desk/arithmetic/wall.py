"""`wallchart`: page by pass, from what was entered, what is signed off, what is stale and what notes wait."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from ledger.desk.notes.gathered import followed_notes
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.stale_pages import stale_now
from ledger.desk.standing import pages_away
from ledger.model.errors import Refusal
from ledger.model.pages import page_numbers, parse_pages
from ledger.model.script import Draft
from ledger.model.standing import Away
from ledger.plan.block import story_pages
from ledger.plan.wall import Column, Row, Wall, halves, wall_pages
from ledger.read.anchors import read_anchor
from ledger.read.state import BookState

#: Notes in these states wait for somebody.
_WAITING = ("open", "query")


def wallchart(here: Path, chapter: str | None = None) -> Wall:
    """The wallchart of your files now. Raises Refusal where there is no book, or no such chapter."""
    book = open_book(here)
    state = book.working
    draft, stale = state.script_draft(), stale_now(book, state)
    columns = [Column(p, state.entries, state.exports(p), stale) for p in state.book.passes if p.kind == "art"]
    omitted = {n for page in draft.pages if page.omitted for n in page_numbers(page.label)}
    story = [page for page in range(1, story_pages(draft, state.book) + 1) if page not in omitted]
    chosen, name = _chapter(draft, chapter)
    notes = _notes(book, state)
    rows = tuple(
        Row(page, {column.name: column.cell(page) for column in columns}, notes[page])
        for page in wall_pages(story, columns)
        if chosen is None or page in chosen
    )
    return Wall(state.book.title, tuple(column.name for column in columns), rows, stale, name, _away(state, rows))


def _called(title: str) -> tuple[str, ...]:
    """What a chapter may be called by: its whole title, and what stands behind its colon."""
    _, colon, words = title.casefold().partition(":")
    return (title.casefold(), words.strip()) if colon else (title.casefold(),)


def _chapter(draft: Draft, typed: str | None) -> tuple[set[str] | None, str]:
    """The pages of a chapter, by its number or title (also without `Chapter 2:`), and what it is called."""
    if typed is None:
        return None, ""
    chapters = {scene.number_of_chapter: scene.chapter for scene in draft.scenes if scene.number_of_chapter}
    said = typed.strip().casefold()
    wanted = [n for n, title in chapters.items() if said in (str(n), *_called(title))]
    if not wanted:
        known = f"1 to {max(chapters)}" if chapters else "none"
        raise Refusal(f"there is no chapter {typed!r}", remedy=f"chapters in order: {known}")
    lines = [line for scene in draft.scenes if scene.number_of_chapter == wanted[0] for line in scene.lines]
    numbers = [number for line in lines for number in page_numbers(line.page or "")]
    # A page without a word between two of the chapter is one of it.
    pages = {str(number) for number in range(min(numbers), max(numbers) + 1)} if numbers else set()
    return pages, chapters[wanted[0]] or f"chapter {wanted[0]}"


def _away(state: BookState, rows: Iterable[Row]) -> tuple[Away, ...]:
    """Hand-offs not answered yet, of a page that is shown."""
    shown = {row.page for row in rows}
    return tuple(each for each in pages_away(state) if any(page in parse_pages(each.pages) for page in shown))


def _notes(book: OpenBook, state: BookState) -> Counter[str]:
    """Page -> notes on it that wait, where their places are now."""
    found: Counter[str] = Counter()
    for each in followed_notes(book, state):
        if each.note.state in _WAITING and each.place_now:
            pages = _page_of(each.place_now)
            found.update(pages)
    return found


def _page_of(place: str) -> list[str]:
    anchor = read_anchor(place)
    return halves(anchor.page) if anchor and anchor.page else []
