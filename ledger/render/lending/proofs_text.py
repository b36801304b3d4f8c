"""What `receive --proofs` says: on a terminal and as a document."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from ledger.judge.lending.proof_findings import label_in, run_told, sheets_words
from ledger.model.outcome import Outcome
from ledger.model.pages import pages_text, pages_words
from ledger.model.proof import Proof, ProofSheet
from ledger.render.outcome import outcome_document
from ledger.render.plain import one_line, plural, wrapped

#: So many ids of notes are named.
_NAMED = 8


def count_said(proof: Proof) -> str:
    """`157 of 160 pages are there once, in their place and as delivered.`"""
    right, every = len(proof.right), len(proof.pages)
    if right == every:
        return f"All of the {plural(every, 'page')} delivered are there, once and in their place."
    return f"{right} of {plural(every, 'page')} {'is' if right == 1 else 'are'} there, once and in their place."


def blanks_said(proof: Proof) -> str:
    """The blank sheets that stand where nothing speaks against them; "" for none."""
    told = {each.sheet for each in proof.astray if each.kind == "blank"}
    blank = [sheet.number for sheet in proof.sheets if sheet.blank and sheet.number not in told]
    return f"Blank, as a printer fills up a signature: {sheets_words(blank)}." if blank else ""


def proofs_said(
    proof: Proof, outcome: Outcome, sheet: str, notes: str, fresh: int, before: Sequence[str], gone: Sequence[str],
    only: bool,
) -> Iterator[str]:  # fmt: skip
    """Sentences: how many pages are right, what was written where, and what comes next.

    `sheet` and `notes` are what was written, "" for nothing, with `fresh` new notes; `before` are the rounds that have
    the others already, `gone` the ids of open notes that this proof gives no cause for.
    """
    whose = f"Proofs of {' and '.join(proof.deliveries)}"
    labels = {label_in(page) for page in proof.pages}
    what = f"{' and '.join(proof.passes)}, {pages_words(pages_text(labels))}"
    yield f"{whose}: {what}; {plural(len(proof.sheets), 'sheet')}."
    yield count_said(proof)
    yield from (f"- {said}" for said in _runs(proof))
    if blanks := blanks_said(proof):
        yield blanks
    if proof.not_here:
        yield f"Not on this machine, so not looked for: {pages_words(pages_text(proof.not_here))}."
    yield "Pages are known by their looks: whether every line and word is as delivered is for your eyes."
    if only:
        yield "Nothing was written."
    elif outcome.entry:
        yield f"{outcome.entry} is recorded."
    else:
        yield "Received before: nothing was written."
    if notes:
        yield f"{plural(fresh, 'note')} {'is' if fresh == 1 else 'are'} in notes/{notes}.md."
    if before:
        yield f"In your notes already: {', '.join(map(one_line, before))}."
    if gone:
        more = f" and {len(gone) - _NAMED} more" if len(gone) > _NAMED else ""
        yield f"No longer so, and still open in your notes: {', '.join(map(one_line, gone[:_NAMED]))}{more}."
    if sheet and proof.runs:
        yield f"For the printer: {sheet}"


def _runs(proof: Proof) -> Iterator[str]:
    for run in proof.runs:
        message, remedy = run_told(run, proof.sheets)
        yield f"{one_line(message)}. To do: {one_line(remedy)}."


def proofs_text(outcome: Outcome) -> str:
    """The sentences within the width of a terminal; what stands in a list hangs."""
    rows = [wrapped(said, hang="  " if said.startswith("- ") else "") for said in outcome.said]
    aside = [each.path for each in outcome.findings if each.rule == "return-names" and not each.blocks and each.path]
    if aside:
        rows.append(wrapped(f"Left aside, being no sheets: {', '.join(map(one_line, aside))}.", hang=""))
    return "\n".join(rows)


def proofs_document(outcome: Outcome, proof: Proof) -> dict[str, Any]:
    """The document of commands.md §3; beside the pages expected the sheets that came."""
    where = {page: sheet for sheet in reversed(proof.sheets) for page in sheet.pages}
    right = set(proof.right)
    pages = [_page(page, where.get(page), page in right) for page in proof.pages]
    return {**outcome_document(outcome), "pages": pages, "sheets": [_sheet(each) for each in proof.sheets]}


def _page(page: str, sheet: ProofSheet | None, right: bool) -> dict[str, Any]:
    seen = sheet or ProofSheet(0, "")
    return {
        "page": page, "path": seen.path, "sha256": seen.sha256 or None, "size": seen.size, "px": list(seen.px),
        "mode": seen.mode or None, "ppi": seen.ppi, "accepted": right, "placed": None,
    }  # fmt: skip


def _sheet(each: ProofSheet) -> dict[str, Any]:
    state = "not read" if each.unread else "page" if each.pages else "blank" if each.blank else "not known"
    return {"sheet": each.number, "path": each.path, "at": each.at or None, "pages": list(each.pages), "state": state}
