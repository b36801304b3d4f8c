"""The rules for the exports of a pass together: a page there twice, holes, doubles, an earlier export back."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from ledger.judge.resting.upstream import pictures_in
from ledger.model.book import Pass
from ledger.model.entry import Round
from ledger.model.errors import ContentMissing
from ledger.model.finding import Finding
from ledger.model.pages import label_order, page_name, page_numbers, pages_text
from ledger.model.snapshot import FileAt
from ledger.read.state import BookState


@dataclass(frozen=True)
class PassExports:
    """The exports of a pass. `chosen` are the paths asked about, None for all of them.

    `prints` maps a path to what its picture is known by: equal prints are the same picture. `ids` holds the
    object ids that git would give to content it has not seen.
    """

    state: BookState
    pass_: Pass
    files: Mapping[str, tuple[FileAt, ...]]
    chosen: frozenset[str] | None = None
    prints: Mapping[str, str] = field(default_factory=dict)
    ids: Mapping[str, str] = field(default_factory=dict)

    def asked(self, path: str) -> bool:
        """Whether this path is among those asked about."""
        return self.chosen is None or path in self.chosen

    @property
    def rounds(self) -> list[Round]:
        """The pass's rounds, oldest first."""
        mine = [e for e in self.state.entries if isinstance(e, Round) and e.pass_name == self.pass_.name]
        return sorted(mine, key=lambda entry: entry.number)


def twice(exports: PassExports) -> Iterator[Finding]:
    """One page there twice: `p1` beside `p001`, or `p012` beside `p012-013`."""
    name = exports.pass_.name
    halves: dict[int, str] = {}
    for label in sorted(exports.files, key=label_order):
        files = exports.files[label]
        if len(files) > 1:
            yield _there_twice(name, label, files[0], files[-1])
        for number in page_numbers(label):
            if number in halves:
                other = halves[number]
                yield _there_twice(name, str(number), exports.files[other][0], files[0])
            halves[number] = label


def _there_twice(name: str, label: str, first: FileAt, second: FileAt) -> Finding:
    return Finding(
        "page-number", "query", f"{page_name(label)} of {name} is there twice: {first.path} and {second.path}",
        second.path, page=label, remedy="keep one of them, or give the other its own number",
    )  # fmt: skip


def holes(exports: PassExports) -> Iterator[Finding]:
    """Numbers without an export between others that have one; a page omitted in the script is no hole."""
    there = {number for label in exports.files for number in page_numbers(label)}
    yield from _holes(exports, sorted(there), "", _omitted(exports.state))
    for part in "fb":
        numbers = sorted(int(label[1:]) for label in exports.files if label[0] == part and label[1:].isdigit())
        yield from _holes(exports, numbers, part, frozenset())


def _holes(exports: PassExports, there: list[int], part: str, free: frozenset[int]) -> Iterator[Finding]:
    for before, after in pairwise(there):
        missing = [f"{part}{number}" for number in range(before + 1, after) if number not in free]
        if missing:
            pages = ", ".join(missing) if part else pages_text(missing)
            yield Finding(
                "page-gap", "query",
                f"{exports.pass_.name} has no export for {'page' if len(missing) == 1 else 'pages'} {pages}, "
                f"between {part}{before} and {part}{after}",
                page=missing[0], remedy="export what is missing, or see whether a file has the wrong number",
            )  # fmt: skip


def _omitted(state: BookState) -> frozenset[int]:
    """Story pages that the script says are omitted: their numbers are not used again."""
    script = state.book.main_script()
    try:
        pages = state.draft(script.name).pages if script else ()
    except ContentMissing:
        return frozenset()
    return frozenset(number for page in pages if page.omitted for number in page_numbers(page.label))


def doubles(exports: PassExports) -> Iterator[Finding]:
    """The same picture under two pages."""
    shown: dict[str, list[tuple[str, FileAt]]] = {}
    for label in sorted(exports.files, key=label_order):
        for file in exports.files[label][:1]:
            if file.path in exports.prints:
                shown.setdefault(exports.prints[file.path], []).append((label, file))
    for same in shown.values():
        if len(same) > 1 and any(exports.asked(file.path) for _, file in same):
            labels = ", ".join(label for label, _ in same[:-1])
            label, file = same[-1]
            yield Finding(
                "page-duplicate", "query", f"pages {labels} and {label} of {exports.pass_.name} show the same picture",
                file.path, page=label, remedy="see whether one of them was exported under the wrong name",
            )  # fmt: skip


def earlier_back(exports: PassExports) -> Iterator[Finding]:
    """An earlier export of a page is back, byte for byte, though a later round had changed it."""
    rounds = [(entry, pictures_in(entry, exports.pass_)) for entry in exports.rounds]
    for label in sorted(exports.files, key=label_order):
        file = exports.files[label][0]
        now = file.oid or exports.ids.get(file.path)
        held = [(entry.name, pictures[label]) for entry, pictures in rounds if label in pictures]
        # Paths that were asked about are being entered: the round that holds them already is no past one.
        if exports.chosen is not None and held and held[-1][1] == now:
            held.pop()
        back = next((name for name, oid in held if oid == now), None)
        if back is None or held[-1][1] == now or not exports.asked(file.path):
            continue
        yield Finding(
            "page-reverted", "query",
            f"{page_name(label)} of {exports.pass_.name} is again what it was in {back}; "
            f"{held[-1][0]} holds another picture",
            file.path, page=label,
            remedy="if it was put back by mistake, export the page again; if it is meant, say so when entering it: -m",
        )  # fmt: skip


#: One rule a function, each given the exports of one pass.
PAGE_RULES: tuple[Callable[[PassExports], Iterator[Finding]], ...] = (twice, holes, doubles, earlier_back)
