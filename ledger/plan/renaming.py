"""The rename plan for exports after pages were inserted or cut: which picture goes by which number now."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ledger.model.book import Pass
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.pages import label_order, page_name, page_numbers
from ledger.plan.numbering import Numbering
from ledger.read.patterns import path_of


class Drawn(NamedTuple):
    """An export that is there: its path and label now, the label it was drawn under, and the numbering since then."""

    path: str
    label: str
    then: str
    numbering: Numbering


class Renaming(NamedTuple):
    """One export that goes by another name; `to` is None for a page that was cut, whose picture is set aside."""

    pass_name: str
    path: str
    new_path: str
    label: str
    to: str | None


class RenamePlan(NamedTuple):
    """All of it, pass by pass; `masters` are passes whose working files keep their names."""

    title: str
    renamings: tuple[Renaming, ...]
    masters: tuple[str, ...] = ()
    why_none: str = ""


class Repaged(NamedTuple):
    """A plan and what came of it."""

    plan: RenamePlan
    applied: bool = False
    said: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def renamings(pass_: Pass, drawn: Sequence[Drawn], there: Iterable[str], last_page: int) -> list[Renaming]:
    """The renamings of a pass; `there` are all paths of the book, `last_page` is the highest page number.

    Names are padded to the width of the highest page, so that they sort (trade facts T-055). Raises Refusal where two
    pictures would go by one number, or a file of another kind is in the way.
    """
    width = len(str(last_page))
    found = []
    taken = set(there)
    for each in sorted(drawn, key=lambda each: label_order(each.label)):
        to = label_now(each.then, each.numbering)
        new = _aside(each.path, taken) if to is None else path_of(each.path, pass_, to, width)
        if new is None:
            raise Refusal("no name can be built for this export under another number", path=each.path,
                          remedy="rename it by hand, or write {page} into files in book.toml")  # fmt: skip
        if new != each.path:
            taken.add(new)
            found.append(Renaming(pass_.name, each.path, new, each.label, to))
    _refuse_collisions(pass_, drawn, found)
    _refuse_in_the_way(found, set(there))
    return found


def label_now(label: str, numbering: Numbering) -> str | None:
    """The label of a picture in the new numbering; front and back matter and the cover keep theirs.

    A picture of a spread stays one: it goes with its first half that is left.
    """
    halves = page_numbers(label)
    if not halves:
        return label
    spots = [numbering.to.get(half, half) for half in halves]
    first = next((spot - at for at, spot in enumerate(spots) if spot is not None), None)
    if first is None:
        return None
    return str(first) if len(halves) == 1 else f"{first}-{first + len(halves) - 1}"


def _aside(path: str, taken: set[str]) -> str:
    """A place in a folder of its own beside the exports, where no pattern looks."""
    folder, _, name = path.rpartition("/")
    stem, dot, ending = name.rpartition(".")
    front = f"{folder}/" if folder else ""
    tries = [f"{front}set-aside/{name}", *(f"{front}set-aside/{stem}-{n}{dot}{ending}" for n in range(2, 1000))]
    return next(path for path in tries if path not in taken)


def _refuse_collisions(pass_: Pass, drawn: Sequence[Drawn], found: Sequence[Renaming]) -> None:
    to = {each.path: each.to for each in found}
    halves: dict[int, str] = {}
    for each in drawn:
        for number in page_numbers(to.get(each.path, each.label) or ""):
            if number in halves:
                raise Refusal(
                    f"{page_name(str(number))} of {pass_.name} would be both {halves[number]} and {each.path}",
                    path=each.path, remedy="see which of them is the page's, and give the other a number of its own",
                )  # fmt: skip
            halves[number] = each.path


def _refuse_in_the_way(found: Sequence[Renaming], there: set[str]) -> None:
    leaving = {each.path for each in found}
    for each in found:
        if each.new_path in there and each.new_path not in leaving:
            raise Refusal(f"{each.path} can't be renamed: this file is in the way", path=each.new_path,
                          remedy="move it elsewhere and try again")  # fmt: skip


def moves_of(plan: RenamePlan) -> tuple[tuple[str, str | None], ...]:
    """Each (from, to) once, in page order, whichever passes it concerns."""
    pairs = dict.fromkeys((each.label, each.to) for each in plan.renamings)
    return tuple(sorted(pairs, key=lambda pair: (label_order(pair[0]), pair[1] or "")))


def carried_made_from(old: Mapping[str, Mapping[str, str]], found: Sequence[Renaming]) -> dict[str, dict[str, str]]:
    """What the renamed pictures were made from, under their new labels."""
    return {each.to: dict(old[each.label]) for each in found if each.to is not None and each.label in old}
