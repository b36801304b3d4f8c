"""`enter`: a round's files, its entry and its memo become one commit with its tag, or nothing changes at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ledger.desk.judging import charges, would_be
from ledger.desk.numbers import free_number, newest_round, the_pass
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.recording.handing_over import Signer, record_entry, refuse_unready, signer
from ledger.desk.recording.intake import Intake, gather, same_as_round
from ledger.desk.recording.slips import admittable, slip_for, too_narrow
from ledger.desk.recording.upstream import older, upstream_now
from ledger.desk.upkeep.layout import LEDGER_README, ledger_readme
from ledger.desk.wishes import class_of, date_of, message_of, pages_of, reason_of
from ledger.desk.working_files import working_files
from ledger.judge.agreed.late import late_change
from ledger.judge.agreed.telling import Charge, told_findings
from ledger.judge.exports.behind import exports_behind
from ledger.judge.levels import apply_rules
from ledger.model.book import Pass
from ledger.model.entry import Alteration, Round
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.outcome import Outcome
from ledger.model.pages import PageSet, pages_text, pages_words
from ledger.model.snapshot import FileAt
from ledger.read.entries import entry_name, write_entry
from ledger.read.patterns import label_of
from ledger.read.state import BookState

#: Taken along where the newest commit has none.
ALONG = ("book.toml", ".gitattributes")


@dataclass(frozen=True)
class Wish:
    """What `enter` was asked; the names are those of its options."""

    pass_name: str
    pages: str | None = None
    message: str | None = None
    made_from: str | None = None
    stands: bool = False
    alteration_class: str | None = None
    reason: str | None = None
    past: Path | None = None
    stated: str | None = None


def enter(here: Path, wish: Wish) -> Outcome:
    """Enters a round. Raises Refusal for wrong use; findings that block are in the outcome, nothing recorded."""
    wish = replace(wish, message=message_of(wish.message))
    _sensible(wish)
    book = open_book(here)
    refuse_unready(book.repo)
    pass_ = the_pass(book.working.book, wish.pass_name)
    previous = newest_round(book.head.entries if book.head else (), pass_.name)
    intake = _intake(book, pass_, here, wish, previous)
    if previous is not None and same_as_round(intake, previous) and not (wish.stands or wish.made_from):
        return Outcome(False, (_unchanged(pass_, pages_of(wish.pages), previous),))
    return _entered(book, pass_, wish, intake, previous)


def _intake(book: OpenBook, pass_: Pass, here: Path, wish: Wish, previous: Round | None) -> Intake:
    if wish.past is None or wish.stated is None:
        return gather(book, pass_, pages_of(wish.pages), previous)
    from ledger.desk.recording.past import gather_past

    return gather_past(book, pass_, here / wish.past, date_of(wish.stated), pages_of(wish.pages), previous)


def _unchanged(pass_: Pass, pages: PageSet, previous: Round) -> str:
    what = f"{pages_words(pages.text())} of {pass_.name}" if pass_.kind == "art" and pages.labels else pass_.name
    verb = "are" if what.startswith("pages ") else "is"
    return f"{what} {verb} unchanged since {previous.name}: nothing was entered."


def _sensible(wish: Wish) -> None:
    """Raises Refusal for options that contradict each other."""
    if wish.stands and not wish.message:
        raise Refusal("--stands needs a reason", remedy='say why it stands as it is: -m "..."')
    if wish.alteration_class and not wish.reason:
        raise Refusal("--class goes with --reason", remedy='say why the change is made: --reason "..."')
    if wish.reason is not None:
        reason_of(wish.reason)
        class_of(wish.alteration_class)
    if (wish.past is None) != (wish.stated is None):
        raise Refusal("--from and --date go together", remedy="enter script --from old-draft.md --date 2025-03-01")
    if wish.past is not None and wish.stands:
        raise Refusal("--stands is about your files now, --from about old ones", remedy="give one of the two")


def _entered(book: OpenBook, pass_: Pass, wish: Wish, intake: Intake, previous: Round | None) -> Outcome:
    entry = _entry(book, pass_, wish, intake, signer(book.repo))
    along = _along(book, pass_)
    taken = {**along, **intake.taken}
    held = {entry.path: write_entry(entry)}

    def state(more: Mapping[str, FileAt] | None = None) -> BookState:
        return would_be(book, contents=held, taken={**taken, **(more or {})}, removed=intake.removed)

    change, slip, chosen = state(), None, pages_of(wish.pages)
    against = charges(book, change)
    beforehand = _beforehand(book, against, state)
    if beforehand:
        taken.update(beforehand)
        change = state()
        against = charges(book, change)
    changed = late_change(against, chosen) if wish.reason else None
    if wish.reason and changed is not None:
        slip = slip_for(book, change, changed, wish.reason, class_of(wish.alteration_class), chosen)
        held[slip.path] = write_entry(slip)
        change = state()
        against = charges(book, change)
    late = told_findings(against)
    findings = [*late, *_own_findings(change, pass_, intake, previous), *_of_work(book, change, pass_, intake, wish)]
    findings = _ruled(book, change, findings) if pass_.kind == "art" else findings
    if any(finding.blocks for finding in findings):
        return Outcome(False, _not_entered(entry, wish, slip, late), findings=tuple(findings))
    told = [_told(entry), *_slip_told(wish, slip, beforehand)]
    if "book.toml" in along and book.head:
        told.append(f"book.toml went along: it first says which files {pass_.name!r} has.")
    if previous is not None:
        from ledger.desk.memos import round_memo

        held[f"memos/{entry.name}.md"] = round_memo(book, previous, entry, change).encode()
        told.append(f"What changed: memos/{entry.name}.md")
    del held[entry.path]
    outcome = record_entry(
        book, entry, tag=entry.tag, taken=taken, removed=intake.removed, contents=held, said=tuple(told)
    )
    return replace(outcome, findings=tuple(findings))


def _entry(book: OpenBook, pass_: Pass, wish: Wish, intake: Intake, sign: Signer) -> Round:
    head = book.head
    number = free_number(book.repo, [head, book.working], pass_.name, f"pass/{pass_.name}")
    pages = _pages_entered(book, pass_, wish, intake)
    here = {label for path in intake.files if (label := label_of(path, pass_))}
    basis, made_from = upstream_now(book, pass_, tuple(p for p in pages or () if p in here), wish.made_from)
    return Round(
        path=f"ledger/{pass_.name}-{number}.toml", pass_name=pass_.name, number=number,
        date=date_of(wish.stated) if wish.stated else sign.when, by=sign.by,
        message=wish.message or "", pages=_pages_text(pages), files=intake.ids, basis=basis, made_from=made_from,
        dated="stated" if wish.stated else None, stands=wish.message if wish.stands else None,
    )  # fmt: skip


def _pages_entered(book: OpenBook, pass_: Pass, wish: Wish, intake: Intake) -> tuple[str, ...] | None:
    """The pages of the round; where nothing has changed, what is said of them is said of every page."""
    if pass_.kind == "art" and not intake.pages and (wish.stands or wish.made_from):
        return tuple(book.working.exports(pass_))
    return intake.pages


def _pages_text(pages: tuple[str, ...] | None) -> str | None:
    return pages_text(pages) or None if pages else None


def _along(book: OpenBook, pass_: Pass) -> Mapping[str, FileAt]:
    """`book.toml`, `.gitattributes` and what `init` wrote beside them, where the newest commit has none.

    A `book.toml` that the newest commit has in another form goes along where it first says which files the pass has:
    without it nobody could read the round.
    """
    from ledger.gitedge.intake import kept_as

    now, there = book.working.snapshot, book.working.snapshot.files
    missing = [path for path in ALONG if path not in book.head_snapshot.files and path in there]
    missing += ["book.toml"] if book.head and not _known(book.head, pass_) else []
    if LEDGER_README not in book.head_snapshot.files and LEDGER_README in there:
        ours = ledger_readme().encode()
        missing += [LEDGER_README] if now.read(LEDGER_README) == ours else []
    return kept_as(book.repo, missing) if missing else {}


def _known(head: BookState, pass_: Pass) -> bool:
    """Whether the newest commit's `book.toml` has the pass with the same files."""
    there = head.book.pass_named(pass_.name)
    return there is not None and (there.kind, there.files) == (pass_.kind, pass_.files)


