"""Two drafts that no book holds, compared without anything that only a book needs.

Finding out what a name means, and what stands around a draft in a book, takes longer to import than two short drafts
take to compare.
"""

from __future__ import annotations

import os
from collections.abc import Sequence

from ledger.gitedge.outside import surely_outside
from ledger.model.change import Comparison, Side
from ledger.model.finding import Finding
from ledger.model.pages import page_numbers
from ledger.model.script import Draft


def compare_plain(here: str, references: Sequence[str]) -> Comparison | None:
    """What changed between two typed drafts outside any book; None where the names mean anything else, or may.

    `here` is the folder one stands in.
    """
    if len(references) != 2 or not surely_outside(here):
        return None
    drafts = [_draft(here, name) for name in references]
    if None in drafts:
        return None
    before, after = (draft for draft in drafts if draft is not None)
    from ledger.compare import compare_drafts

    findings = tuple(dict.fromkeys([*after.findings, *unheard(before)]))
    sides = draft_side(references[0], before), draft_side(references[1], after)
    return Comparison(*sides, compare_drafts(before, after), findings=findings)


def _draft(here: str, name: str) -> Draft | None:
    path = os.path.join(here, name)
    if ":" in name or not path.lower().endswith((".md", ".txt")) or not os.path.isfile(path):
        return None
    from ledger.read.script import read_script

    try:
        with open(path, "rb") as file:
            return read_script([(os.path.basename(path), file.read())], ())
    except OSError:
        return None


def draft_side(name: str, draft: Draft) -> Side:
    """One side of a comparison in numbers; a spread counts as two pages."""
    labels = [page.label for page in draft.pages if not page.omitted]
    pages = sum(1 if label.isdecimal() else len(page_numbers(label)) or 1 for label in labels)
    return Side(name, draft.words, len(draft.scenes), pages, draft.panels)


def unheard(draft: Draft | None) -> list[Finding]:
    """What the reader of the old draft could not take in: without it a difference may mislead."""
    return [f for f in draft.findings if f.rule in ("encoding", "text-dropped")] if draft else []
