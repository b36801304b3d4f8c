"""What stops a delivery: pages that are not there, exports that are not right, pages that rest on older content."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from ledger.judge.agreed.signed import newest_sign_offs
from ledger.judge.exports.size import wanted_size
from ledger.judge.levels import apply_rules, raised
from ledger.model.book import Book, Pass
from ledger.model.finding import RULES, Finding
from ledger.model.pages import PageSet, label_order, page_name, page_numbers
from ledger.pictures.files.header import Look
from ledger.read.state import BookState

#: Rules of which every finding about an export stops a delivery; a page there twice does too.
_STOPPING = frozenset((*RULES["exports"], "page-number"))


def story_numbers(state: BookState) -> tuple[frozenset[int], frozenset[int]]:
    """The story pages the book has, and those its script says are omitted. Raises ContentMissing."""
    script = state.book.main_script()
    pages = state.draft(script.name).pages if script else ()
    if not pages:
        return frozenset(range(1, state.book.pages + 1)), frozenset()
    omitted = {number for page in pages if page.omitted for number in page_numbers(page.label)}
    there = {number for page in pages if not page.omitted for number in page_numbers(page.label)}
    return frozenset(there), frozenset(omitted - there)


def pages_lacking(state: BookState, pass_: Pass, asked: PageSet) -> tuple[Finding, ...]:
    """`export-missing` for every page asked for that is not there, at the levels that the book's rules give them.

    A spread counts as both its pages; an omitted page is not missed. Where no export of front or back matter is in
    the pass, that is one query: others may make it. Raises ContentMissing.
    """
    there = state.exports(pass_)
    wanted, omitted = story_numbers(state)
    have = {number for label in there for number in page_numbers(label)}
    lacking = [str(number) for number in wanted - have if str(number) in asked]
    queries: list[Finding] = []
    for sign, count in (("f", state.book.front_matter), ("b", state.book.back_matter)):
        matter = [f"{sign}{number}" for number in range(1, count + 1)]
        if any(label[0] == sign and label != "cover" for label in there if not page_numbers(label)):
            lacking += [label for label in matter if label in asked and label not in there]
        elif asked.everything and matter:
            queries.append(_no_matter(pass_, sign, count))
    if not asked.everything:
        strange = {label for label in asked.labels if label not in there and label not in lacking}
        covered = have | omitted
        lacking += [each for each in strange if not (page_numbers(each) and covered.issuperset(page_numbers(each)))]
    found = [_missing(state.book, pass_, label, wanted) for label in sorted(set(lacking), key=label_order)]
    locked = newest_sign_offs(state, pass_, [each.page or "" for each in found])
    closed = {label for label, closing in locked.items() if "drawing" in closing.lock.scopes}
    kept = [raised(each, state.book.rules) for each in found if each.page in closed]
    free = [each for each in found if each.page not in closed]
    return (*kept, *apply_rules([*free, *queries, *_beyond(state, pass_, asked, wanted)], state.book.rules))


def _missing(book: Book, pass_: Pass, label: str, wanted: Collection[int]) -> Finding:
    numbers = page_numbers(label)
    strange = bool(numbers) and not any(number in wanted for number in numbers)
    why = "the book has no such page" if strange else "nothing of it is recorded"
    return Finding(
        "export-missing", "block", f"{page_name(label)} of {pass_.name} is not there: {why}", page=label,
        remedy="name only pages that the book has" if strange
        else f"export it, and: inkledger enter {pass_.name} --pages {label}",
    )  # fmt: skip


def _no_matter(pass_: Pass, sign: str, count: int) -> Finding:
    which = "front matter" if sign == "f" else "back matter"
    pages = f"{count} page{'' if count == 1 else 's'}"
    return Finding(
        "export-missing", "query", f"{pass_.name} holds no {which}; book.toml counts {pages} of it",
        remedy="if it goes with this delivery, export it as "
        f"{sign}001{'' if count == 1 else f' to {sign}{count:03d}'}; else leave it",
    )  # fmt: skip


def _beyond(state: BookState, pass_: Pass, asked: PageSet, wanted: Collection[int]) -> Iterator[Finding]:
    """Story pages of the pass that the book does not have."""
    for label, files in state.exports(pass_).items():
        numbers = page_numbers(label)
        if numbers and label in asked and not any(number in wanted for number in numbers):
            yield Finding(
                "page-number", "query", f"{page_name(label)} of {pass_.name} is there, but the book has no such page",
                files[0].path, page=label, remedy="leave it out with --pages, or take it out of the pass",
            )  # fmt: skip


def at_delivery(
    state: BookState, findings: Iterable[Finding], looks: Mapping[str, Look], pages: Mapping[str, tuple[Pass, str]]
) -> tuple[Finding, ...]:
    """What the export rules said, at the levels that a delivery and then the book's rules give them.

    All of it stops a delivery but a stated resolution that contradicts right pixels. Holes among story pages are left
    out: `pages_lacking` names them. `looks` are headers by path, `pages` pass and label by path.
    """
    found = []
    for each in findings:
        if each.rule == "page-gap" and page_numbers(each.page or ""):
            continue
        stops = each.rule in _STOPPING and not _only_a_tag(state.book, each, looks, pages)
        found.append(each.at_level("block") if stops else each)
    return apply_rules(found, state.book.rules)


def _only_a_tag(book: Book, finding: Finding, looks: Mapping[str, Look], pages: Mapping[str, tuple[Pass, str]]) -> bool:
    path = finding.path or ""
    if finding.rule != "export-size" or path not in looks or path not in pages:
        return False
    wanted = wanted_size(book, *pages[path])
    return wanted is not None and wanted.fits(looks[path].size)


def unreadable(pass_: Pass, label: str, path: str, why: str, rules: Mapping[str, str]) -> tuple[Finding, ...]:
    """`export-unreadable` for a page whose content is not on this machine."""
    said = f"{page_name(label)} of {pass_.name} is not on this machine ({why})"
    return apply_rules(
        [Finding("export-unreadable", "block", said, path, page=label,
                 remedy="fetch it: git lfs pull, or git fetch, and deliver again")],
        {name: level for name, level in rules.items() if level == "block"},
    )  # fmt: skip
