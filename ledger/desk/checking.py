"""`check`: the whole book as it lies there, or what is about to be recorded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from ledger.desk.opening import OpenBook, open_book
from ledger.gitedge import snapshots
from ledger.gitedge.merging import parents_of_next
from ledger.gitedge.repository import Repository
from ledger.judge.doors import CastOf, all_standing, charged
from ledger.judge.ledger_rules import Kept, entry_files
from ledger.judge.levels import apply_rules
from ledger.model.finding import Finding
from ledger.read.state import BookState, read_state


def check(here: Path) -> tuple[Finding, ...]:
    """Everything that stands in your files now, old and new."""
    from ledger.desk.casts import cast_lookup

    book = open_book(here)
    bases = _bases(book)
    found = all_standing(bases, book.working, book.working.snapshot.store, cast_then=cast_lookup(book.repo))
    return (*found, *apply_rules(_of_work(book.working), book.working.book.rules), *_moved_tags(book))


def check_staged(here: Path) -> tuple[Finding, ...]:
    """What the commit about to be made must answer for: the question the hooks ask."""
    return staged_findings(open_book(here))


def staged_at(folder: str) -> tuple[Finding, ...]:
    """As `check_staged`, with git's own idea of where the repository and its index are: what a hook is given."""
    return staged_findings(OpenBook(Repository.find(folder)))


def staged_findings(book: OpenBook) -> tuple[Finding, ...]:
    """See `check_staged`; with a merge under way all its parents count."""
    bases = _bases(book)
    change = book.staged
    kept = _first_recorded(book, bases, change)
    casts = _cast_lookup(book, bases, change)
    return (*charged(bases, change, change.snapshot.store, kept=kept, cast_then=casts), *_raised(bases, change))


def _bases(book: OpenBook) -> list[BookState]:
    """The parents of the next commit that hold a book."""
    found = [snapshots.at_commit(book.repo, oid) for oid in parents_of_next(book.repo)]
    return [read_state(each) for each in found if "book.toml" in each.files]


def _cast_lookup(book: OpenBook, bases: list[BookState], change: BookState) -> CastOf | None:
    """The casts of old are asked for only where the cast changes: history is slow to ask."""
    if all(base.book.cast == change.book.cast for base in bases):
        return None
    from ledger.desk.casts import cast_lookup

    return cast_lookup(book.repo)


def _first_recorded(book: OpenBook, bases: list[BookState], change: BookState) -> Mapping[str, Kept]:
    """Entries that this change touches, as their tags hold them: an entry put back as it was is free."""
    now = entry_files(change)
    touched = [
        entry for base in bases for path, kept in entry_files(base).items()
        if path not in now or not kept.same_as(now[path])
        for entry in base.entries if entry.path == path
    ]  # fmt: skip
    if not touched:
        return {}
    from ledger.gitedge.tags import tag_of

    found: dict[str, Kept] = {}
    for entry in touched:
        commit = snapshots.resolve_commit(book.repo, f"refs/tags/{tag_of(entry)}") if tag_of(entry) else None
        then = snapshots.at_commit(book.repo, commit) if commit else None
        if then and entry.path in then.files:
            found[entry.path] = Kept(then.files[entry.path], then)
    return found


def _raised(bases: list[BookState], change: BookState) -> tuple[Finding, ...]:
    """Findings of the drafts that `[rules]` raised until they block, where no base had them."""
    books = [*(base.book for base in bases), change.book]
    if not any(level == "block" for book in books for level in book.rules.values()):
        return ()
    had = {_value(finding) for base in bases for finding in of_drafts(base)}
    new = [finding for finding in of_drafts(change) if _value(finding) not in had]
    return tuple(f for f in apply_rules(new, *(book.rules for book in books)) if f.blocks)


def _value(finding: Finding) -> tuple[object, ...]:
    """A finding without the line it stands on."""
    return finding.rule, finding.message, finding.path, finding.page, finding.panel, finding.scene


def of_drafts(state: BookState) -> list[Finding]:
    """What the script rules have to say of every draft."""
    texts = [pass_ for pass_ in state.book.passes if pass_.kind == "text"]
    return [finding for pass_ in texts for finding in state.draft(pass_.name).findings]


def _of_work(state: BookState) -> list[Finding]:
    """What the rules of drafts and notes have to say of a book."""
    return [*of_drafts(state), *_of_notes(state)]


def _of_notes(state: BookState) -> list[Finding]:
    from ledger.read.notes import read_notes

    found: list[Finding] = []
    for path in state.snapshot.under("notes"):
        if path.endswith(".md") and path.count("/") == 1 and state.snapshot.files[path].regular:
            found += read_notes(path, state.snapshot.read(path)).findings
    return found


def _moved_tags(book: OpenBook) -> list[Finding]:
    """Tags whose commit does not hold the bytes of their entry."""
    from ledger.gitedge.tags import moved_tags

    return tag_findings(moved_tags(book.repo, book.head.entries)) if book.head else []


def tag_findings(moved: Iterable[tuple[str, str]]) -> list[Finding]:
    """Findings for moved tags, from (tag, path of the entry)."""
    return [
        Finding("tag-moved", "block", f"the tag {tag} stands on a commit that does not hold its entry", path,
                remedy=f"take it away, then have it made again: git tag -d {tag}, inkledger doctor")
        for tag, path in moved
    ]  # fmt: skip
