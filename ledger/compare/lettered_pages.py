"""Which sheet of a PDF a page of the script stands on: told by the words on it, never by number alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from ledger.compare.lettered import Lettered, letter
from ledger.model.lettering import Run, TextSheet
from ledger.model.pages import page_label
from ledger.model.script import Line
from ledger.model.words import lettered_key

#: A page stands on a sheet that has at least this share of its words (own choice: more than half may be missing).
_SHARE = 0.4


def sheets_of(pages: Mapping[str, Sequence[Line]], sheets: Sequence[TextSheet]) -> dict[str, int]:
    """Page label -> number of its sheet; a page that is not in the file is left out. `pages` are in reading order.

    Where words decide nothing (silent pages, sheets without text) a page lies between its neighbours; where no words
    decide anything the labels of the file do.
    """
    told = _by_words(pages, sheets)
    if not told:
        named = _by_label(pages, sheets)
        return named or {page: at for at, page in enumerate(pages, 1) if at <= len(sheets)}
    return _between(list(pages), told, len(sheets))


def _by_words(pages: Mapping[str, Sequence[Line]], sheets: Sequence[TextSheet]) -> dict[str, int]:
    """The sheet that has most of a page's words; of several alike the one that fits the offset of most pages."""
    held = {sheet.number: Counter(_grams(" ".join(run.text for run in sheet.runs))) for sheet in sheets}
    order = {page: at for at, page in enumerate(pages)}
    scored: dict[str, list[tuple[float, int]]] = {}
    for page, lines in pages.items():
        words = Counter(gram for line in lines for gram in _grams(line.text))
        total = words.total()
        shares = [((words & there).total() / total, n) for n, there in held.items()] if total else []
        kept = sorted((each for each in shares if each[0] >= _SHARE), reverse=True)
        scored[page] = [each for each in kept if each[0] >= 0.8 * kept[0][0]]
    offsets = Counter(found[0][1] - order[page] for page, found in scored.items() if len(found) == 1)
    usual = offsets.most_common(1)[0][0] if offsets else 1
    return {
        page: min(found, key=lambda each: (abs(each[1] - order[page] - usual), -each[0]))[1]
        for page, found in scored.items() if found
    }  # fmt: skip


def _grams(text: str) -> list[str]:
    """Four letters at a time: rows and words may be broken anywhere."""
    key = lettered_key(text)
    return [key[at : at + 4] for at in range(max(1, len(key) - 3))] if key else []


def _by_label(pages: Mapping[str, Sequence[Line]], sheets: Sequence[TextSheet]) -> dict[str, int]:
    labelled = {label: s.number for s in sheets if (label := page_label(s.label.lower().removeprefix("page").strip()))}
    return {page: labelled[page] for page in pages if page in labelled}


def _between(order: Sequence[str], told: Mapping[str, int], count: int) -> dict[str, int]:
    """The sheets of the other pages: as many on from a neighbour as they are in the script."""
    found = dict(told)
    known = [at for at, page in enumerate(order) if page in told]
    for at, page in enumerate(order):
        if page in told:
            continue
        before = max((k for k in known if k < at), default=None)
        after = min((k for k in known if k > at), default=None)
        sheet = _guess(order, told, before, at, after)
        if 1 <= sheet <= count:
            found[page] = sheet
    return found


def _guess(order: Sequence[str], told: Mapping[str, int], before: int | None, at: int, after: int | None) -> int:
    if before is None:
        assert after is not None
        return told[order[after]] - (after - at)
    if after is None:
        return told[order[before]] + (at - before)
    first, last = told[order[before]], told[order[after]]
    if last < first:
        return first + (at - before)
    return first + round((last - first) * (at - before) / (after - before))


def letter_sheet(own: Sequence[tuple[str, Line]], runs: Sequence[Run], *, rtl: bool) -> Lettered:
    """Lines (with their page) against a sheet; of two facing pages each against its half, if more is found that way.

    A line that recurs is then looked for on its own page first.
    """
    whole = letter([line for _, line in own], runs)
    pages = list(dict.fromkeys(page for page, _ in own))
    if len(pages) != 2 or not runs:
        return whole
    middle = (min(run.x for run in runs) + max(run.x + run.width for run in runs)) / 2
    left = [run for run in runs if run.x + run.width / 2 < middle]
    halves = (left, [run for run in runs if run.x + run.width / 2 >= middle])
    found, reworded, missing, rest = Lettered({}, {}, [], [])
    for page, half in zip(reversed(pages) if rtl else pages, halves, strict=True):
        places = [at for at, (its, _) in enumerate(own) if its == page]
        said = letter([own[at][1] for at in places], half)
        found |= {places[at]: balloon for at, balloon in said.found.items()}
        reworded |= {places[at]: balloon for at, balloon in said.reworded.items()}
        missing += [places[at] for at in said.missing]
        rest += said.rest
    for at in sorted(missing):
        key = lettered_key(own[at][1].text)
        there = next((balloon for balloon in rest if balloon.key == key), None)
        if there is not None:
            found[at] = there
            missing.remove(at)
            rest.remove(there)
    return Lettered(found, reworded, sorted(missing), rest) if len(found) >= len(whole.found) else whole
