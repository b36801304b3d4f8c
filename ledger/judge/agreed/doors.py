"""The one judgement that every door asks for: `enter`, `check`, the hooks, the push and the audit.

They differ only in which states they set against each other (convention §4, "How a change is judged").
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from ledger.judge.agreed.baseline import Archive, Baseline, baseline_of, scripts_now, with_script
from ledger.judge.agreed.closed import Closing, closings
from ledger.judge.agreed.differences import Difference
from ledger.judge.agreed.drawing import Wall, agreed_pictures, drawing_differences
from ledger.judge.agreed.first_look import GROWTH, only_remarks, only_words
from ledger.judge.agreed.ledger_rules import (
    Kept,
    carried_entries,
    carried_values,
    entries_stand,
    entry_files,
    entry_findings,
    loosened,
    missing_text,
)
from ledger.judge.agreed.remembered import PicturesSeen, Remembered
from ledger.judge.agreed.scripts import Cast, Script
from ledger.judge.agreed.telling import Charge, told_findings
from ledger.judge.agreed.verdicts import Verdict, verdict
from ledger.judge.levels import raised, raised_level
from ledger.model.book import Book, Pass
from ledger.model.entry import Alteration, Entry, Lock, Reopen
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.snapshot import FileAt, Store
from ledger.read.state import BookState

CastOf = Callable[[Entry], Cast | None]


class Case(NamedTuple):
    """What a change is judged by.

    `recorded` are the entries in force before it and `added` its own; `books` the `book.toml` of bases and change, of
    which the stricter holds; `kept` the files of earlier entries that stand in no base any more. `cast_then` gives the
    cast of the commit that recorded an entry, None where that is not known. `must_be_here` is whether content that is
    not on this machine blocks on a locked page; `remembered` holds what was read and set side by side before.
    """

    recorded: tuple[Entry, ...]
    added: tuple[Entry, ...]
    books: tuple[Book, ...]
    content: Store
    kept: Mapping[str, Kept]
    cast_then: CastOf
    must_be_here: bool
    remembered: Remembered

    def cast_of(self, entry: Entry) -> Cast:
        """The cast by which an entry's draft is read: that of its own commit, else the oldest book at hand."""
        if any(entry is own for own in self.added):
            return self.books[-1].cast
        known = self.cast_then(entry)
        return known if known is not None else self.books[0].cast

    @property
    def growth(self) -> float:
        """The strictest share of characters by which a locked line may grow."""
        return min(book.limits.balloon_growth for book in self.books)


def standing(state: BookState, *, content: Store, cast_then: CastOf | None = None) -> tuple[Finding, ...]:
    """Every finding of locks, slips, reopenings and entries that stands in a state."""
    return told_findings(standing_charges(state, content, cast_then=cast_then))


def standing_charges(state: BookState, content: Store, *, cast_then: CastOf | None = None) -> tuple[Charge, ...]:
    """As `standing`, before it is worded: what a slip for what is recorded already has to admit."""
    case = Case(tuple(state.entries), (), (state.book,), content, {}, cast_then or _unknown, False, Remembered())
    found = tuple(_all_charges(case, (), state))
    case.remembered.clear()
    return found


def charged(
    bases: Sequence[BookState],
    change: BookState,
    content: Store,
    *,
    kept: Mapping[str, Kept] | None = None,
    cast_then: CastOf | None = None,
    must_be_here: bool = False,
    pictures: PicturesSeen | None = None,
) -> tuple[Finding, ...]:
    """What a change must answer for: the findings that no base had, judged in the same way.

    `bases` are the parents (none for a root commit); `kept` are entries as they were first recorded, where a parent
    holds them no more or holds them changed; `pictures` gives what was found out about pictures before.
    """
    return told_findings(
        judge(
            bases, change, content, kept=kept, cast_then=cast_then, must_be_here=must_be_here, pictures=pictures
        ).charged
    )


def all_standing(
    bases: Sequence[BookState],
    change: BookState,
    content: Store,
    *,
    cast_then: CastOf | None = None,
    pictures: PicturesSeen | None = None,
) -> tuple[Finding, ...]:
    """Everything that stands in a change, old and new, judged by its bases' entries as well as its own."""
    judgement = judge(bases, change, content, cast_then=cast_then, pictures=pictures)
    return told_findings([*judgement.standing, *judgement.loosened])


class Judgement(NamedTuple):
    """Everything that stands in a change, the part of it that no base had, and what `book.toml` loosened."""

    standing: tuple[Charge, ...]
    new: tuple[Charge, ...]
    loosened: tuple[Charge, ...]

    @property
    def charged(self) -> tuple[Charge, ...]:
        """What the change must answer for."""
        return (*self.new, *self.loosened)


