"""The sheet that goes back with a return, as Markdown: what was taken, what is to be mended, and where."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from ledger.model.finding import Finding
from ledger.model.pages import label_order, page_name, pages_text, pages_words
from ledger.model.returned import Return, Returned
from ledger.render.markdown import words
from ledger.render.told import day

#: Reasons that lie with the book, not with who made the page.
_OURS = ("page-reverted", "page-number")
#: What a page may show in place of what was given, which a person must look at.
_STRANGE = ("layout-changed", "page-swapped")


def return_sheet(found: Return, by: str, when: date, to: str) -> str:
    """The whole sheet; the first lines say who and when, all that follows is the same for the same return."""
    lending = found.lending
    whom = f"For {words(to)}, from" if to else "From"
    parts = [
        f"# {words(lending.book)}: {words(lending.pass_name)}, {pages_words(lending.pages)} ({lending.entry})",
        f"{whom} {words(by.partition(' <')[0], leading=False)}, {day(when)}",
        *_told(found),
    ]
    return "\n\n".join(parts) + "\n"


def same_sheet(one: str, other: str) -> bool:
    """Whether two sheets say the same, whoever wrote them and when."""
    return _body(one) == _body(other)


def _body(sheet: str) -> list[str]:
    return sheet.split("\n\n")[2:]


def _told(found: Return) -> Iterator[str]:
    mend = [page for page in found.pages if page.came and _theirs(page)]
    missing = [page for page in found.pages if not page.came]
    if found.good:
        yield f"As asked, and taken in: {pages_words(pages_text(found.good))}. Thank you."
    if not found.good:
        yield "No page could be taken in yet."
    for head, pages in (("To be mended", mend), ("Not there", missing)):
        if pages:
            yield f"## {head}"
            yield "\n".join(row for page in sorted(pages, key=lambda p: label_order(p.page)) for row in _rows(page))
    strange = [each for page in found.pages for each in page.findings if each.rule in _STRANGE and not each.blocks]
    if strange:
        yield "## To look at again"
        yield "\n".join(f"- {words(each.path or '')}: {words(each.message, leading=False)}." for each in strange)
    beside = [each for each in found.beside if each.blocks]
    if beside:
        yield "## Left where they are"
        yield "\n".join(_row(each) for each in beside)
    held = [page for page in found.held_back if page not in [each.page for each in mend]]
    if held:
        yield "## Held back here"
        yield f"Nothing to do for you: {pages_words(pages_text(held))}. We look at what is in the book first."
    moved = [page.page for page in found.pages if any(each.rule == "basis-moved" for each in page.findings)]
    if moved:
        yield "## Changed here meanwhile"
        yield f"What these pages were made from has changed since it was handed out: {pages_words(pages_text(moved))}."
    if mend or missing:
        yield "Keep the names and send the folder again. What was taken in need not be sent again."


def _theirs(page: Returned) -> bool:
    return any(each.blocks and each.rule not in _OURS for each in page.findings)


def _rows(page: Returned) -> Iterator[str]:
    """A page with all that is wrong with it."""
    blocks = [each for each in page.findings if each.blocks and each.rule not in _OURS]
    yield f"- **{page_name(page.page)}**"
    for each in blocks:
        yield f"  {_row(each)}"


def _row(finding: Finding) -> str:
    """`- inks/p001.png: it differs ... To do: ...`"""
    place = f"{words(finding.path or '')}: " if finding.path else ""
    todo = f" To do: {words(finding.remedy, leading=False)}." if finding.remedy else ""
    return f"- {place}{words(finding.message, leading=False)}.{todo}"
