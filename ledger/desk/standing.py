"""`status`: where every pass stands, what was signed off, what rests on older content, what to do next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from ledger.desk.next_steps import beside_sheets, next_steps
from ledger.desk.numbers import locks_of, newest_round
from ledger.desk.opening import OpenBook, open_book
from ledger.desk.stale_pages import stale_now
from ledger.desk.upkeep.disk import last_copy, much_art
from ledger.judge.exports.large_files import large_file_rules
from ledger.model.book import Pass
from ledger.model.entry import Delivery, Handoff, Round
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.note import NotesRound
from ledger.model.pages import page_numbers, pages_text
from ledger.model.stale import Stale
from ledger.model.standing import Away, DrawnBefore, PageCount, PassStanding, SignedOff, Standing
from ledger.read.notes_rounds import notes_rounds
from ledger.read.patterns import label_of
from ledger.read.state import BookState


def standing(here: Path) -> Standing:
    """Where the book stands now. Raises Refusal where there is no book."""
    book = open_book(here)
    state = book.working
    stale = stale_now(book, state)
    total = story_pages(state)
    passes = tuple(_pass(state, each, total, stale.labels(each.name)) for each in state.book.passes)
    rounds = notes_rounds(state)
    notes = Counter(note.state for each in rounds for note in each.notes)
    findings = (*state.findings, *(finding for each in rounds for finding in each.findings), *_stale_findings(stale))
    before = _drawn_before(book, state)
    steps = (*next_steps(passes, notes, state, stale), *beside_sheets(before))
    return Standing(
        state.book.title, passes, dict(notes), steps, _ruled(state, findings), pages_away(state), stale,
        last_copy(book.repo), much_art(book, state), _reading(state, rounds), before, _delivered(state),
    )  # fmt: skip


def _pass(state: BookState, each: Pass, total: int, stale: tuple[str, ...]) -> PassStanding:
    newest = newest_round(state.entries, each.name)
    locks = tuple(SignedOff(lock.name, lock.pages, lock.scopes) for lock in locks_of(state.entries, each.name))
    return PassStanding(
        each.name, each.kind, newest.number if newest else None,
        PageCount(total, _entered(each, newest), stale) if each.kind == "art" else None,
        locks, _changed(state, each, newest), _words(state, each), each.hands,
    )  # fmt: skip


def _words(state: BookState, each: Pass) -> int | None:
    """Lettered words of the script; other text passes are not lettered, so they are not read for it."""
    script = state.book.main_script()
    return state.draft(each.name).words if script and script.name == each.name else None


def story_pages(state: BookState) -> int:
    """Story pages: the script's own once it has page marks, else what `book.toml` says."""
    script = state.book.main_script()
    draft = state.draft(script.name) if script else None
    if draft is None or not draft.pages:
        return state.book.pages
    return sum(len(page_numbers(page.label)) or 1 for page in draft.pages if not page.omitted)


def _entered(each: Pass, newest: Round | None) -> int:
    """Story pages of which a picture stands in the newest round; a spread counts as two."""
    if newest is None:
        return 0
    labels = {label for path, oid in newest.files.items() if oid and (label := label_of(path, each))}
    return len({number for label in labels for number in page_numbers(label)})


def _changed(state: BookState, each: Pass, newest: Round | None) -> int:
    """Files of the pass that are not as the newest round holds them: changed, new or gone."""
    paths = state.paths(each)
    entered = {path: oid for path, oid in newest.files.items() if oid} if newest else {}
    differing = sum(not _as_entered(state, path, entered) for path in paths)
    return differing + len(entered.keys() - set(paths))


def _as_entered(state: BookState, path: str, entered: Mapping[str, str]) -> bool:
    """Whether a file's content is the round's; a file git has not looked at again is looked at here."""
    oid = state.snapshot.files[path].oid
    if path not in entered or (oid is not None and oid == entered[path]):
        return path in entered
    try:
        if oid is None:
            import hashlib

            data = state.snapshot.read(path)
            digest = hashlib.sha256 if len(entered[path]) == 64 else hashlib.sha1
            if digest(b"blob %d\0" % len(data) + data).hexdigest() == entered[path]:
                return True
        # Where git-lfs was switched on or off since, that alone changes nothing.
        return bool(large_file_rules(state)) and state.snapshot.read(path) == state.snapshot.store.blob(entered[path])
    except ContentMissing:
        return False


def pages_away(state: BookState) -> tuple[Away, ...]:
    """Hand-offs, oldest first, with the pages that no return has brought yet; a packet is read, not given back."""
    sent = sorted((e for e in state.entries if isinstance(e, Handoff)), key=lambda e: e.number)
    found = []
    for entry in sent:
        answers = [each for each in sent if each.returns == entry.number]
        left = _still_out(state, entry, answers)
        if entry.asks_back and left != "":
            found.append(Away(entry.name, entry.pass_name, left, entry.to, entry.date))
    return tuple(found)


def _still_out(state: BookState, entry: Handoff, answers: Sequence[Handoff]) -> str | None:
    """The pages of a hand-off that are not back: "" for none, None for all of a book."""
    back: set[str] = set()
    for each in answers:
        brought = _brought(state, each)
        if brought is None or entry.pages is None:
            return ""
        back |= brought
    if entry.pages is None or not back:
        return entry.pages
    return pages_text(entry.page_set.labels - back)


def _brought(state: BookState, answer: Handoff) -> set[str] | None:
    """The pages that a return brought: those of its files, which name none (`""`) for what could not be taken in.

    A return that names no file of its pass brought all that it says; None for all pages.
    """
    pass_ = state.book.pass_named(answer.pass_name)
    labels = {label: oid for path, oid in answer.files.items() if pass_ and (label := label_of(path, pass_))}
    if not labels:
        return None if answer.pages is None else set(answer.page_set.labels)
    return {half for label, oid in labels.items() if oid for half in (label, *map(str, page_numbers(label)))}


def _reading(state: BookState, rounds: Sequence[NotesRound]) -> tuple[Away, ...]:
    """The newest packet of every pass and reader, oldest first, until the reader has notes on the round it shows."""
    sent = sorted((e for e in state.entries if isinstance(e, Handoff) and e.packet), key=lambda e: e.number)
    newest = {(entry.pass_name, entry.to.casefold()): entry for entry in sent}
    answered = {(each.on, each.reader.casefold()) for each in rounds}
    return tuple(
        Away(entry.name, entry.pass_name, entry.pages, entry.to, entry.date)
        for (pass_name, reader), entry in newest.items()
        if (f"{pass_name}-{entry.round}", reader) not in answered
    )


def _delivered(state: BookState) -> Delivery | None:
    sent = [entry for entry in state.entries if isinstance(entry, Delivery)]
    return max(sent, key=lambda entry: entry.number, default=None)


def _drawn_before(book: OpenBook, state: BookState) -> tuple[DrawnBefore, ...]:
    if not any(person.sheet for person in state.book.cast):
        return ()
    from ledger.desk.design_sheets import drawn_before

    return drawn_before(book, state)


def _stale_findings(found: Stale) -> tuple[Finding, ...]:
    if not (found.pages or found.reworded):
        return ()
    from ledger.judge.resting.findings import stale_findings

    return stale_findings(found)


def _ruled(state: BookState, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    from ledger.judge.levels import apply_rules

    return tuple(apply_rules(findings, state.book.rules)) if findings else ()
