"""`compare script letters.pdf`: a script set against the text that a PDF of lettered pages carries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from ledger.compare.lettered import Lettered, out_of_order, repeated
from ledger.compare.lettered_pages import letter_sheet, sheets_of
from ledger.desk.comparing import told_text
from ledger.desk.contents import Contents
from ledger.desk.reference import WORKING, contents_of, open_desk
from ledger.model.change import LineChange
from ledger.model.errors import Refusal
from ledger.model.finding import Finding
from ledger.model.lettering import LetteredPage, LetteringCheck, TextSheet
from ledger.model.script import Line
from ledger.model.words import count_words, lettered_key
from ledger.read.marginalia.lettered import read_lettered


def is_pdf(here: Path, name: str) -> bool:
    """Whether a reference is a PDF on the disk."""
    return name.lower().endswith(".pdf") and (here / name).is_file()


def check_lettering(here: Path, references: Sequence[str]) -> LetteringCheck:
    """The script that is named (your files now where none is) against the PDF. Raises Refusal."""
    named = [name for name in references if not is_pdf(here, name)]
    source = next(name for name in references if is_pdf(here, name))
    if len(references) - len(named) > 1:
        raise Refusal("these are two PDFs", path=source, remedy="name a script and the PDF lettered from it")
    script = contents_of(open_desk(here), named[0] if named else WORKING)
    lines = _lines(script)
    sheets = read_lettered(source, (here / source).read_bytes())
    return _checked(script, source, lines, sheets)


def _lines(script: Contents) -> dict[str, list[Line]]:
    """Page -> its lettered lines, in reading order. Raises Refusal for a script without pages."""
    text = told_text(script, script)
    if text is None:
        raise Refusal("this holds no script", path=script.name, remedy="name a script, such as script or script-4")
    draft = script.texts[text[0]]()
    pages: dict[str, list[Line]] = {page.label: [] for page in draft.pages if not page.omitted}
    if not pages:
        raise Refusal("this script has no page marks, so it can't be set against pages", path=script.name,
                      remedy="mark the pages in it: [page 1]")  # fmt: skip
    for line in draft.lines:
        if line.lettered and line.page in pages and lettered_key(line.text):
            pages[line.page].append(line)
    return pages


def _checked(
    script: Contents, source: str, pages: Mapping[str, Sequence[Line]], sheets: Sequence[TextSheet]
) -> LetteringCheck:
    by_number = {sheet.number: sheet for sheet in sheets}
    places = sheets_of(pages, sheets)
    together: dict[int, list[tuple[str, Line]]] = {}
    for page, sheet in places.items():
        together.setdefault(sheet, []).extend((page, line) for line in pages[page])
    rtl = script.book.reading == "rtl"
    found = {n: letter_sheet(own, by_number[n].runs, rtl=rtl) for n, own in together.items()}
    elsewhere = _elsewhere(together, found)
    used = set(places.values())
    twice = {sheet.number: page for sheet in sheets if sheet.number not in used and (page := _repeated(pages, sheet))}
    told: list[LetteredPage] = []
    for page in pages:
        if page not in places:
            told.append(LetteredPage(page, None, "not there"))
            continue
        sheet = places[page]
        if not by_number[sheet].runs:
            told.append(LetteredPage(page, sheet, "not read"))
        else:
            changes = _changes(page, sheet, together[sheet], found[sheet], elsewhere, script)
            for number in (number for number, its in twice.items() if its == page):
                changes += _once_more(pages[page], by_number[number], rtl=rtl)
            right = all(change.kind == "same" for change in changes)
            told.append(LetteredPage(page, sheet, "same" if right else "changed", tuple(changes)))
    beyond = tuple(
        (each.number, twice.get(each.number, ""), " ".join(run.text for run in each.runs)[:60])
        for each in sheets if each.number not in used
    )  # fmt: skip
    counts = (sum(count_words(line.text) for own in pages.values() for line in own),
              sum(count_words(run.text) for sheet in sheets for run in sheet.runs))  # fmt: skip
    return LetteringCheck(script.name, source, counts, len(sheets), tuple(told), beyond, _findings(told))


def _repeated(pages: Mapping[str, Sequence[Line]], sheet: TextSheet) -> str:
    """The page that a sheet beyond the others shows once more: half of what either says is the other's; "" for none."""
    there = lettered_key(" ".join(run.text for run in sheet.runs))
    best, most = "", 0
    for page, own in pages.items():
        keys = [lettered_key(line.text) for line in own]
        both = sum(len(key) for key in keys if key in there)
        if both > most and 2 * both >= max(len(there), sum(map(len, keys))):
            best, most = page, both
    return best


