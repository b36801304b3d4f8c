"""The verbs that only look: `compare`, `status`, `check`, `notes list`; free of any command-line library."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from ledger.cli.answer import BLOCKED, DONE, Answer, Document, document_text
from ledger.model.errors import Refusal

if TYPE_CHECKING:
    from pathlib import Path

    from ledger.desk.contents import Contents
    from ledger.model.change import Comparison
    from ledger.model.finding import Finding


def compare(
    here: Path,
    references: Sequence[str],
    *,
    everything: bool = False,
    all_lines: bool = False,
    patch: bool = False,
    to: Path | None = None,
) -> Answer:
    """What changed between two references; with `to` difference pictures are put there."""
    from ledger.desk.comparing import compare_contents, sides
    from ledger.desk.reference import open_desk

    if len(references) > 2:
        raise Refusal("compare takes two references at most", remedy="inkledger compare script-2 script-3")
    if any(name.lower().endswith(".pdf") and (here / name).is_file() for name in references):
        return _lettered(here, references, all_lines, plain=not patch and to is None)
    desk = open_desk(here)
    old, new = sides(desk, references)
    found = compare_contents(old, new, desk.repo)
    text = partial(_patch, old, new) if patch else partial(_compared, found, everything, all_lines)
    if to is not None:
        from ledger.desk.pictures.difference_pictures import write_differences

        written = write_differences(old, new, found.pictures, to)
        text = partial(_with_pictures, text, to, written)
    return Answer(text, partial(_comparison, found, all_lines), _code(found.findings))


def compared(found: Comparison, *, everything: bool = False, all_lines: bool = False) -> Answer:
    """What a comparison of drafts says."""
    text = partial(_compared, found, everything, all_lines)
    return Answer(text, partial(_comparison, found, all_lines), _code(found.findings))


def _lettered(here: Path, references: Sequence[str], all_lines: bool, *, plain: bool) -> Answer:
    """A script against the text of a PDF lettered from it."""
    from ledger.desk.lettered import check_lettering
    from ledger.render.changes.lettered import lettered_document, lettered_text

    if not plain:
        raise Refusal("a PDF is compared by its words alone", remedy="leave --patch and --out away")
    check = check_lettering(here, references)
    return Answer(partial(lettered_text, check, all_lines=all_lines),
                  partial(lettered_document, check, all_lines=all_lines), _code(check.findings))  # fmt: skip


def _compared(found: Comparison, everything: bool, all_lines: bool) -> str:
    from ledger.render.changes.text import compare_text

    return compare_text(found, everything=everything, all_lines=all_lines)


def _with_pictures(text: Callable[[], str], to: Path, written: Sequence[Path]) -> str:
    from ledger.render.picture_words import differences_text

    return f"{text()}\n\n{differences_text(to, written)}"


def _comparison(found: Comparison, all_lines: bool) -> Document:
    from ledger.render.changes.document import compare_document

    return compare_document(found, all_lines, for_print=True)


def _patch(old: Contents, new: Contents) -> str:
    from ledger.desk.comparing import sources
    from ledger.render.changes.patch import patch_text

    return patch_text(*sources(old, new))


def status(here: Path) -> Answer:
    """Where the book stands."""
    from ledger.desk.standing import standing

    found = standing(here)

    def text() -> str:
        from ledger.render.status_text import status_text

        return status_text(found)

    def document() -> Document:
        from ledger.render.documents import status_document

        return status_document(found)

    return Answer(text, document, _code(found.findings))


def check(here: Path, *, staged: bool = False) -> Answer:
    """What the rules say about the book, or about what is staged."""
    from ledger.desk.checking import check, check_staged

    findings = check_staged(here) if staged else check(here)
    nothing = "What is about to be recorded stands." if staged else "Nothing found."
    return Answer(*_judged(findings, nothing), _code(findings))


def audit(here: Path, references: Sequence[str], *, since_lock: bool = False, out: Path | None = None) -> Answer:
    """What history holds against what was agreed; `out` is where a report is written too."""
    from ledger.desk.history.auditing import audit_report

    report = audit_report(here, *references, since_lock=since_lock)

    def text() -> str:
        from ledger.render.audit_text import audit_text

        return audit_text(report)

    def document() -> Document:
        from ledger.render.documents import judged_document

        return judged_document(report.findings)

    if out is None:
        return Answer(text, document, _code(report.findings))
    from ledger.gitedge.one_file import put_whole

    if out.suffix.lower() == ".json":
        written = document_text({"schema": "inkledger/audit/1", **document()}) + "\n"
    else:
        from ledger.render.audit_page import audit_html

        written = audit_html(report)
    put_whole(here / out, written.encode("utf-8", "replace"))
    return Answer(f"{text()}\nThe report is in {out}.", document, _code(report.findings))


def _judged(findings: Sequence[Finding], nothing: str) -> tuple[Callable[[], str], Callable[[], Document]]:
    from ledger.render.documents import judged_document
    from ledger.render.findings_text import findings_text

    return lambda: findings_text(findings) or nothing, lambda: judged_document(findings)


def list_notes(
    here: Path, *, at: str | None = None, reader: str | None = None, states: tuple[str, ...] = (),
    pass_name: str | None = None, pages: str | None = None, markdown: bool = False,
) -> Answer:  # fmt: skip
    """Every note and what became of its place, or those of a reader, of some states, of a pass, on some pages."""
    from ledger.desk.notes.listing import NotesWish, list_notes

    found = list_notes(here, NotesWish(at, reader, states, pass_name, pages))

    def text() -> str:
        if markdown:
            from ledger.render.notes.markdown import notes_markdown

            return notes_markdown(found.notes, found.there)
        from ledger.render.notes.text import notes_text

        return notes_text(found.notes, found.findings, found.all, found.there)

    def document() -> Document:
        from ledger.render.documents import notes_document

        return notes_document(found.notes, found.findings)

    return Answer(text, document, BLOCKED if found.blocked else DONE)


def _code(findings: Iterable[Finding]) -> int:
    return BLOCKED if any(finding.blocks for finding in findings) else DONE