def _own_findings(change: BookState, pass_: Pass, intake: Intake, previous: Round | None) -> list[Finding]:
    """What the round's own files give to look at; an unreadable picture and a page there twice block."""
    if pass_.kind == "text":
        from ledger.judge.draft import judge_draft

        return [*intake.findings, *judge_draft(change.draft(pass_.name), change.book)]
    from ledger.judge.exports.judged import judge_exports

    old = previous.files if previous else {}
    fresh = {path for path, file in intake.taken.items() if old.get(path) != file.oid}
    found = judge_exports(change, change.snapshot.read, paths=fresh)
    return [f.at_level("block") if f.rule in ("page-number", "export-unreadable") else f for f in found]


def _of_work(book: OpenBook, change: BookState, pass_: Pass, intake: Intake, wish: Wish) -> list[Finding]:
    """Pictures older than what they are said to be made from, or than their working file."""
    found: list[Finding] = []
    if not (wish.stands or wish.made_from or wish.past):
        found += older(book, change, pass_, intake)
    if not wish.past:
        behind = exports_behind(working_files(book.repo.top, book.working))
        found += [finding for finding in behind if finding.path in intake.taken]
    return found


def _ruled(book: OpenBook, change: BookState, findings: Sequence[Finding]) -> list[Finding]:
    """Queries at the level that `[rules]` gives them, the book's own of now or of HEAD, whichever is stricter."""
    rules = [each.book.rules for each in (book.head, change) if each is not None]
    return [each for one in findings for each in ([one] if one.blocks else apply_rules([one], *rules))]


