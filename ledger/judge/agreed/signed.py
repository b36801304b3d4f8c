"""`not-as-signed`: is a page what its sign-off, or a slip after it, admitted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from ledger.judge.agreed.closed import Closing, closings, moment
from ledger.judge.agreed.drawing import Wall, agreed_pictures
from ledger.judge.levels import apply_rules, raised
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.pages import page_name, page_numbers, pages_text, pages_words
from ledger.model.snapshot import FileAt
from ledger.pictures.files.header import Unreadable
from ledger.pictures.guarded import digest
from ledger.read.state import BookState

Known = dict[str, str]


class Agreed(NamedTuple):
    """What a page's newest sign-off admits: the picture's object id ("" for none there), and the entry that says so.

    `drawing` is whether the sign-off closes the picture itself; `oid` is None where it names no picture, and no round.
    """

    closing: Closing
    entry: str
    oid: str | None
    drawing: bool


def newest_sign_offs(state: BookState, pass_: Pass, labels: Sequence[str]) -> dict[str, Closing]:
    """Page label -> the newest sign-off of the pass that covers it; pages never signed off are left out."""
    mine = [each for each in closings(state.entries, state.entries) if each.lock.pass_name == pass_.name]
    found = {}
    for label in labels:
        covering = [each for each in mine if _covers(each, label)]
        if covering:
            found[label] = covering[-1]
    return found


def _covers(closing: Closing, label: str) -> bool:
    """A spread is signed off where both its pages are."""
    numbers = page_numbers(label)
    pages = closing.lock.page_set
    return label in pages.labels or all(str(n) in pages for n in numbers) if numbers else label in pages


def not_as_signed(state: BookState, pass_: Pass, files: Mapping[str, FileAt], known: Known) -> tuple[Finding, ...]:
    """What is to be said of these pages (label -> export) of a pass, at the levels that the book's rules give them.

    Object ids are compared first; only where they differ both pictures are unpacked. `known` is what pictures
    unpacked before are known by, by object id; what is unpacked now is added. Raises ContentMissing.
    """
    signed = newest_sign_offs(state, pass_, list(files))
    found = list(apply_rules(_never_signed(pass_, [each for each in files if each not in signed]), state.book.rules))
    agreed = _agreed(state, pass_, signed)
    for label, file in files.items():
        if label not in agreed:
            continue
        finding = _held_against(state, pass_, (label, file), agreed[label], known)
        if finding is not None and agreed[label].drawing:
            found.append(raised(finding, state.book.rules))
        elif finding is not None:
            found += apply_rules([finding], state.book.rules)
    return tuple(found)


def _never_signed(pass_: Pass, labels: Sequence[str]) -> Iterator[Finding]:
    if labels:
        what = pages_words(pages_text(labels))
        yield Finding(
            "not-as-signed", "query",
            f"{what} of {pass_.name} {'was' if len(labels) == 1 else 'were'} never signed off",
            remedy=f"sign it off: inkledger lock {pass_.name}" if pass_.locks
            else "a pass without `locks` in book.toml is never signed off",
        )  # fmt: skip


def _agreed(state: BookState, pass_: Pass, signed: Mapping[str, Closing]) -> dict[str, Agreed]:
    found: dict[str, Agreed] = {}
    walls: dict[str, dict[str, tuple[str, str]]] = {}
    for label, closing in signed.items():
        name = closing.lock.name
        drawing = "drawing" in closing.lock.scopes
        if name not in walls:
            walls[name] = _pictures(state, closing) if drawing else _of_round(state, pass_, closing)
        oid, entry = walls[name].get(label, (None if not drawing and not walls[name] else "", name))
        found[label] = Agreed(closing, entry, oid, drawing)
    return found


def _pictures(state: BookState, closing: Closing) -> dict[str, tuple[str, str]]:
    """Page label -> object id and the entry that agreed it: the sign-off, or the last slip on that page."""
    books = (state.book,)
    agreed = agreed_pictures(closing, books)
    wall = Wall(closing, agreed, state.snapshot, state.snapshot.store, books)
    found = {}
    for path, oid in agreed.items():
        label = wall.page_of(path)
        if label is not None and (oid or label not in found):
            last = [slip.name for slip in closing.slips if path in slip.files and "drawing" in slip.scopes]
            found[label] = (oid, last[-1] if last else closing.lock.name)
    return found


def _of_round(state: BookState, pass_: Pass, closing: Closing) -> dict[str, tuple[str, str]]:
    """The same for a sign-off that closes no pictures: those of the round that was signed, or of the round that an
    alteration slip after it brought."""
    from ledger.read.patterns import label_of

    rounds = [e for e in state.entries if isinstance(e, Round) and e.pass_name == pass_.name]
    then = next((e for e in rounds if e.number == closing.lock.round), None)
    found: dict[str, tuple[str, str]] = {}
    for path, oid in (then.files if then else {}).items():
        label = label_of(path, pass_)
        if label is not None and oid:
            found[label] = (oid, closing.lock.name)
    for later in sorted(rounds, key=lambda e: e.number):
        if then is None or later.number <= then.number:
            continue
        for path, oid in later.files.items():
            label = label_of(path, pass_)
            if label in later.page_set and label in found:
                slips = [s for s in closing.slips if label in s.page_set and moment(s) <= moment(later)]
                if slips and label is not None:
                    found[label] = (oid, slips[-1].name)
    return found


def _held_against(
    state: BookState, pass_: Pass, page: tuple[str, FileAt], agreed: Agreed, known: Known
) -> Finding | None:
    label, file = page
    if agreed.oid is None:
        return _differs(
            pass_, page, f"{agreed.closing.lock.name} names no round that it could be held against", "query"
        )
    if agreed.oid == "":
        return _differs(pass_, page, f"{agreed.entry} holds no picture of it", "block", agreed)
    if agreed.oid == file.oid or not file.regular:
        return None
    try:
        if _shown(state, file.oid or "", known) == _shown(state, agreed.oid, known):
            return None
    except Unreadable:
        pass  # told as export-unreadable where it is the page's own
    except ContentMissing as gone:
        return Finding(
            "export-unreadable", "block", f"{page_name(label)} of {pass_.name} has changed, and what {agreed.entry} "
            f"admitted is not on this machine ({gone.why})", file.path, page=label,
            remedy="fetch it: git lfs pull, or git fetch, and deliver again",
        )  # fmt: skip
    return _differs(pass_, page, f"it shows something else than {agreed.entry} admitted", "block", agreed)


def _differs(pass_: Pass, page: tuple[str, FileAt], why: str, level: str, agreed: Agreed | None = None) -> Finding:
    label, file = page
    opened = agreed.closing.opened_by(label) if agreed else None
    if opened is not None:
        why += f"; {opened.name} opened it, and it was not signed off again"
    remedy = f"if it is right, sign it off again: inkledger lock {pass_.name} --pages {label}"
    if agreed is not None and agreed.drawing and opened is None:
        remedy = f'put it back, or admit it: inkledger alter --late --pages {label} --reason "..."'
    return Finding("not-as-signed", level, f"{page_name(label)} of {pass_.name} is not as it was signed off: {why}",
                   file.path, page=label, remedy=remedy)  # fmt: skip


def _shown(state: BookState, oid: str, known: Known) -> str:
    """What a picture is known by. Raises Unreadable, ContentMissing."""
    shown = known.get(oid)
    if shown is None or len(shown) != 64:
        # White paper is kept under a word of its own, whatever its size.
        shown = digest(state.snapshot.store.blob(oid))
        known.setdefault(oid, shown)
    return shown
