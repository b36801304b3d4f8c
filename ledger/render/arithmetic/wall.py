"""The wallchart on a terminal: a row a pass, a sign a page, what the signs mean, and the same counted in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from ledger.model.pages import page_numbers, pages_text
from ledger.model.stale import for_one_reason
from ledger.plan.wall import Cell, Row, Wall
from ledger.render.lending.away_words import away_words
from ledger.render.places import pages_ref
from ledger.render.plain import clip, columns, one_line, plural, wrapped

#: Pages in a band.
_BAND = 60
_SIGNS = {"missing": "!", "stale": "~", "locked": "#", "none": "."}
_WORDS = {
    "missing": "was entered, its file is gone", "stale": "stale", "locked": "signed off", "none": "not begun",
    "entered": "entered",
}  # fmt: skip
#: Reasons for stale pages shown; `check` names all.
_REASONS = 6


def wallchart_document(wall: Wall) -> dict[str, Any]:
    """`wallchart`: a cell for every page and drawn pass."""
    return {
        "passes": list(wall.passes),
        "pages": [
            {"page": row.page, "cells": {name: cell._asdict() for name, cell in row.cells.items()}} for row in wall.rows
        ],
    }


def wall_text(wall: Wall) -> str:
    """The whole wallchart within 80 columns."""
    of = f": {one_line(wall.chapter)}" if wall.chapter else ""
    rows = [clip(f"{one_line(wall.title)}{of}", 80)]
    if not wall.passes:
        return "\n".join([*rows, "", "No pass of this book is drawn."])
    story = [row for row in wall.rows if page_numbers(row.page)]
    margin = min(max(columns(one_line(name)) for name in (*wall.passes, "notes")), 16) + 2
    for start in range(0, len(story), _BAND):
        rows += ["", *_band(wall, story[start : start + _BAND], margin)]
    for row in wall.rows:
        if not page_numbers(row.page):
            rows.append(
                wrapped(f"{row.page}: {', '.join(f'{name} {cell_words(cell)}' for name, cell in row.cells.items())}")
            )
    return "\n".join([*rows, "", *_legend(wall), "", *map(wrapped, counted_words(wall)), *_away(wall), *_stale(wall)])


def _band(wall: Wall, band: Sequence[Row], margin: int) -> Iterator[str]:
    yield (" " * margin + _ruler(band)).rstrip()
    for name in wall.passes:
        shown = clip(one_line(name), margin - 2)
        yield shown + " " * (margin - columns(shown)) + "".join(_sign(row.cells[name]) for row in band)
    if any(row.notes for row in band):
        yield f"{'notes':<{margin}}" + "".join(_many(row.notes) if row.notes else "." for row in band)


def _ruler(band: Sequence[Row]) -> str:
    """The numbers of the first page and of every tenth, each above its page."""
    told = ""
    for at, row in enumerate(band):
        if len(told) <= at and (at == 0 or int(row.page) % 10 == 0) and at + len(row.page) <= max(len(band), 4):
            told = f"{told:<{at}}{row.page} "
    return told


def _sign(cell: Cell) -> str:
    return _SIGNS.get(cell.state) or _many(cell.round)


def _many(count: int) -> str:
    return str(count) if count < 10 else "+"


def cell_words(cell: Cell) -> str:
    """A cell in words: `entered (2 pictures)`."""
    return f"{_WORDS[cell.state]} ({plural(cell.round, 'picture')})" if cell.round else _WORDS[cell.state]


def _legend(wall: Wall) -> Iterator[str]:
    """What the signs mean; only those that are there."""
    there = {cell.state for row in wall.rows for cell in row.cells.values()}
    told = ["1-9 entered, in so many different pictures"] if "entered" in there else []
    told += [f"{_SIGNS[state]} {_WORDS[state]}" for state in ("locked", "stale", "missing", "none") if state in there]
    told += ["notes: how many wait there"] if any(row.notes for row in wall.rows) else []
    yield wrapped("; ".join(told))


def counted_words(wall: Wall) -> Iterator[str]:
    """Each pass in words, with the pages where something is the matter."""
    for name in wall.passes:
        cells = {row.page: row.cells[name] for row in wall.rows}
        counts = Counter(cell.state for cell in cells.values())
        told = [f"{counts[state]} {_WORDS[state]}" for state in ("entered", "locked") if counts[state]]
        for state in ("stale", "missing"):
            pages = [page for page, cell in cells.items() if cell.state == state]
            told += [f"{pages_ref(pages).replace(',', ', ')} {_WORDS[state]}"] if pages else []
        told += [f"{counts['none']} not begun"] if counts["none"] else []
        yield f"{one_line(name)}: {', '.join(told)}"


def _away(wall: Wall) -> Iterator[str]:
    if wall.away:
        yield ""
    yield from (wrapped(away_words(each)) for each in wall.away)


def _stale(wall: Wall) -> Iterator[str]:
    """Why pages are stale, as `status` says it."""
    shown = {row.page for row in wall.rows}
    groups = [g for g in for_one_reason(wall.stale.pages) if any(_halves(each.page) & shown for each in g)]
    if groups:
        yield ""
    for group in groups[:_REASONS]:
        rests = "rests" if len(group) == 1 else "rest"
        pages = pages_text(each.page for each in group)
        yield wrapped(f"~ {one_line(group[0].pass_name)} p{pages} {rests} on {one_line(group[0].because)}")
    if len(groups) > _REASONS:
        yield f"  and {len(groups) - _REASONS} more (inkledger check names all)"


def _halves(label: str) -> set[str]:
    return {str(number) for number in page_numbers(label)} or {label}
