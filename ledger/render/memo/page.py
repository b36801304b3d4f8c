"""The change memo as one HTML file."""

from __future__ import annotations

from ledger.model.change import Comparison
from ledger.model.memo import MemoFacts
from ledger.render.memo.change_memo import memo_letter
from ledger.render.page import set_page


def memo_html(comparison: Comparison, facts: MemoFacts) -> str:
    """The whole memo, in the sentences of the Markdown one; small changes of wording are folded, not left out."""
    return set_page("letter.html", styles=("letter.css", "gallery.css"), letter=memo_letter(comparison, facts))