def judge(
    bases: Sequence[BookState],
    change: BookState,
    content: Store,
    *,
    kept: Mapping[str, Kept] | None = None,
    cast_then: CastOf | None = None,
    must_be_here: bool = False,
    remembered: Remembered | None = None,
    pictures: PicturesSeen | None = None,
) -> Judgement:
    """The judgement behind every door; see `charged`. `remembered` is what earlier judgements of this run have read."""
    own = remembered if remembered is not None else Remembered(pictures)
    carried = carried_values(kept or {})
    recorded, added = carried_entries(bases, carried, change)
    books = (*(base.book for base in bases), change.book)
    case = Case(
        tuple(recorded), tuple(added), books, content, kept or {}, cast_then or _unknown, must_be_here,
        own,
    )  # fmt: skip
    found = _all_charges(case, bases, change)
    new = _without(found, [_charges_of_base(case, base) for base in bases]) if found else []
    if remembered is None:
        own.clear()
    return Judgement(tuple(found), tuple(new), tuple(_loosened(case, bases, change)))


def _unknown(entry: Entry) -> Cast | None:
    return None


def _all_charges(case: Case, bases: Sequence[BookState], change: BookState) -> list[Charge]:
    """Everything that stands in a change, by the entries of its bases and its own."""
    found = list(_ledger_charges(bases, change, case))
    opened = case.recorded if bases or case.kept else (*case.recorded, *case.added)
    for closing in _closings(case, (*case.recorded, *case.added), opened):
        found += _charges(case, closing, change)
    return found


def _charges_of_base(case: Case, base: BookState) -> list[Charge]:
    """What stands in a base by its own entries, carried ones included, and by the same strictness."""
    own = {entry.path for entry in base.entries} if case.kept else ()
    carried = [e for e in case.recorded if e.path in case.kept and e.path not in own] if case.kept else []
    entries = (*base.entries, *carried)
    there = case._replace(recorded=entries, added=())
    found = list(_ledger_charges([], base, case))
    for closing in _closings(case, entries, entries):
        found += _charges(there, closing, base)
    return found


def _closings(case: Case, entries: Sequence[Entry], opened: Sequence[Entry]) -> tuple[Closing, ...]:
    """As `closings`, put together once for the same entries."""
    binding = [entry for entry in entries if isinstance(entry, (Lock, Alteration))]
    reopens = [entry for entry in opened if isinstance(entry, Reopen)]
    key = tuple(map(id, binding)), tuple(map(id, reopens))
    return case.remembered.value("closings", key, (*binding, *reopens), lambda: closings(binding, reopens))


def _ledger_charges(bases: Sequence[BookState], state: BookState, case: Case) -> Iterable[Charge]:
    as_they_were = not case.kept and all(entries_stand(base, state) for base in bases)
    found = [] if as_they_were else list(entry_findings(list(map(entry_files, bases)), case.kept, entry_files(state)))
    known = {finding.path for finding in found}
    for finding in (*found, *(f for f in state.findings if f.path not in known)):
        yield Charge(_raised(finding, case.books), ("ledger", str(finding.path)))


def _charges(case: Case, closing: Closing, state: BookState) -> Iterable[Charge]:
    """What one sign-off has to say of a state."""
    return (*_of_text(case, closing, state), *_charged(case, closing, _of_pictures(case, closing, state)))


def _charged(case: Case, closing: Closing, found: Iterable[Difference]) -> list[Charge]:
    """Differences that a sign-off closes, as charges. `closing` holds the pages by the numbers of its baseline."""
    charges, who, levels = [], _who(closing), [book.rules for book in case.books]
    # What was late in one commit stands in all that follow: what a sign-off says of its place is asked once.
    known: dict[object, Verdict | None] = case.remembered.value("verdicts", id(closing), (closing,), dict)
    for difference in found:
        place = difference.scope, difference.on, difference.level
        if place not in known:
            known[place] = verdict(difference, closing)
        said = known[place]
        if said is not None:
            level = said.level if said.reopen else raised_level(difference.rule, said.level, *levels)
            identity = (*who, *difference.identity)
            charges.append(Charge(None, identity, difference, level, closing.lock, said.reopen))
    return charges


def _who(closing: Closing) -> tuple[str, ...]:
    return (closing.lock.pass_name, str(closing.lock.date), str(closing.lock.pages))


def _of_text(case: Case, closing: Closing, state: BookState) -> Sequence[Charge]:
    """What a sign-off has to say of the script: the same of every state with that script, while its baseline stands."""
    if not closing.texts:
        return ()
    state, script = with_script(state, closing)
    archive = Archive(case.content, case.cast_of, case.growth, case.remembered)
    if _untouched(case, closing, state, script):
        return ()
    try:
        baseline = baseline_of(closing, state.book, script, archive)
        if _as_agreed(case, baseline, state, script):
            return ()
        scripts = scripts_now(state, script, closing, case.remembered)
        levels = frozenset(frozenset(book.rules.items()) for book in case.books)
        key = (id(baseline), tuple(map(id, scripts)), case.growth, levels)
        return case.remembered.value(
            "charges",
            key,
            (baseline, *scripts),
            lambda: _charged(case, baseline.closing, _worded(case, baseline, scripts)),
        )
    except ContentMissing as fault:
        must_be_here = case.must_be_here and not _as_a_slip_says(closing, state, script)
        level = "block" if must_be_here or _unproven(case, closing, state) else "query"
        finding = missing_text(closing.lock, fault).at_level(level)
        return (Charge(finding, (*_who(closing), finding.rule)),)


