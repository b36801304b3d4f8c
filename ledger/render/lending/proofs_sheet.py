"""The sheet that goes to the printer with a proof, as Markdown: what is right, what is to be mended, and where."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from ledger.judge.lending.proof_findings import label_in, run_told
from ledger.model.pages import pages_text, pages_words
from ledger.model.proof import Proof, Run
from ledger.render.lending.proofs_text import blanks_said, count_said
from ledger.render.markdown import words
from ledger.render.plain import plural
from ledger.render.told import day

#: What the reader of the proof has to look at, not the printer.
_OURS = ("not-read", "unread")


def proofs_sheet(proof: Proof, by: str, when: date) -> str:
    """The whole sheet; the first lines say who and when, all that follows is the same for the same proof."""
    pages = pages_words(pages_text({label_in(page) for page in proof.pages}))
    passes = words(" and ".join(proof.passes), leading=False)
    return "\n\n".join([
        f"# {words(proof.book)}: proofs of {passes}, {pages} ({' and '.join(proof.deliveries)})",
        f"From {words(by.partition(' <')[0], leading=False)}, {day(when)}",
        *_told(proof),
    ]) + "\n"  # fmt: skip


def same_sheet(one: str, other: str) -> bool:
    """Whether two sheets say the same, whoever wrote them and when."""
    return one.split("\n\n")[2:] == other.split("\n\n")[2:]


def _told(proof: Proof) -> Iterator[str]:
    yield f"{plural(len(proof.sheets), 'sheet')}. {count_said(proof)}"
    theirs = [run for run in proof.runs if run.kind not in _OURS]
    ours = [run for run in proof.runs if run.kind in _OURS]
    if theirs:
        yield "## To be mended"
        yield "\n".join(_row(run, proof) for run in theirs)
    if ours:
        yield "## Not read here"
        yield "\n".join(_row(run, proof) for run in ours)
    if blanks := blanks_said(proof):
        yield blanks
    if proof.not_here:
        yield f"Not looked for here: {pages_words(pages_text(proof.not_here))}."
    yield "Sheets are counted from 1 in the order in which they came. The pages were known by their looks."


def _row(run: Run, proof: Proof) -> str:
    message, remedy = run_told(run, proof.sheets)
    return f"- {words(message)}. To do: {words(remedy, leading=False)}."
