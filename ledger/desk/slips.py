"""`alter`: the alteration slip that admits exactly what is staged."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ledger.desk.numbers import next_number
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.recording import signer
from ledger.desk.signing import recorded
from ledger.desk.wishes import class_of, pages_of
from ledger.gitedge.intake import put_and_stage
from ledger.judge.doors import charged, standing
from ledger.model.entry import CLASSES, Alteration, Lock
from ledger.model.finding import RULES, Finding
from ledger.model.outcome import Outcome
from ledger.model.pages import PageSet, page_numbers, pages_text
from ledger.read.entries import write_entry
from ledger.read.patterns import label_of, matches
from ledger.read.state import BookState

#: The scopes a slip can admit, with the rules that ask for each.
_SCOPE_RULES = {
    "structure": frozenset(RULES["structure"]),
    "wording": frozenset(RULES["wording"]),
    "drawing": frozenset(RULES["drawing"]) | {"export-unreadable"},
}


@dataclass(frozen=True)
class SlipWish:
    """What `alter` was asked."""

    reason: str
    alteration_class: str = "AA"
    pages: str | None = None
    asked_by: str | None = None
    late: bool = False


def write_slip(here: Path, wish: SlipWish) -> Outcome:
    """Writes the slip and stages it; `done` is False where there is nothing to admit."""
    book = open_book(here)
    head = recorded(book)
    chosen, alteration_class = pages_of(wish.pages), class_of(wish.alteration_class)
    if wish.late:
        change = head
        found = [f for f in standing(head, content=head.snapshot.store) if f.blocks]
    else:
        change = book.staged
        found = [f for f in charged([head], change, change.snapshot.store) if f.blocks]
    admitted = [f for f in found if _admittable(f, chosen)]
    if not admitted:
        return Outcome(False, _nothing(book, head, wish, bool(found)))
    slip = slip_for(book, change, admitted, wish.reason, alteration_class, chosen, wish.asked_by)
    put_and_stage(book.repo, slip.path, write_entry(slip))
    said = (
        f"{slip.name} ({slip.alteration_class}, {CLASSES[slip.alteration_class]}) admits "
        f"{' and '.join(slip.scopes)} on {'page ' + slip.pages if slip.pages else 'all pages'}, as staged now.",
        "It is staged with the change: git commit",
    )
    return Outcome(True, said, slip.name, paths=(slip.path,))


def _nothing(book: OpenBook, head: BookState, wish: SlipWish, others: bool) -> tuple[str, ...]:
    """Why there is nothing to admit, and what to do."""
    if others:
        return (f"No late change on page {wish.pages} is staged: nothing was written.",)
    if wish.late:
        return ("What is recorded holds no late change: nothing was written.",)
    if not any(isinstance(entry, Lock) for entry in head.entries):
        return ("Nothing is signed off yet, so there is nothing to admit: just record your change.",)
    return (
        "What is staged touches nothing that is closed: nothing was written.",
        "If your change is not staged yet: git add it, then run this again.",
    )


def _admittable(finding: Finding, chosen: PageSet) -> bool:
    closed = any(finding.rule in rules for rules in _SCOPE_RULES.values())
    return closed and (chosen.everything or finding.page is None or finding.page in chosen)


def slip_for(
    book: OpenBook,
    change: BookState,
    findings: Iterable[Finding],
    reason: str,
    alteration_class: str,
    chosen: PageSet,
    asked_by: str | None = None,
) -> Alteration:
    """The slip that admits what these findings are about, with the content of `change`."""
    admitted = [f for f in findings if f.blocks and _admittable(f, chosen)]
    rules = {finding.rule for finding in admitted}
    scopes = tuple(scope for scope, names in _SCOPE_RULES.items() if names & rules)
    labels = {n for f in admitted if f.page for n in ([str(x) for x in page_numbers(f.page)] or [f.page])}
    pages = chosen.text() if not chosen.everything else pages_text(labels) or None
    sign = signer(book.repo)
    number = next_number([book.head, book.working, change], "alteration")
    files, passes = _admitted_files(change, scopes, admitted, chosen)
    return Alteration(
        path=f"ledger/alteration-{number}.toml", number=number, date=sign.when, by=sign.by,
        alteration_class=alteration_class, reason=reason, asked_by=asked_by, pages=pages, scopes=scopes,
        passes=passes, files=files,
    )  # fmt: skip


def _admitted_files(
    change: BookState, scopes: tuple[str, ...], admitted: list[Finding], chosen: PageSet
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Object ids the slip admits: the whole script, and the pictures on its pages; with the passes concerned."""
    files: dict[str, str] = {}
    passes: list[str] = []
    now = change.snapshot.files
    for lock in (entry for entry in change.entries if isinstance(entry, Lock)):
        script = change.book.script_of(lock.pass_name)
        if script and {"structure", "wording"} & set(scopes) & set(lock.scopes):
            gone = {path: "" for path in lock.files if matches(path, script) and path not in now}
            files.update(gone | {path: now[path].oid or "" for path in change.paths(script)})
            passes.append(script.name)
    pictures = {f.path for f in admitted if f.rule in _SCOPE_RULES["drawing"] and f.path}
    for pass_ in change.book.passes:
        mine = {path for path in pictures if label_of(path, pass_)} if pass_.kind == "art" else set()
        if mine:
            files.update({path: (now[path].oid or "") if path in now else "" for path in mine})
            passes.append(pass_.name)
    return dict(sorted(files.items(), key=lambda item: item[0].encode())), tuple(dict.fromkeys(passes))
