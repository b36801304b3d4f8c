"""`repage --apply`: the renaming recorded, all or nothing: files, a round of each pass, its memo, a slip if needed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ledger.desk.arithmetic.repaging import plan_of
from ledger.desk.judging import charges, would_be
from ledger.desk.numbers import free_number, rounds_of
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.recording.handing_over import Signer, refuse_unready, signer
from ledger.desk.recording.slips import slip_for
from ledger.desk.wishes import class_of, reason_of
from ledger.gitedge.record import Recording, record
from ledger.judge.agreed.late import late_change
from ledger.judge.agreed.telling import told_findings
from ledger.judge.resting.made_from import Sources
from ledger.model.entry import Alteration, Round
from ledger.model.errors import Refusal
from ledger.model.pages import ALL_PAGES, pages_text, pages_words
from ledger.model.snapshot import FileAt
from ledger.plan.renaming import RenamePlan, Renaming, Repaged, carried_made_from
from ledger.read.entries import write_entry
from ledger.render.arithmetic.repage import repage_memo, runs_text


@dataclass(frozen=True)
class RepageWish:
    """What `repage --apply` was asked."""

    alteration_class: str | None = None
    reason: str | None = None


def repage(here: Path, wish: RepageWish) -> Repaged:
    """Carries the plan out. Raises Refusal for wrong use; findings that block are in the answer, nothing changed."""
    if wish.alteration_class and not wish.reason:
        raise Refusal("--class goes with --reason", remedy='say why the change is made: --reason "..."')
    if wish.reason is not None:
        reason_of(wish.reason)
        class_of(wish.alteration_class)
    book = open_book(here)
    refuse_unready(book.repo)
    plan = plan_of(book)
    if not plan.renamings:
        return Repaged(plan)
    _refuse_unrecorded(book, plan.renamings)
    return _applied(book, plan, wish)


def _refuse_unrecorded(book: OpenBook, found: Sequence[Renaming]) -> None:
    """Raises Refusal where a file to be renamed is not as the newest commit has it: nobody could take that back."""
    recorded, sources = book.head_snapshot.files, Sources(book.working)
    for each in found:
        now = book.working.snapshot.files[each.path]
        if not now.regular:
            raise Refusal("this is a link, not an export, so it was not renamed", path=each.path,
                          remedy="put the file itself there")  # fmt: skip
        if each.path not in recorded or recorded[each.path].oid != sources.known(now):
            raise Refusal("this export is not recorded as it is now, so nothing was renamed", path=each.path,
                          remedy="enter it, or record it as it is: inkledger save")  # fmt: skip
        if each.new_path in recorded and each.new_path not in {other.path for other in found}:
            raise Refusal("a file of this name is recorded, though it is not there now", path=each.new_path,
                          remedy="put it back, or record that it is gone: inkledger save")  # fmt: skip


def _applied(book: OpenBook, plan: RenamePlan, wish: RepageWish) -> Repaged:
    there = book.head_snapshot.files
    taken = {each.new_path: there[each.path]._replace(path=each.new_path) for each in plan.renamings}
    removed = frozenset(each.path for each in plan.renamings) - taken.keys()
    sign = signer(book.repo)
    rounds = _rounds(book, plan.renamings, taken, removed, sign)
    held = {entry.path: write_entry(entry) for entry in rounds}
    held |= {f"memos/{entry.name}.md": repage_memo(entry, _of(plan, entry)).encode() for entry in rounds}
    slip: Alteration | None = None
    change = would_be(book, contents=held, taken=taken, removed=removed)
    against = charges(book, change)
    late = late_change(against, ALL_PAGES) if wish.reason else None
    if wish.reason and late is not None:
        slip = slip_for(book, change, late, wish.reason, class_of(wish.alteration_class), ALL_PAGES)
        held[slip.path] = write_entry(slip)
        against = charges(book, would_be(book, contents=held, taken=taken, removed=removed))
    findings = told_findings(against)
    if any(finding.blocks for finding in findings):
        return Repaged(plan, said=_stopped(wish), findings=findings)
    headline = f"repage: {runs_text(plan.renamings)}"
    done = record(
        book.repo,
        Recording(
            contents=held, taken=taken, removed=tuple(sorted(removed)), message=headline, base=book.head_commit,
            renamed={each.new_path: each.path for each in plan.renamings},
        ),
    )  # fmt: skip
    told = [f"Renamed and recorded as one commit ({done.commit[:10]}): {', '.join(e.name for e in rounds)}."]
    told += [f"{slip.name} admits it on {pages_words(slip.pages)}."] if slip else []
    return Repaged(plan, True, tuple(told), findings)


def _stopped(wish: RepageWish) -> tuple[str, ...]:
    told = ("Nothing was renamed: signed-off pages would change.",)
    return told if wish.reason else (*told, 'With a slip: inkledger repage --apply --class AA --reason "..."')


def _of(plan: RenamePlan, entry: Round) -> list[Renaming]:
    return [each for each in plan.renamings if each.pass_name == entry.pass_name]


def _rounds(
    book: OpenBook, found: Sequence[Renaming], taken: Mapping[str, FileAt], removed: frozenset[str], sign: Signer
) -> list[Round]:
    """A round of each pass that has one: the same pictures under new names, made from what they were made from."""
    head = book.head
    made = []
    for pass_ in head.book.passes if head else ():
        mine = [each for each in found if each.pass_name == pass_.name]
        before = rounds_of(head.entries, pass_.name) if head else []
        if not mine or not before or head is None:
            continue
        files = {path: head.snapshot.files[path].oid or "" for path in head.paths(pass_) if path not in removed}
        aside = {each.new_path for each in mine if each.to is None}
        files |= {path: file.oid or "" for path, file in taken.items() if path in {e.new_path for e in mine} - aside}
        resting = {label: from_ for entry in before for label, from_ in entry.made_from.items()}
        number = free_number(book.repo, [head, book.working], pass_.name, f"pass/{pass_.name}")
        pages = pages_text(each.to for each in mine if each.to is not None) or None
        made.append(
            Round(
                path=f"ledger/{pass_.name}-{number}.toml", pass_name=pass_.name, number=number, date=sign.when,
                by=sign.by, message=f"repaged: {runs_text(mine)}", pages=pages, files=dict(sorted(files.items())),
                basis=before[-1].basis, made_from=carried_made_from(resting, mine),
            )
        )  # fmt: skip
    return made
