"""A script against lettered pages: on a terminal, and as the document of `compare`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from ledger.model.change import LineChange
from ledger.model.lettering import LetteringCheck
from ledger.model.pages import pages_counted, pages_text, pages_words
from ledger.render.changes.document import line_document
from ledger.render.finding_documents import findings_list
from ledger.render.places import side_text
from ledger.render.plain import plural, wrapped

_WORDS = {
    "cut": "missing",
    "added": "not in the script",
    "reworded": "changed",
    "moved": "out of order",
    "same": "same",
}


def lettered_text(check: LetteringCheck, *, all_lines: bool = False) -> str:
    """The totals, what was not read, then every page with something to say."""
    counts = Counter(_word(change) for page in check.pages for change in page.lines)
    told = ", ".join(f"{counts[word]} {word}" for word in (*_KINDS, "same") if counts[word])
    rows = [wrapped(f"{side_text(check.old)} against {check.new}, {plural(check.sheets, 'sheet')}"),
            wrapped(f"lines: {told or 'none could be read'}")]  # fmt: skip
    for state, words in (("not read", "not read, since no text is on {}"), ("not there", "not in this file")):
        labels = [page.page for page in check.pages if page.state == state]
        if labels:
            rows.append(wrapped(f"{pages_words(pages_text(labels))}: {words.format(_them(labels))}."))
    rows += [wrapped(f"sheet {number}: page {page} once more.") for number, page, _ in check.beyond if page]
    if strange := [str(number) for number, page, _ in check.beyond if not page]:
        numbers = pages_text(strange).replace(",", ", ")
        sheets = "sheet" if len(strange) == 1 else "sheets"
        rows.append(wrapped(f"{sheets} {numbers}: no page of the script stands on {_them(strange)}."))
    for page in check.pages:
        shown = [change for change in page.lines if all_lines or change.kind != "same"]
        if shown:
            rows += ["", f"{pages_words(page.page)}, sheet {page.sheet}", *(_line(change) for change in shown)]
    return "\n".join(rows)


def _them(several: Sequence[str]) -> str:
    return "it" if pages_counted(several) == 1 else "them"


_KINDS = ("missing", "there twice", "changed", "out of order", "not in the script")


def _word(change: LineChange) -> str:
    return "there twice" if change.kind == "added" and change.old else _WORDS[change.kind]


def _line(change: LineChange) -> str:
    side = change.old or change.new
    assert side is not None
    said = f"{side.speaker}: {side.text}" if side.speaker else side.text
    if change.kind == "reworded" and change.new:
        said += f" / lettered: {change.new.text}"
    if change.kind == "moved" and change.new:
        said += f" (it stands on sheet {change.new.line})"
    return wrapped(f"  {_word(change)}: {said}", hang="    ")


def lettered_document(check: LetteringCheck, *, all_lines: bool = False) -> dict[str, Any]:
    """The document of `compare` (commands.md §3), with `lettering`: what was found page by page.

    `line` of a line's new side is the number of the sheet it stands on.
    """
    sides = [(check.old, check.words[0], len(check.pages)), (check.new, check.words[1], check.sheets)]
    old, new = ({"name": n, "words": w, "scenes": 0, "pages": p, "panels": 0} for n, w, p in sides)
    kinds = {"changed": "changed", "not there": "cut"}
    return {
        "old": old, "new": new, "scenes": [], "cast": {"renamed": [], "added": [], "gone": []},
        "pages": [
            {"kind": kinds[p.state], "old": p.page, "new": p.page if p.sheet else None, "panels": []}
            for p in check.pages if p.state in kinds
        ],
        "pictures": [],
        "findings": findings_list(check.findings),
        "lettering": [
            {"page": p.page, "sheet": p.sheet, "state": p.state, "lines": [
                {"kind": c.kind, "old": line_document(c.old), "new": line_document(c.new)}
                for c in p.lines if all_lines or c.kind != "same"
            ]}
            for p in check.pages
        ],
    }  # fmt: skip