def _told(entry: Round) -> str:
    count = f", {pages_words(entry.pages)}" if entry.pages else ""
    when = f", dated {entry.date}" if entry.dated else ""
    why = f": {entry.message}" if entry.message else ""
    return f"{entry.name} entered{count}{when}{why}."


def _beforehand(
    book: OpenBook, against: Sequence[Charge], state: Callable[[Mapping[str, FileAt]], BookState]
) -> Mapping[str, FileAt]:
    """Slips that `alter` staged, where they admit something of what is entered; `state` gives what they make of it."""
    slips = _staged_slips(book) if _stopped(against) else {}
    admit = slips and len(_stopped(charges(book, state(slips)))) < len(_stopped(against))
    return slips if admit else {}


def _stopped(against: Sequence[Charge]) -> list[Charge]:
    return [charge for charge in against if charge.level == "block" and charge.difference is not None]


def _staged_slips(book: OpenBook) -> Mapping[str, FileAt]:
    """Slips that `alter` staged and nobody has recorded yet."""
    from ledger.gitedge.intake import kept_as, on_disk
    from ledger.gitedge.snapshots import of_index

    staged = [path for path in of_index(book.repo).files if (entry_name(path) or ("",))[0] == "alteration"]
    fresh = [path for path in staged if path not in book.head_snapshot.files]
    return kept_as(book.repo, sorted(on_disk(book.repo, fresh)))


def _slip_told(wish: Wish, slip: Alteration | None, beforehand: Iterable[str]) -> list[str]:
    """What became of `--reason`, and of slips that were staged beforehand."""
    if beforehand and slip is None:
        names = [path.removeprefix("ledger/").removesuffix(".toml") for path in beforehand]
        return [f"{', '.join(names)}, staged beforehand, went along: it admits the late change."]
    if slip is not None:
        return [f"{slip.name} admits the late change on {pages_words(slip.pages)}."]
    return ["No slip was needed: nothing that is signed off has changed."] if wish.reason else []


def _not_entered(entry: Round, wish: Wish, slip: Alteration | None, late: Sequence[Finding]) -> tuple[str, ...]:
    """That nothing was entered, and the way out where a sign-off is what stops it."""
    said = f"{entry.name} was not entered; nothing has changed."
    if slip is not None and (why := too_narrow(slip, late)):
        return (said, why)
    if slip is None and any(admittable(finding) for finding in late):
        pages = f" --pages {wish.pages}" if wish.pages else ""
        return (said, f'To agree to it: inkledger enter {entry.pass_name}{pages} --reason "why it is changed"')
    return (said,)