def _once_more(own: Sequence[Line], sheet: TextSheet, *, rtl: bool) -> list[LineChange]:
    """The lines of a page that stand on another sheet too."""
    found = letter_sheet([(line.page or "", line) for line in own], sheet.runs, rtl=rtl).found
    return [
        LineChange("added", own[at], _there(own[at], (sheet.number, balloon.text)))
        for at, balloon in sorted(found.items())
    ]


def _elsewhere(
    together: Mapping[int, Sequence[tuple[str, Line]]], found: Mapping[int, Lettered]
) -> dict[int, tuple[int, str]]:
    """Lines (by identity) that are missing on their sheet and stand on another: that sheet, and the words there."""
    rest = [(number, balloon) for number, each in found.items() for balloon in each.rest]
    moved: dict[int, tuple[int, str]] = {}
    for number, each in found.items():
        for at in each.missing:
            line = together[number][at][1]
            key = lettered_key(line.text)
            fit = next((one for one in rest if one[1].key == key and one[0] != number), None)
            if fit:
                rest.remove(fit)
                found[fit[0]].rest.remove(fit[1])
                moved[id(line)] = (fit[0], fit[1].text)
    return moved


def _changes(
    page: str, sheet: int, own: Sequence[tuple[str, Line]], found: Lettered, elsewhere: Mapping[int, tuple[int, str]],
    script: Contents,
) -> list[LineChange]:  # fmt: skip
    rtl = script.book.reading == "rtl"
    astray = set(out_of_order(sorted(found.found.items()), rtl=rtl))
    changes: list[LineChange] = []
    for at, (its, line) in enumerate(own):
        if its != page:
            continue
        if id(line) in elsewhere:
            changes.append(LineChange("moved", line, _there(line, elsewhere[id(line)])))
        elif at in found.missing:
            changes.append(LineChange("cut", line, None))
        elif at in found.reworded:
            changes.append(LineChange("reworded", line, _there(line, (sheet, found.reworded[at].text))))
        else:
            kind = "moved" if at in astray else "same"
            changes.append(LineChange(kind, line, _there(line, (sheet, found.found[at].text))))
    lines = [line for _, line in own]
    for balloon in found.rest:
        twin = next(repeated(balloon, lines), None)
        its = own[twin or 0][0] if own else page
        if its == page and any(sign.isalpha() for sign in balloon.key):
            new = Line("", sheet, sheet, "dialogue", "", balloon.text, page=page)
            changes.append(LineChange("added", None if twin is None else lines[twin], new))
    return changes


def _there(line: Line, place: tuple[int, str]) -> Line:
    """A line as it stands on a sheet: `line` is the number of the sheet."""
    return line._replace(path="", line=place[0], end_line=place[0], text=place[1])


def _findings(pages: Sequence[LetteredPage]) -> tuple[Finding, ...]:
    return tuple(
        Finding("text-dropped", "query", f"not lettered on sheet {page.sheet}: {change.old.text}", change.old.path,
                change.old.line, page.page, change.old.panel, remedy="have it lettered, or take it out of the script")
        for page in pages for change in page.lines if change.kind == "cut" and change.old is not None
    )  # fmt: skip
