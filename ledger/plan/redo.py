"""Which pages of which pass a change asks to be made, page by page: from what they rest on and what it touches."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from ledger.judge.resting.fingerprint import Fingerprints
from ledger.judge.resting.upstream import pictures_in, script_kind
from ledger.model.book import Book, Pass
from ledger.model.entry import Round
from ledger.model.pages import page_numbers
from ledger.plan.numbering import Numbering
from ledger.plan.pace import pace_of
from ledger.plan.weight import Redo
from ledger.read.state import BookState

#: What became of a page for the passes behind it.
_WORDS, _DRAWN = "words", "script"


class Touched(NamedTuple):
    """What a change touches: the numbering, each page of the script by what became of it, pictures that changed.

    `script` maps an old page to "words" (only words were reworded) or "script" (anything else); `prints` gives the
    fingerprint of a new page; `pictures` maps a pass to old pages whose picture is another one now.
    """

    numbering: Numbering
    script_pass: str | None
    script: Mapping[int, str]
    prints: Callable[[int], str | None]
    pictures: Mapping[str, frozenset[int]]


def script_touched(old: Fingerprints, new: Callable[[int], str | None], numbering: Numbering) -> dict[int, str]:
    """Old page -> what became of it, for pages that are still there and are not what they were."""
    found = {}
    for page, now in numbering.to.items():
        then = old.of(str(page))
        if now is None or then is None:
            continue
        is_now = new(now)
        if is_now != then:
            found[page] = script_kind(then, is_now)
    return {page: kind for page, kind in found.items() if kind in (_WORDS, _DRAWN)}


def redo(state: BookState, touched: Touched, as_of: date) -> tuple[Redo, ...]:
    """What is to be made of every drawn pass that has a round, in the book's order."""
    found = []
    reach = _Reach(state.book, touched)
    for pass_ in state.book.passes:
        rounds = [e for e in state.entries if isinstance(e, Round) and e.pass_name == pass_.name]
        if pass_.kind != "art" or not rounds:
            continue
        done = _resting_now(pass_, rounds, touched)
        drawn = _drawn(pass_, rounds)
        why = dict(sorted(_pages(pass_, reach, touched, drawn, done)))
        if why:
            pace = pace_of(state.entries, pass_, state.book.calendar, as_of)
            found.append(Redo(pass_.name, tuple(why), pace, why))
    return tuple(found)


def _pages(
    pass_: Pass, reach: "_Reach", touched: Touched, drawn: frozenset[int], done: frozenset[str]
) -> Iterator[tuple[int, str]]:
    """New numbers of the pages of a pass to make, each with why."""
    for page in touched.numbering.added:
        if _weighty(pass_, touched.prints(page)) not in done:
            yield page, "it is new"
    for page, now in touched.numbering.to.items():
        why = reach.of(pass_, page) if page in drawn and now is not None else None
        if why and now is not None and _weighty(pass_, touched.prints(now)) not in done:
            yield now, why


def _weighty(pass_: Pass, print_: str | None) -> str:
    """The part of a fingerprint that matters to a pass: without the words unless it locks them; "" for none."""
    return (print_ or "") if "wording" in pass_.locks else (print_ or "").partition("-")[0]


def _drawn(pass_: Pass, rounds: list[Round]) -> frozenset[int]:
    """Story pages that have a picture in the newest round of a pass."""
    newest = max(rounds, key=lambda entry: entry.number)
    return frozenset(number for label in pictures_in(newest, pass_) for number in page_numbers(label))


def _resting_now(pass_: Pass, rounds: list[Round], touched: Touched) -> frozenset[str]:
    """What of the script the pictures of the pass rest on: a page that is so now is drawn already."""
    script = touched.script_pass
    if script is None or script not in pass_.comes_from:
        return frozenset()
    ordered = sorted(rounds, key=lambda entry: entry.number)
    there = pictures_in(ordered[-1], pass_)
    resting = {label: made[script] for entry in ordered for label, made in entry.made_from.items() if script in made}
    return frozenset(_weighty(pass_, print_) for label, print_ in resting.items() if label in there) - {""}


class _Reach:
    """How far a change of the script or of a picture reaches through the passes."""

    def __init__(self, book: Book, touched: Touched) -> None:
        self.book, self.touched = book, touched
        self._known: dict[tuple[str, int], str | None] = {}

    def of(self, pass_: Pass, page: int) -> str | None:
        """Why an old page of a pass is to be made again; None where the change does not reach it."""
        key = (pass_.name, page)
        if key not in self._known:
            self._known[key] = None
            self._known[key] = next(self._reasons(pass_, page), None)
        return self._known[key]

    def _reasons(self, pass_: Pass, page: int) -> Iterator[str]:
        for name in pass_.comes_from:
            upstream = self.book.pass_named(name)
            if upstream is None:
                continue
            if name == self.touched.script_pass:
                kind = self.touched.script.get(page)
                if kind == _DRAWN:
                    yield f"{name} has changed there"
                elif kind == _WORDS and "wording" in pass_.locks:
                    yield f"its words in {name} have changed"
            elif upstream.kind == "art":
                if page in self.touched.pictures.get(name, ()):
                    yield f"its {name} have been drawn again"
                elif self.of(upstream, page) is not None:
                    yield f"its {name} are to be made again"
