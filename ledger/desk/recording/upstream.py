"""What a round rests on: the newest upstream rounds, or what the person who enters it states."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from ledger.desk.numbers import basis_of, rounds_of
from ledger.desk.opening import OpenBook
from ledger.desk.recording.intake import Intake
from ledger.gitedge import snapshots
from ledger.model.book import Pass
from ledger.model.entry import Entry, Round
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt
from ledger.read.patterns import label_of, matches
from ledger.read.state import BookState

Basis = Mapping[str, str]
MadeFrom = Mapping[str, Mapping[str, str]]


def upstream_now(book: OpenBook, pass_: Pass, pages: tuple[str, ...], stated: str | None) -> tuple[Basis, MadeFrom]:
    """The upstream rounds a round rests on, and page -> what it was made from: of HEAD, or of what is stated.

    Raises Refusal for a reference that is nothing, or nothing that the pass is made from.
    """
    from ledger.judge.resting.findings import made_from

    state, basis = book.head, basis_of(book.head.entries, pass_) if book.head else {}
    if stated is not None:
        state, basis = _stated(book, pass_, basis, stated)
    return basis, made_from(state, pass_, pages) if state and pages else {}


def _stated(book: OpenBook, pass_: Pass, basis: Basis, name: str) -> tuple[BookState, Basis]:
    from ledger.desk.reference import INDEX, WORKING, Desk, state_of_reference, the_reading

    if not pass_.comes_from:
        raise Refusal(
            f"{pass_.name!r} is made from no other pass, so --made-from says nothing",
            remedy='leave it out, or name what it is made from in book.toml: from = ["..."]',
        )
    state = state_of_reference(book, name)
    entry = None if name in (INDEX, WORKING, "") else the_reading(Desk(Path(book.repo.top), book), name).entry
    if entry is None:
        return state, {**basis, **basis_of(state.entries, pass_)}
    if not _is_upstream(state, pass_, entry):
        rounds = [each.name for up in pass_.comes_from for each in rounds_of(state.entries, up)]
        raise Refusal(
            f"{entry.name} is nothing that {pass_.name!r} is made from ({', '.join(pass_.comes_from)})",
            remedy=f"name one of {', '.join(rounds)}" if rounds else "leave --made-from out",
        )
    return state, {**basis, entry.pass_name: entry.name} if isinstance(entry, Round) else basis


def _is_upstream(state: BookState, pass_: Pass, entry: Entry) -> bool:
    upstream = [each for name in pass_.comes_from if (each := state.book.pass_named(name))]
    return any(matches(path, each) for path in entry.files for each in upstream)


def older(book: OpenBook, change: BookState, pass_: Pass, intake: Intake) -> tuple[Finding, ...]:
    """A query for every picture entered that is older than an upstream round which changed its page."""
    there = book.head_snapshot.files
    before = {path for path, file in intake.taken.items() if path in there and there[path].oid == file.oid}
    pages = {label for path in before if (label := label_of(path, pass_))} & set(intake.pages or ())
    upstream = [each for name in pass_.comes_from for each in rounds_of(change.entries, name)[1:]]
    if not pages or not upstream:
        return ()
    from ledger.judge.resting.older import older_pictures

    return older_pictures(change, pass_, pages, _as_entered(book, upstream))


def _as_entered(book: OpenBook, rounds: Iterable[Round]) -> dict[str, Mapping[str, FileAt]]:
    """Round -> the files of the commit that entered it; what no tag leads to is left out."""
    found = {}
    for entry in rounds:
        commit = snapshots.resolve_commit(book.repo, f"refs/tags/{entry.tag}")
        if commit is not None:
            found[entry.name] = snapshots.at_commit(book.repo, commit).files
    return found
