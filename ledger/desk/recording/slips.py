"""`alter`: the alteration slip that admits exactly what is staged."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ledger.desk.judging import charges
from ledger.desk.numbers import free_number
from ledger.desk.opening import OpenBook, open_book, recorded
from ledger.desk.recording.handing_over import signer
from ledger.desk.staged import bases_of_next
from ledger.desk.wishes import class_of, pages_of, reason_of
from ledger.gitedge.placing import put_and_stage
from ledger.judge.agreed.baseline import script_pass
from ledger.judge.agreed.closed import Closing
from ledger.judge.agreed.doors import standing_charges
from ledger.judge.agreed.late import LateChange, late_change
from ledger.judge.agreed.telling import Charge, told_findings
from ledger.model.entry import CLASSES, Alteration, Lock
from ledger.model.finding import RULES, Finding
from ledger.model.outcome import Outcome
from ledger.model.overlay import overlaid
from ledger.model.pages import ALL_PAGES, PageSet, pages_text, pages_words
from ledger.model.snapshot import byte_order
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
    against = _against(book, change, late=wish.late)
    late = late_change(against, chosen)
    if late is None:
        return Outcome(False, _nothing(book, head, wish, late_change(against, ALL_PAGES) is not None))
    slip = slip_for(book, change, late, reason, alteration_class, chosen, wish.asked_by)
    with_slip = overlaid(change.snapshot, contents={slip.path: write_entry(slip)}, name=change.snapshot.name)
    left = [f for f in told_findings(_against(book, read_state(with_slip), late=wish.late)) if f.blocks]
    if why := too_narrow(slip, left):
        return Outcome(False, ("Nothing was written.", why), findings=tuple(left))
    put_and_stage(book.repo, {slip.path: write_entry(slip)})
    return Outcome(True, _told(slip, left, late=wish.late), slip.name, paths=(slip.path,))


def _against(book: OpenBook, change: BookState, *, late: bool) -> tuple[Charge, ...]:
    """What stands against the change: of what is recorded already, or of what is staged, a merge's parents together."""
    if late:
        return standing_charges(change, change.snapshot.store)
    return charges(book, change, bases_of_next(book.repo))


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
    said = "What is staged touches nothing that is closed: nothing was written."
    if late_change(_against(book, head, late=True), pages_of(wish.pages)) is not None:
        return (said, 'A late change is recorded already. To admit that: inkledger alter --late --reason "..."')
    return (
        said,
        "If your change is not staged yet: git add it, then run this again.",
    )


def admittable(finding: Finding, chosen: PageSet = ALL_PAGES) -> bool:
    """Whether a slip on these pages can admit what a finding is about."""
    closed = finding.blocks and any(finding.rule in rules for rules in _SCOPE_RULES.values())
    return closed and (chosen.everything or finding.page is None or finding.page in chosen)


def slip_for(
    book: OpenBook,
    change: BookState,
    late: LateChange,
    reason: str,
    alteration_class: str,
    chosen: PageSet,
    asked_by: str | None = None,
) -> Alteration:
    """The slip that admits a late change, with the content of `change`; `chosen` are the pages a person named."""
    pages = late.pages if chosen.everything else chosen
    sign = signer(book.repo)
    number = free_number(book.repo, [book.head, book.working, change], "alteration", "alteration")
    files, passes = _admitted_files(change, late)
    return Alteration(
        path=f"ledger/alteration-{number}.toml", number=number, date=sign.when, by=sign.by,
        alteration_class=alteration_class, reason=reason, asked_by=asked_by, pages=pages.text(), scopes=late.scopes,
        passes=passes, files=files,
    )  # fmt: skip


def _admitted_files(change: BookState, late: LateChange) -> tuple[dict[str, str], tuple[str, ...]]:
    """Object ids the slip admits: the whole script, and the pictures on its pages; with the passes concerned."""
    now = change.snapshot.files
    names = set(late.pictures)
    passes: list[str] = []
    for lock in late.locks:
        signed = Closing(lock, lock.page_set)
        script = script_pass(change.book, signed)
        names |= set(change.paths(script)) if script else set()
        names |= {path for path in signed.texts if script is None or matches(path, script)}
        passes += [script.name] if script else []
    passes += [p.name for p in change.book.passes if p.kind == "art" and any(label_of(x, p) for x in late.pictures)]
    files = {path: (now[path].oid or "") if path in now else "" for path in sorted(names, key=byte_order)}
    return files, tuple(dict.fromkeys(passes))
