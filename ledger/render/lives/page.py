"""The life of a page as one HTML file."""

from __future__ import annotations

from ledger.model.life import PageLife
from ledger.render.lives.page_letter import page_letter
from ledger.render.page import set_page


def life_html(life: PageLife) -> str:
    """The whole life: pictures, script, rounds, sign-offs, slips, notes, and what it rests on."""
    return set_page("letter.html", styles=("letter.css", "gallery.css"), letter=page_letter(life))
