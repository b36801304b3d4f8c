"""`alter`: the alteration slip that admits exactly what is staged."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ledger.desk.numbers import free_number
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.recording import signer
from ledger.desk.signing import recorded
from ledger.desk.wishes import class_of, pages_of, reason_of
from ledger.gitedge.intake import put_and_stage
from ledger.judge.doors import charged, standing
from ledger.model.entry import CLASSES, Alteration, Lock
from ledger.model.finding import RULES, Finding
from ledger.model.outcome import Outcome
from ledger.model.overlay import overlaid
from ledger.model.pages import ALL_PAGES, PageSet, page_numbers, pages_text, pages_words
from ledger.read.entries import write_entry
from ledger.read.patterns import label_of, matches
from ledger.read.state import BookState, read_state

#: The scopes a slip can admit, with the rules that ask for each.
_SCOPE_RULES = {
    "structure": frozenset(RULES["structure"]),
    "wording": frozenset(RULES["wording"]),
    "drawing": frozenset(RULES["drawing"]) | {"export-unreadable"},
}
_TEXT_SCOPES = frozenset({"structure", "wording"})
_TEXT_RULES = _SCOPE_RULES["structure"] | _SCOPE_RULES["wording"]


@dataclass(frozen=True)
class SlipWish:
    """What `alter` was asked."""

    reason: str
    alteration_class: str = "AA"
    pages: str | None = None
    asked_by: str | None = None
    late: bool = False


def write_slip(here: Path, wish: SlipWish) -> Outcome:
    """Writes the slip and stages it; `done` is False where there is nothing to admit, or it would not admit it."""
    book = open_book(here)
    head = recorded(book)
    reason, chosen, alteration_class = reason_of(wish.reason), pages_of(wish.pages), class_of(wish.alteration_class)
    change = head if wish.late else book.staged
    found = _found(head, change, late=wish.late)
    admitted = [f for f in found if admittable(f, chosen)]
    if not admitted:
        return Outcome(False, _nothing(book, head, wish, bool(found)))
    slip = slip_for(book, change, admitted, reason, alteration_class, chosen, wish.asked_by)
    with_slip = overlaid(change.snapshot, contents={slip.path: write_entry(slip)}, name=change.snapshot.name)
    left = _found(head, read_state(with_slip), late=wish.late)
    if why := too_narrow(slip, left):
        return Outcome(False, ("Nothing was written.", why), findings=tuple(left))
    put_and_stage(book.repo, slip.path, write_entry(slip))
    return Outcome(True, _told(slip, left, late=wish.late), slip.name, paths=(slip.path,))


def _found(head: BookState, change: BookState, *, late: bool) -> list[Finding]:
    """What blocks: of what is staged, or of what is recorded already."""
    found = standing(change, content=change.snapshot.store) if late else charged([head], change, change.snapshot.store)
    return [finding for finding in found if finding.blocks]


def too_narrow(slip: Alteration, left: Iterable[Finding]) -> str | None:
    """Why a slip does not admit the script it names: it changes on other pages too. None where it does."""
    texts = [f for f in left if f.rule in _TEXT_RULES and admittable(f)]
    if slip.pages is None or not any(_TEXT_SCOPES & {scope} for scope in slip.scopes):
        return None
    if not any(finding.page in slip.page_set for finding in texts):
        return None
    others = {str(finding.page) for finding in texts if finding.page and finding.page not in slip.page_set}
    where = f" {pages_words(pages_text(others))}" if others else " other pages"
    return (
        f"The script has changed on{where} as well. A slip admits a script as a whole, so it must name every page that "
        f"has changed: leave --pages out, or put the other change aside first."
    )


def _told(slip: Alteration, left: list[Finding], *, late: bool) -> tuple[str, ...]:
    scopes = ", ".join(slip.scopes[:-1]) + (" and " if slip.scopes[1:] else "") + slip.scopes[-1]
    what = "as recorded" if late else "as staged now"
    said = [
        f"{slip.name} ({slip.alteration_class}, {CLASSES[slip.alteration_class]}) admits "
        f"{scopes} on {pages_words(slip.pages)}, {what}.",
        "It is staged: git commit" if late else "It is staged with the change: git commit",
    ]
    closed = {str(finding.page) for finding in left if admittable(finding) and finding.page}
    if closed:
        said.insert(1, f"Still closed, so that git commit will stop: {pages_words(pages_text(closed))}.")
    return tuple(said)


def _nothing(book: OpenBook, head: BookState, wish: SlipWish, others: bool) -> tuple[str, ...]:
    """Why there is nothing to admit, and what to do."""
    if others:
        where = f" on {pages_words(pages_of(wish.pages).text())}" if wish.pages else " that a slip could admit"
        return (f"No late change{where} is {'recorded' if wish.late else 'staged'}: nothing was written.",)
    if wish.late:
        return ("What is recorded holds no late change: nothing was written.",)
    if not any(isinstance(entry, Lock) for entry in head.entries):
        return ("Nothing is signed off yet, so there is nothing to admit: just record your change.",)
    return (
        "What is staged touches nothing that is closed: nothing was written.",
        "If your change is not staged yet: git add it, then run this again.",
    )


def admittable(finding: Finding, chosen: PageSet = ALL_PAGES) -> bool:
    """Whether a slip on these pages can admit what a finding is about."""
    closed = finding.blocks and any(finding.rule in rules for rules in _SCOPE_RULES.values())
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
    admitted = [f for f in findings if admittable(f, chosen)]
    rules = {finding.rule for finding in admitted}
    scopes = tuple(scope for scope, names in _SCOPE_RULES.items() if names & rules)
    labels = {n for f in admitted if f.page for n in ([str(x) for x in page_numbers(f.page)] or [f.page])}
    unpaged = any(f.page is None for f in admitted if f.rule in _TEXT_RULES)
    pages = chosen.text() if not chosen.everything else None if unpaged else pages_text(labels) or None
    sign = signer(book.repo)
    number = free_number(book.repo, [book.head, book.working, change], "alteration", "alteration")
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
