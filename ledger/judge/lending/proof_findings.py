"""What is to be said of a proof, in sentences and as findings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ledger.model.finding import Finding
from ledger.model.pages import page_name, page_numbers, pages_text, pages_words
from ledger.model.proof import Astray, Proof, ProofSheet, Run

#: What a kind is by its rule, and whether it stops.
_RULES = {
    "missing": ("return-count", "block"), "not-read": ("export-unreadable", "query"),
    "doubled": ("page-duplicate", "block"), "swapped": ("page-swapped", "block"),
    "out-of-order": ("page-moved", "block"), "upside-down": ("layout-changed", "block"),
    "mirrored": ("layout-changed", "block"), "older": ("page-reverted", "block"),
    "unknown": ("return-names", "block"), "blank": ("return-names", "block"),
    "unread": ("export-unreadable", "query"),
}  # fmt: skip


def proof_findings(proof: Proof) -> Iterator[Finding]:
    """A finding for every page and sheet that is not as it should be."""
    sheets = {sheet.number: sheet for sheet in proof.sheets}
    for each in proof.astray:
        message, remedy = run_said(Run((each,)), proof.sheets)
        rule, level = _RULES[each.kind]
        path = sheets[each.sheet].path if each.sheet in sheets else None
        yield Finding(rule, level, message, path, page=label_in(each.page) or None, remedy=remedy)
    for page in proof.not_here:
        yield Finding("export-unreadable", "query", f"{page_name(page)} as it was delivered is not on this machine, "
                      "so it was not looked for", page=label_in(page), remedy="fetch it: git lfs pull, or git fetch",
                      )  # fmt: skip


def label_in(page: str) -> str:
    """The label in what a page is called (`12 (inks)`)."""
    return page.partition(" ")[0]


def run_said(run: Run, sheets: Sequence[ProofSheet]) -> tuple[str, str]:
    """What is wrong, and what is to be done about it."""
    first, one = run.first, len(run.every) == 1
    pages, on = _pages([each.page for each in run.every]), sheets_words([each.sheet for each in run.every])
    others, are, it = sheets_words([each.also for each in run.every]), "is" if one else "are", "it" if one else "them"
    match run.kind:
        case "missing":
            perhaps = "; perhaps on a sheet that was not known or not read" if first.unsure else ""
            if first.also:
                stand = "stands" if one else "stand"
                perhaps = f"; {others} {stand} where {'it belongs' if one else 'they belong'}"
            return f"{pages} {are} on none of the sheets{perhaps}", f"have {it} put in"
        case "not-read":
            return f"{pages} {are} probably on {on}, which could not be read", "look at it with your own eyes"
        case "doubled":
            both = (
                f"sheets {min(first.also, first.sheet)} and {max(first.also, first.sheet)}"
                if one
                else f"{others} and on {on}"
            )
            return f"{pages} {are} there twice, on {both}", f"have {on} taken out"
        case "swapped":
            swapped = _pages([each.other for each in run.every])
            where = f"sheets {first.sheet} and {first.also}" if one else f"{on} and {others}"
            return f"{pages} and {swapped} stand in each other's place, on {where}", "have them changed over"
        case "out-of-order":
            stands = f"after {page_name(first.after)}" if first.after else "at the beginning"
            due = f"after {page_name(first.due)}" if first.due else "at the beginning"
            verb = ("stands", "it belongs") if one else ("stand", "they belong")
            return f"{pages} {verb[0]} on {on}, {stands}; {verb[1]} {due}", f"have {it} moved {due}"
        case "upside-down" | "mirrored":
            return f"{pages} {are} {run.kind.replace('-', ' ')} on {on}", f"have {it} turned round"
        case "older":
            shown = "shows" if one else "show"
            return (f"{on} {shown} {pages} as {'it' if one else 'they'} went out with {first.entry}, and "
                    "another state was delivered since"), f"have {it} put in as delivered last"  # fmt: skip
    return _of_sheets(run, on, sheets)


def run_told(run: Run, sheets: Sequence[ProofSheet]) -> tuple[str, str]:
    """The same to begin a sentence with."""
    message, remedy = run_said(run, sheets)
    return message[:1].upper() + message[1:], remedy


def _of_sheets(run: Run, on: str, sheets: Sequence[ProofSheet]) -> tuple[str, str]:
    """The same of sheets that show no page."""
    first, one = run.first, len(run.every) == 1
    if run.kind == "blank":
        turned = ", so all that follows changes sides" if len(run.every) % 2 else ""
        return (f"{on} {'is' if one else 'are'} blank between {page_name(first.after)} and {page_name(first.due)}"
                f"{turned}", f"have {'it' if one else 'them'} taken out, unless it was agreed")  # fmt: skip
    if run.kind == "unread":
        why = sorted({sheet.unread for sheet in sheets for each in run.every if sheet.number == each.sheet})
        return f"{on} could not be read: {'; '.join(why)}", "look at it with your own eyes"
    named = _named(run, sheets)
    if first.entry:
        told = f"{named} shows {page_name(first.other)} of {first.entry}, which is not among these pages"
        return told, "have it taken out"
    if first.other:
        told = f"{named} shows no page as it was delivered; it is most like {page_name(first.other)}"
        return told, "look what differs, and tell the printer"
    if len(run.every) > 1:
        return f"{on} show no page that was delivered", "have them taken out, if they are not ours"
    return f"{named} shows no page that was delivered", "have it taken out, if it is not ours"


def _named(run: Run, sheets: Sequence[ProofSheet]) -> str:
    """A sheet with the name of its file, where it has one of its own: a printer counts by that."""
    sheet = next(each for each in sheets if each.number == run.first.sheet)
    return f"sheet {sheet.number}" + ("" if sheet.at else f" ({sheet.path})")


def _pages(pages: Sequence[str]) -> str:
    """`page 12`, `pages 17-32`, `the spread 24-25`; pages of a pass by itself from the first to the last."""
    if len(pages) == 1:
        return page_name(pages[0])
    if all(page_numbers(page) for page in pages):
        return pages_words(pages_text(pages))
    return f"{page_name(pages[0])} to {page_name(pages[-1])}"


def sheets_words(numbers: Sequence[int]) -> str:
    """`sheet 12`, `sheets 3, 5-9`."""
    text = pages_text([str(number) for number in numbers]).replace(",", ", ")
    return f"sheet{'s' if len(set(numbers)) > 1 else ''} {text}"


def key_of(run: Run, sheets: Sequence[ProofSheet]) -> tuple[str, ...]:
    """What makes a thing the same in another proof: the kind, its pages, and of strange sheets what they show."""
    by_number = {sheet.number: sheet for sheet in sheets}
    told = [run.kind]
    for each in run.every:
        told += [each.page, each.other, each.after, each.due, each.entry]
        if not each.page and run.kind != "blank":
            told.append(by_number[each.sheet].seen or str(each.sheet))
    return tuple(told)


def first_page(run: Run) -> str:
    """The label of the page that it is about, "" where it is about a sheet alone."""
    each: Astray = run.first
    return label_in(each.page or (each.other if run.kind == "unknown" and not each.entry else each.after))
