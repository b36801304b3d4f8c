"""Wallchart and openings as pages to open in a browser."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any, NamedTuple

from ledger.model.pages import page_name, page_numbers
from ledger.model.plate import Shown
from ledger.model.stale import for_one_reason
from ledger.plan.openings import Opening, Side, Spreads
from ledger.plan.wall import Wall
from ledger.render.arithmetic.spreads import extent_words, sheets_words
from ledger.render.arithmetic.wall import cell_words, counted_words
from ledger.render.lending.away_words import away_words
from ledger.render.page import set_page
from ledger.render.places import pages_ref
from ledger.render.plain import visible

#: Pass -> page -> its picture, small.
Pictures = Mapping[str, Mapping[str, Shown]]
#: A side on which nothing is bound.
_NOTHING = "nothing"


class _Half(NamedTuple):
    said: str
    picture: Shown | None = None
    pass_name: str = ""


def wallchart_html(wall: Wall, pictures: Pictures) -> str:
    """The wallchart: a table, a word and where there is one a picture in every cell."""
    rows = [
        {
            "page": row.page,
            "notes": f"{row.notes} waiting" if row.notes else "none",
            "cells": [
                {
                    "state": cell.state, "said": cell_words(cell), "picture": pictures.get(name, {}).get(row.page),
                    "alt": visible(f"{page_name(row.page)} of {name}"),
                }
                for name, cell in row.cells.items()
            ],
        }
        for row in wall.rows
    ]  # fmt: skip
    return set_page(
        "wallchart.html", styles=["chart.css"], title=visible(wall.title), chapter=visible(wall.chapter),
        passes=[visible(name) for name in wall.passes], rows=rows, counted=[visible(s) for s in counted_words(wall)],
        away=[away_words(each) for each in wall.away],
        stale=[visible(sentence) for sentence in _stale(wall)],
    )  # fmt: skip


def _stale(wall: Wall) -> Iterator[str]:
    for group in for_one_reason(wall.stale.pages):
        rests = "rests" if len(group) == 1 else "rest"
        yield f"{group[0].pass_name} {pages_ref(each.page for each in group)} {rests} on {group[0].because}"


def spreads_html(found: Spreads, pictures: Pictures) -> str:
    """The book as openings, signature by signature; of each page the picture of the pass that is furthest on."""
    wrong = {
        n: f.message for f in found.findings if f.page and f.rule != "page-number" for n in page_numbers(f.page)[:1]
    }
    sheets: list[dict[str, Any]] = [
        {"number": number, "openings": [_opening(each, found.reading, pictures, wrong) for each in group]}
        for number, group in groupby(found.openings, key=lambda opening: opening.signature)
    ]
    return set_page(
        "spreads.html", styles=["chart.css"], title=visible(found.title), sheets=sheets,
        facts=[visible(extent_words(found)), sheets_words(found)],
        findings=[visible(f"{f.rule}: {f.message}") for f in found.findings],
    )  # fmt: skip


def _opening(opening: Opening, reading: str, pictures: Pictures, wrong: Mapping[int, str]) -> dict[str, Any]:
    verso, recto = (_half(side, pictures) for side in (opening.verso, opening.recto))
    left, right = (verso, recto) if reading == "ltr" else (recto, verso)
    told = ["One picture over both pages."] if opening.spread else []
    told += [f"Reveal on {page_name(label)}." for label in opening.reveals]
    for side in (opening.verso, opening.recto):
        number = next(iter(page_numbers(side.page)), 0) if side else 0
        told += [f"To look at: {visible(wrong[number])}."] if number in wrong else []
    return {"left": left, "right": right, "spread": opening.spread, "told": told}


def _half(side: Side | None, pictures: Pictures) -> _Half:
    if side is None:
        return _Half(_NOTHING)
    for name, shown in reversed(list(pictures.items())):
        if side.page in shown:
            return _Half(page_name(side.page), shown[side.page], visible(name))
    return _Half(page_name(side.page))
