"""Wallchart and openings written as pages, with the exports small where there are any."""

from __future__ import annotations

from pathlib import Path

from ledger.desk.opening import open_book
from ledger.desk.pictures.thumbnails import by_page, thumbnails
from ledger.gitedge.one_file import put_whole
from ledger.plan.openings import Spreads
from ledger.plan.wall import Wall
from ledger.render.arithmetic.chart_pages import Pictures, spreads_html, wallchart_html


def write_wallchart(here: Path, wall: Wall, to: Path) -> None:
    """Writes the wallchart."""
    _write(wallchart_html(wall, _pictures(here)), to)


def write_spreads(here: Path, found: Spreads, to: Path) -> None:
    """Writes the openings."""
    _write(spreads_html(found, _pictures(here)), to)


def _pictures(here: Path) -> Pictures:
    book = open_book(here)
    made = thumbnails(book.working, book.working.book.passes, repo=book.repo)
    return {name: by_page(shown) for name, shown in made.items()}


def _write(text: str, to: Path) -> None:
    put_whole(to, text.encode("utf-8"))
