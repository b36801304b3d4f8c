"""Pages that came back, held against what was asked: are they all there, under their names, over what was given.

Trade facts T-171 to T-176. What is seen in a single picture is judged in `ledger.pictures.returns.returned`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, NamedTuple

from ledger.judge.resting.findings import reason
from ledger.judge.resting.made_from import Sources
from ledger.judge.resting.upstream import Resting, changed_since, is_stale
from ledger.model.book import Pass
from ledger.model.finding import Finding
from ledger.model.lending import LIST, Asked, Lending
from ledger.model.pages import page_label, page_name
from ledger.model.returned import Returned
from ledger.pictures.returns.returned import Fault
from ledger.read.page_names import PICTURES, pages_by_name
from ledger.read.returned_bundle import Found, folded

if TYPE_CHECKING:
    from ledger.pictures.returns.known_again import Small


class Counted(NamedTuple):
    """What is there: findings of the pages that are not, by label, and of files that nobody asked for."""

    missing: Mapping[str, Finding]
    beside: tuple[Finding, ...]


def counted(lending: Lending, files: Mapping[str, Found]) -> Counted:
    """Which pages came back under their names. A page under another name is one finding, not two."""
    spare = {path: each for path, each in files.items() if _nobody_asked(lending, path)}
    missing: dict[str, Finding] = {}
    for each in lending.asked:
        if each.answer in files:
            continue
        other = _renamed(each, spare)
        if other is None:
            missing[each.page] = _gone(each)
        else:
            del spare[other]
            missing[each.page] = Finding(
                "return-names", "block", f"it came back under this name; asked was {each.answer}", other,
                page=each.page, remedy=f"call it {each.answer}",
            )  # fmt: skip
    return Counted(missing, tuple(_extra(path, each) for path, each in spare.items()))


def _gone(asked: Asked) -> Finding:
    return Finding("return-count", "block", "it did not come back", asked.answer, page=asked.page,
                   remedy="send it; the pages that are as asked need not be sent again")  # fmt: skip


def _nobody_asked(lending: Lending, path: str) -> bool:
    """Whether a file stands where only what was asked and given belongs, or is a picture anywhere."""
    if path in {LIST, *(each.path for each in lending.given), *(each.answer for each in lending.asked)}:
        return False
    ours = {each.answer.partition("/")[0] for each in lending.asked} | ({lending.lines} if lending.lines else set())
    return path.partition("/")[0] in ours or PurePosixPath(path).suffix.lower() in PICTURES


def _renamed(asked: Asked, spare: Mapping[str, Found]) -> str | None:
    """The file that is this page under another name."""
    same = next((path for path in spare if folded(path) == folded(asked.answer)), None)
    return same or next((path for path in spare if label_said(path) == asked.page), None)


def label_said(path: str) -> str | None:
    """The page that the name of a picture states, in whatever way."""
    name = PurePosixPath(path).name
    if PurePosixPath(name).suffix.lower() not in PICTURES:
        return None
    return page_label(PurePosixPath(name).stem) or pages_by_name([name]).get(name)


def _extra(path: str, found: Found) -> Finding:
    why = found.unfit or "was not asked for"
    return Finding("return-names", "block", f"it {why}; it was left where it is", path,
                   remedy="take it out of the folder, or give it the name that was asked for")  # fmt: skip


# -- pictures


def told(faults: Iterable[Fault], path: str, page: str) -> tuple[Finding, ...]:
    """What is wrong with a picture, at its place in what came back."""
    return tuple(
        Finding(each.rule, "block", f"it {each.message}{_at(each)}", path, page=page, remedy=_REMEDIES.get(each.rule))
        for each in faults
    )


def _at(fault: Fault) -> str:
    if fault.at is None:
        return ""
    return f"; the first place is {fault.at[0]} px from the left, {fault.at[1]} px from the top (counted from 0)"


_REMEDIES = {
    "return-size": "export it again at the size of the line art, without cropping or resizing",
    "return-mode": "save it again as the sheet asks",
    "line-art-changed": "put back the line art as it was handed out, and see that the page still fits it",
    "edges-smoothed": "turn anti-aliasing and feathering off, and fill these edges again",
    "pixels-uncoloured": "run the colour on under the lines, so that every pixel inside the panels has one",
    "export-unreadable": "export it again",
}


def strangers(came: Mapping[str, Small], given: Mapping[str, Small]) -> Iterator[tuple[str, str, str]]:
    """(page, rule, message) of pages that came back whole and surely show something else than what was given of them.

    Both are pages brought down, by label. A page drawn anew beyond being known again is nobody's, and not told.
    """
    from ledger.pictures.returns.known_again import Shelf

    shelf = Shelf(list(given.items()))
    for label, page in came.items():
        shown = shelf.shown(page) if label in shelf.names else None
        if shown is None or not shown.pages:
            continue
        if label not in shown.pages:
            yield label, "page-swapped", f"it looks like {page_name(shown.pages[0])} as that was handed out"
        elif shown.turned:
            yield label, "layout-changed", f"it is {_TURNED[shown.turned]}, beside what was handed out"


_TURNED = {"upside-down": "upside down", "mirrored": "mirrored"}


def strange(page: Returned, rule: str, message: str) -> Finding:
    """A query about a page that shows something else."""
    return Finding(rule, "query", message, page.path, page=page.page,
                   remedy="taken all the same: look at it, and have it sent again if it is wrong")  # fmt: skip


def unfit(path: str, why: str, page: str) -> Finding:
    """A file that can't be used at all."""
    return Finding("export-unreadable", "block", f"it {why}", path, page=page,
                   remedy="send the picture itself, as a plain file")  # fmt: skip


def lines_not_there(path: str, page: str) -> Finding:
    """Line art that did not come along, so that nobody can tell whether it was changed."""
    return Finding("return-count", "block", "the line art did not come back, so it can't be compared", path, page=page,
                   remedy="send the folder whole, with the line art as it was handed out")  # fmt: skip


# -- the base


def basis_moved(then: Sources, now: Sources, pass_: Pass, asked: Asked, basis: Mapping[str, str]) -> Iterator[Finding]:
    """A query where the upstream content of HEAD differs materially from what was handed out (trade facts T-175).

    `then` has what was given; `basis` maps an upstream pass to the entry it came from.
    """
    upstream = [each for name in pass_.comes_from if (each := now.state.book.pass_named(name))]
    made = {each.name: found for each in upstream if (found := then.content(each, asked.page))}
    grounds = changed_since(now, pass_, asked.page, Resting(made, basis))
    weighty = [each for each in grounds if is_stale(pass_, (each,))]
    if weighty:
        because = "; and from ".join(reason(now, asked.page, each) for each in weighty)
        stated = next((each.basis for each in weighty if each.basis != each.upstream.name), None)
        state_it = f"; to say so when it is entered: --made-from {stated}" if stated else ""
        yield Finding("basis-moved", "query", f"it was made from {because}", asked.answer, page=asked.page,
                      remedy=f"taken all the same: see whether it still fits{state_it}")  # fmt: skip
