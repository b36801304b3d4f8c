"""`save`: everything in the book as it is now becomes one commit, judged as a commit is; no round is entered.

What inkledger wrote into the book's folder for somebody to read is no part of the book, and layered working files are
not in git unless somebody adds them: both are named and left out.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from ledger.desk.judging import judged, would_be
from ledger.desk.made_to_be_read import left_out, made_to_be_read, taken_all_the_same
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.recording.handing_over import refuse_unready, signer
from ledger.desk.recording.slips import admittable
from ledger.desk.wishes import message_of
from ledger.desk.working_files import masters_aside, masters_words
from ledger.gitedge.intake import kept_as
from ledger.gitedge.record import Recording, record
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.outcome import Outcome
from ledger.model.snapshot import FOLDER, FileAt, byte_order
from ledger.render.plain import plural


def save(here: Path, message: str | None) -> Outcome:
    """Records all your files as they are now. Findings that block are in the outcome, nothing recorded."""
    book = open_book(here)
    refuse_unready(book.repo)
    signer(book.repo)
    made, masters = made_to_be_read(book.repo), masters_aside(book.repo, book.book_now)
    taken, removed = changed_files(book, {*made, *masters})
    also = (left_out(made), taken_all_the_same(made)) if made else ()
    if masters:
        also = (*also, masters_words(masters), taken_all_the_same(masters))
    if not taken and not removed:
        return Outcome(False, ("Everything is recorded already.", *also))
    findings = judged(book, would_be(book, taken=taken, removed=removed))
    if any(finding.blocks for finding in findings):
        return Outcome(False, _not_saved(findings), findings=findings)
    paths = tuple(sorted({*taken, *removed}, key=byte_order))
    headline = message_of(message) or f"save {plural(len(paths), 'file')}"
    done = record(
        book.repo,
        Recording(taken=taken, removed=tuple(sorted(removed)), message=headline, base=book.head_commit),
    )
    said = (f"Saved {plural(len(paths), 'file')}; no round was entered.", *also)
    return Outcome(True, said, None, done.commit, None, paths, findings)


def _not_saved(findings: Sequence[Finding]) -> tuple[str, ...]:
    """That nothing was saved, and the way out where a sign-off is what stops it."""
    said = "Nothing was saved; your files are as they were."
    if not any(admittable(finding) for finding in findings):
        return (said,)
    return (said, 'To agree to it: git add -A, then inkledger alter --reason "why it is changed", then save again.')


def changed_files(book: OpenBook, aside: Collection[str] = ()) -> tuple[dict[str, FileAt], frozenset[str]]:
    """Files that differ from the newest commit, as git would keep them, and paths that are gone; new ones that are to
    be left `aside` are not among them.

    Raises Refusal for another repository inside the book: git would keep its name and none of its files.
    """
    now, then = book.working.snapshot.files, book.head_snapshot.files
    candidates = [
        path
        for path, file in now.items()
        if (path not in then and file.mode != FOLDER and path not in aside)
        or (path in then and (file.oid, file.mode) != (then[path].oid, then[path].mode))
    ]
    for path in candidates:
        if now[path].mode == "160000" and path not in then:
            raise Refusal(
                "another git repository lies in this folder, so its files would not be kept", path=path,
                remedy="move it out of the book, or have git leave it alone: name it in .gitignore",
            )  # fmt: skip
    kept = kept_as(book.repo, candidates)
    differing = {p: f for p, f in kept.items() if p not in then or (f.oid, f.mode) != (then[p].oid, then[p].mode)}
    return differing, frozenset(path for path in then if path not in now)
