"""`lock` and `reopen`: a pass is signed off, or signed-off pages are opened again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from ledger.desk.judging import judged, would_be
from ledger.desk.numbers import free_number, locks_of, newest_round, next_number, the_pass
from ledger.desk.opening import OpenBook, open_book, recorded
from ledger.desk.recording.handing_over import record_entry, refuse_unready, signer
from ledger.desk.recording.intake import kept_elsewhere
from ledger.desk.wishes import class_of, message_of, pages_of, reason_of
from ledger.gitedge.objects import has_object, missing_objects
from ledger.gitedge.repository import Repository
from ledger.judge.agreed.closed import closings
from ledger.model.book import Book, Pass
from ledger.model.entry import Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.outcome import Outcome
from ledger.model.pages import PageSet, page_label, page_numbers, pages_text, pages_words
from ledger.model.snapshot import byte_order
from ledger.read.entries import write_entry
from ledger.read.patterns import label_of
from ledger.read.state import BookState


@dataclass(frozen=True)
class SignOff:
    """What `lock` was asked."""

    pass_name: str
    pages: str | None = None
    message: str | None = None
    approved_by: str | None = None
    how: str | None = None


@dataclass(frozen=True)
class ReopenWish:
    """What `reopen` was asked."""

    pass_name: str
    pages: str
    reason: str
    alteration_class: str = "AA"
    asked_by: str | None = None


def sign_off(here: Path, wish: SignOff) -> Outcome:
    """Signs a pass off. Raises Refusal where it closes nothing or a newer round is not in the newest commit."""
    book = open_book(here)
    refuse_unready(book.repo)
    pages = pages_of(wish.pages)
    head = recorded(book)
    pass_ = _recorded_pass(book, head, wish.pass_name)
    if not pass_.locks:
        raise Refusal(
            f"signing {pass_.name!r} off closes nothing: it has no `locks` in book.toml",
            remedy='add for example locks = ["structure"] to the pass, then run this again',
        )
    there = _labels(head, pass_, pages)
    _stands_as_entered(book.repo, head, pass_, pages)
    sign = signer(book.repo)
    number = free_number(book.repo, [head, book.working], f"lock-{pass_.name}", f"lock/{pass_.name}")
    newest = newest_round(head.entries, pass_.name)
    entry = Lock(
        path=f"ledger/lock-{pass_.name}-{number}.toml", pass_name=pass_.name, number=number, date=sign.when, by=sign.by,
        message=message_of(wish.message), pages=pages.text(), scopes=pass_.locks,
        round=newest.number if newest else None, approved_by=wish.approved_by, how=wish.how,
        files=closed_files(head, pass_, pages),
    )  # fmt: skip
    unseen = _not_here(book.repo, entry.files)
    findings = (*judged(book, would_be(book, contents={entry.path: write_entry(entry)})), *unseen)
    if any(finding.blocks for finding in findings):
        return Outcome(False, ("Nothing was signed off.",), findings=findings)
    told = [f"{entry.name}: {_listed(pass_.locks)} of {_extent(pages)} closed."]
    if not entry.files:
        told.append(f"Nothing of {pass_.name!r} is recorded yet, so whatever comes there now is a late change.")
    elif there is not None and (gone := pages.labels - there):
        told.append(f"Not there yet, and closed all the same: {pages_words(pages_text(gone))}.")
    told.append('A late change needs a slip: inkledger alter --reason "..."')
    outcome = record_entry(book, entry, tag=entry.tag, said=tuple(told))
    if pass_.kind == "art":
        from ledger.desk.pictures.thumbnails import keep_small

        keep_small(book.repo, head, pass_, pages)
    return replace(outcome, findings=findings)


def _not_here(repo: Repository, files: Mapping[str, str]) -> tuple[Finding, ...]:
    """Content that is signed off unseen, for it was not fetched. Raises Refusal where git has lost it."""
    gone = missing_objects(repo, files.values())
    found = []
    for path in (path for path, oid in files.items() if oid in gone):
        if not repo.partial and not has_object(repo, files[path]):
            raise Refusal("git has lost what was recorded here, so nothing could be held against it", path=path,
                          remedy="put the repository back from a backup, or enter the file again")  # fmt: skip
        message = "what is signed off here was not fetched to this machine, so nothing could be held against it here"
        found.append(
            Finding("export-unreadable", "query", message, path, remedy="fetch it: git lfs pull, or git fetch")
        )
    return tuple(found)


def _recorded_pass(book: OpenBook, head: BookState, name: str) -> Pass:
    """The pass as the newest commit has it. Raises Refusal where it has none of that name."""
    if head.book.pass_named(name) is None and book.working.book.pass_named(name) is not None:
        raise Refusal(f"{name!r} is new in book.toml and not recorded yet", remedy="record it first: inkledger save")
    return the_pass(head.book, name)


def _labels(head: BookState, pass_: Pass, pages: PageSet) -> set[str] | None:
    """The pages there are among those named, None where all are meant. Raises Refusal where there is none."""
    if pages.everything:
        return None
    found = set(head.exports(pass_)) if pass_.kind == "art" else set()
    script = head.book.script_of(pass_.name)
    if script is not None:
        found.update(page.label for page in head.draft(script.name).pages)
    found = {label for label in found if label in pages}
    if not found:
        raise Refusal(
            f"{pages_words(pages.text())}: nothing recorded stands there, so nothing was signed off",
            remedy="name pages that the script marks or that have an export, or leave --pages out",
        )
    return {str(n) for label in found for n in page_numbers(label)} | found


def _extent(pages: PageSet) -> str:
    return "the whole book" if pages.everything else pages_words(pages.text())


def _listed(scopes: tuple[str, ...]) -> str:
    return " and ".join(part for part in (", ".join(scopes[:-1]), scopes[-1]) if part)


def closed_files(head: BookState, pass_: Pass, pages: PageSet) -> dict[str, str]:
    """Path -> object id of everything the sign-off closes, in byte order."""
    files = dict(head.snapshot.files)
    chosen: set[str] = set()
    script = head.book.script_of(pass_.name)
    if script and {"structure", "wording"} & set(pass_.locks):
        chosen.update(head.paths(script))
    if "drawing" in pass_.locks and pass_.kind == "art":
        chosen.update(path for path in head.paths(pass_) if (label_of(path, pass_) or "") in pages)
    return {path: files[path].oid or "" for path in sorted(chosen, key=byte_order)}


def _stands_as_entered(repo: Repository, head: BookState, pass_: Pass, pages: PageSet) -> None:
    """Raises Refusal naming the pass whose newest round differs from what would be closed."""
    for each in closing_passes(head.book, pass_):
        newest = newest_round(head.entries, each.name)
        if newest and _differs(repo, head, each, newest, pages):
            raise Refusal(
                f"{each.name!r} has changed since {newest.name}, so {pass_.name!r} was not signed off",
                remedy=f"enter it first: inkledger enter {each.name}",
            )


def closing_passes(book: Book, pass_: Pass) -> list[Pass]:
    """The passes whose content signing this pass off closes."""
    script = book.script_of(pass_.name)
    found = [script] if script and {"structure", "wording"} & set(pass_.locks) else []
    return [*found, *([pass_] if "drawing" in pass_.locks and pass_.kind == "art" else [])]


def _differs(repo: Repository, head: BookState, pass_: Pass, newest: Round, pages: PageSet) -> bool:
    def within(path: str) -> bool:
        return pass_.kind == "text" or (label_of(path, pass_) or "") in pages

    now = {path: head.snapshot.files[path].oid for path in head.paths(pass_) if within(path)}
    then = {path: oid for path, oid in newest.files.items() if within(path) and oid}
    if now.keys() != then.keys():
        return True
    changed = {path: head.snapshot.files[path] for path, oid in now.items() if oid != then[path]}
    return len(kept_elsewhere(repo, changed, then)) < len(changed)


def reopen(here: Path, wish: ReopenWish) -> Outcome:
    """Opens signed-off pages until the next sign-off. Raises Refusal where they are not closed."""
    book = open_book(here)
    refuse_unready(book.repo)
    pages = pages_of(wish.pages)
    head = recorded(book)
    signed = _signed(head, wish.pass_name)
    _refuse_open(head, wish.pass_name, pages)
    sign = signer(book.repo)
    number = next_number([head, book.working], "reopen")
    scopes = tuple(dict.fromkeys(scope for lock in signed for scope in lock.scopes))
    entry = Reopen(
        path=f"ledger/reopen-{number}.toml", number=number, date=sign.when, by=sign.by,
        alteration_class=class_of(wish.alteration_class), reason=reason_of(wish.reason), asked_by=wish.asked_by,
        pages=pages.text(), scopes=scopes, passes=(wish.pass_name,),
    )  # fmt: skip
    one = entry.pages is not None and page_label(entry.pages) is not None and "-" not in entry.pages
    pages_are = f"{_extent(pages)} of {wish.pass_name!r} {'is' if one else 'are'}"
    told = f"{entry.name}: {pages_are} open until it is signed off again."
    return record_entry(book, entry, tag=None, said=(told, f"Close them again: inkledger lock {wish.pass_name}"))


def _signed(head: BookState, name: str) -> list[Lock]:
    """The sign-offs of a pass, also of one that book.toml no longer names. Raises Refusal where there is none."""
    signed = locks_of(head.entries, name)
    if not signed:
        the_pass(head.book, name)
        raise Refusal(f"{name!r} was never signed off, so its pages are open", remedy="just change and enter them")
    return signed


def _refuse_open(head: BookState, name: str, pages: PageSet) -> None:
    """Raises Refusal where no page named is closed by a sign-off of the pass."""
    mine = [closing for closing in closings(head.entries, head.entries) if closing.lock.pass_name == name]

    def closed(label: str | None) -> bool:
        return any(c.closes(scope, label) and not c.opened_by(label) for c in mine for scope in c.lock.scopes)

    if not pages.everything and not any(closed(label) for label in pages.labels):
        raise Refusal(
            f"{_extent(pages)} of {name!r} {'is' if len(pages.labels) == 1 else 'are'} not closed",
            remedy="see what is: inkledger status",
        )