def _worded(case: Case, baseline: Baseline, scripts: Sequence[Script]) -> list[Difference]:
    """What the scripts of a state have otherwise than the baseline, each thing once."""
    found: list[Difference] = []
    for now in scripts:
        told = {difference.identity for difference in found}
        differing = [each for each, _ in baseline.differences(now, now.cast, case.growth, case.remembered)]
        found += [each for each in differing if each.identity not in told]
    return found


def _unproven(case: Case, closing: Closing, state: BookState) -> bool:
    """Whether a sign-off is new, or a new slip names what its own commit does not hold.

    Both must show what they name; what is not here can't be shown.
    """
    if any(closing.lock is own for own in case.added):
        return True
    return any(not _holds(state, slip) for slip in closing.slips if any(slip is own for own in case.added))


def _holds(state: BookState, slip: Entry) -> bool:
    """Whether a state holds exactly what a slip names."""
    files = state.snapshot.files
    return all((files[path].oid if path in files else "") == oid for path, oid in slip.files.items())


def _untouched(case: Case, closing: Closing, state: BookState, script: Pass) -> bool:
    """Whether the script is, byte for byte, what the sign-off named, read by the same cast, no slip between."""
    if any("structure" in slip.scopes or "wording" in slip.scopes for slip in closing.slips):
        return False
    now = {path: state.snapshot.files[path] for path in state.paths(script)}
    ids = {path: file.oid for path, file in now.items() if file.regular}
    agreed = {path: oid for path, oid in closing.texts.items() if oid}
    return ids == agreed and list(case.cast_of(closing.lock)) == list(state.book.cast)


def _as_agreed(case: Case, baseline: Baseline, state: BookState, script: Pass) -> bool:
    """Whether the script is what was agreed, byte for byte or but for words that are free, without reading it.

    Raises ContentMissing.
    """
    closing = baseline.closing
    agreed = {path: oid for path, oid in baseline.heads[-1].files.items() if oid}
    now = {path: state.snapshot.files[path] for path in state.paths(script)}
    elsewhere = any(path in state.snapshot.files and path not in now for path in closing.texts)
    if len(baseline.heads) > 1 or elsewhere or agreed.keys() != now.keys():
        return False
    if list(case.cast_of(baseline.heads[-1].entry)) != list(state.book.cast):
        return False
    changed = [path for path, file in now.items() if file.oid != agreed[path] or not file.regular]
    words_free = "wording" not in closing.lock.scopes and case.growth >= GROWTH
    drawn = "drawing" in closing.lock.scopes
    return all(_only_words(case, agreed[path], now[path], drawn if words_free else None) for path in changed)


def _only_words(case: Case, agreed: str, now: FileAt, drawn: bool | None) -> bool:
    """Whether two states of a file differ in free words and remarks alone; in remarks alone where `drawn` is None."""
    if now.oid is None or not now.regular:
        return False
    oid = now.oid

    def asked() -> bool:
        contents = case.content.blob(agreed), case.content.blob(oid)
        return only_remarks(*contents) if drawn is None else only_words(*contents, drawn=drawn)

    return case.remembered.value("only words", (agreed, oid, drawn), (), asked)


def _as_a_slip_says(closing: Closing, state: BookState, script: Pass) -> bool:
    """Whether the script is, byte for byte, what one of the slips names."""
    ids = {path: state.snapshot.files[path].oid for path in state.paths(script)}
    return any(all(slip.files.get(path) == oid for path, oid in ids.items()) for slip in closing.slips)


def _of_pictures(case: Case, closing: Closing, state: BookState) -> Sequence[Difference]:
    if "drawing" not in closing.lock.scopes:
        return ()
    books = (*case.books, state.book)
    passes = dict.fromkeys(book.pass_named(closing.lock.pass_name) for book in books)
    entries = (closing.lock, *closing.slips)
    agreed = case.remembered.value(
        "agreed pictures", (*map(id, entries), *passes), entries, lambda: agreed_pictures(closing, books)
    )
    must_be_here = case.must_be_here or _unproven(case, closing, state)
    wall = Wall(closing, agreed, state.snapshot, case.content, books, must_be_here, case.remembered.pictures)
    return drawing_differences(wall)


def _without(found: list[Charge], bases: Sequence[list[Charge]]) -> list[Charge]:
    """Charges that no base had; equal ones are counted."""
    had: Counter[tuple[str, ...]] = Counter()
    for base in bases:
        had |= Counter(charge.identity for charge in base)
    left = []
    for charge in found:
        if had[charge.identity]:
            had[charge.identity] -= 1
        else:
            left.append(charge)
    return left


def _loosened(case: Case, bases: Sequence[BookState], change: BookState) -> list[Charge]:
    locks = [entry for entry in case.recorded if isinstance(entry, Lock)]
    found = loosened([base.book for base in bases], change.book, locks)
    return [Charge(_raised(f, case.books), ("loosened", f.rule, f.message)) for f in found]


def _raised(finding: Finding, books: Sequence[Book]) -> Finding:
    return raised(finding, *(book.rules for book in books))
