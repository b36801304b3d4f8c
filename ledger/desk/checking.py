"""`check`: the whole book as it lies there, or what is about to be recorded."""

from __future__ import annotations

import os
from pathlib import Path

from ledger.desk.casts import cast_lookup
from ledger.desk.notes.gathered import findings_of_notes
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.pictures.picture_memory import prints_remembered, remember_prints
from ledger.desk.pictures.when_asked import looked_at_when_asked
from ledger.desk.staged import bases_of_next, draft_findings, staged_findings
from ledger.desk.stale_pages import stale_now
from ledger.desk.working_files import working_files
from ledger.gitedge.tags import moved_tags
from ledger.judge.agreed.doors import all_standing
from ledger.judge.agreed.ledger_rules import tag_findings
from ledger.judge.exports.behind import exports_behind
from ledger.judge.exports.judged import judge_exports
from ledger.judge.levels import apply_rules, lowered_in_vain
from ledger.judge.resting.findings import stale_findings
from ledger.model.finding import Finding
from ledger.read.state import BookState


def check(here: Path) -> tuple[Finding, ...]:
    """Everything that stands in your files now, old and new: locks, ledger, drafts, exports, notes, stale pages."""
    book = open_book(here)
    state = book.working
    with looked_at_when_asked(book.repo) as pictures:
        found = all_standing(
            bases_of_next(book.repo), state, state.snapshot.store, cast_then=cast_lookup(book.repo),
            pictures=pictures,
        )  # fmt: skip
    told = {(finding.rule, finding.path) for finding in found}
    work = [finding for finding in _of_work(book, state) if (finding.rule, finding.path) not in told]
    return (*found, *apply_rules(work, state.book.rules), *lowered_in_vain(state.book.rules), *_moved_tags(book))


def check_staged(here: Path) -> tuple[Finding, ...]:
    """What the commit about to be made must answer for: the question the hooks ask.

    Raises Refusal where there is no book, neither in it nor before it.
    """
    found = staged_findings(os.fspath(here))
    if not found:
        _ = open_book(here).staged
    return found


def _of_work(book: OpenBook, state: BookState) -> list[Finding]:
    """What the rules of drafts, exports and notes have to say, whatever is signed off."""
    return [
        *draft_findings(state),
        *_of_exports(book, state),
        *exports_behind(working_files(book.repo.top, state)),
        *stale_findings(stale_now(book, state)),
        *findings_of_notes(book),
    ]


def _of_exports(book: OpenBook, state: BookState) -> tuple[Finding, ...]:
    """The rules of exports; a picture that was decoded before is not decoded again."""
    prints = prints_remembered(book.repo)
    known = len(prints)
    found = judge_exports(state, state.snapshot.read, prints=prints)
    if len(prints) > known:
        remember_prints(book.repo, prints)
    return found


def _moved_tags(book: OpenBook) -> list[Finding]:
    """Tags whose commit does not hold the bytes of their entry."""
    return tag_findings(moved_tags(book.repo, book.head.entries)) if book.head else []
