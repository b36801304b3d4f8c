"""The ledger read out: every entry in a sentence, in order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from ledger.model.entry import CLASSES, Alteration, Delivery, Entry, Handoff, Lock, Reopen, Round
from ledger.model.finding import Finding
from ledger.model.pages import pages_words
from ledger.render.finding_documents import findings_list
from ledger.render.findings_text import findings_text
from ledger.render.plain import beside, clip, one_line, plural

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def rounds_text(title: str, entries: Iterable[Entry], of: str = "", findings: Sequence[Finding] = ()) -> str:
    """The book's title, then an entry a paragraph: its date in the margin, what it says beside it; last those that
    can't be read."""
    kept = list(entries)
    head = clip(one_line(title) + (f": {of}" if of else ""), 80)
    rows = [row for entry in kept for row in beside(f"{day_of(entry):<13}", entry_sentence(entry))]
    if not kept:
        rows = [f"Nothing has been entered{' for this' if of else ''} yet."]
    unread = ["", findings_text(findings)] if findings else []
    return "\n".join([head, "", *rows, *unread])


def rounds_document(entries: Iterable[Entry], findings: Iterable[Finding] = ()) -> dict[str, Any]:
    """The general document of commands.md §3, with every entry named in order."""
    told = [
        {"name": e.name, "date": e.date.isoformat(), "by": e.by, "pages": e.pages, "text": entry_sentence(e)}
        for e in entries
    ]
    said = findings_list(findings)
    return {"done": False, "entry": None, "commit": None, "tag": None, "paths": [], "findings": said, "entries": told}


def entry_sentence(entry: Entry) -> str:
    """What an entry says: `script-4 was entered by Ines: new ending. 3 files.`"""
    if isinstance(entry, Round):
        return _round(entry)
    if isinstance(entry, Lock):
        return _lock(entry)
    if isinstance(entry, Reopen):
        return f"{entry.name} opened {_pages(entry.pages)} of {listed(entry.passes)} again{_why(entry)}"
    if isinstance(entry, Alteration):
        scopes = f", {listed(entry.scopes)}" if entry.scopes else ""
        return f"{entry.name} admitted a late change on {_pages(entry.pages)}{scopes}{_why(entry)}"
    if isinstance(entry, Handoff):
        return _handoff(entry)
    what = (
        f"{entry.name} delivered {listed(entry.passes)}, {_pages(entry.pages)}"
        if isinstance(entry, Delivery)
        else entry.name
    )
    return ended(f"{what}, by {_name(entry.by)}{_message(entry)}")


def _round(entry: Round) -> str:
    pages = f", {_pages(entry.pages)}," if entry.pages else ""
    told = ended(f"{entry.name}{pages} was entered by {_name(entry.by)}{_message(entry)}")
    if entry.basis:
        told += f" Made from {listed(tuple(entry.basis.values()))}."
    if entry.stands:
        told += " Looked at and found good as it stood."
    if entry.dated == "stated":
        told += " An older draft, brought in later; its date is as stated."
    return told


def _lock(entry: Lock) -> str:
    told = f"{entry.name} signed {entry.pass_name} off, by {_name(entry.by)}: {listed(entry.scopes)} of "
    told += ended(f"{_pages(entry.pages)} closed{_message(entry)}")
    if entry.approved_by:
        told += f" Approved by {one_line(entry.approved_by)}{f' ({one_line(entry.how)})' if entry.how else ''}."
    return told


def _handoff(entry: Handoff) -> str:
    if entry.delivery is not None:
        what = f"proofs of {_pages(entry.pages)} of {entry.pass_name} came back (delivery-{entry.delivery})"
        return ended(f"{entry.name}: {what}{_message(entry)}")
    what = "a packet" if entry.packet else _pages(entry.pages)
    if entry.returns is not None:
        return f"{entry.name}: {what} of {entry.pass_name} came back{_whom(' from', entry)} (handoff-{entry.returns})."
    return ended(f"{entry.name}: {what} of {entry.pass_name} went {_whom('to', entry) or 'out'}{_message(entry)}")


def _whom(before: str, entry: Handoff) -> str:
    return f"{before} {one_line(entry.to)}" if entry.to else ""


def _why(entry: Alteration) -> str:
    kind = f"{entry.alteration_class} ({CLASSES.get(entry.alteration_class, 'no known class')})"
    asked = f" Asked for by {one_line(entry.asked_by)}." if entry.asked_by else ""
    return ended(f", {kind}: {one_line(entry.reason)}") + asked


def ended(told: str) -> str:
    """The sentence with a full stop, unless the words that somebody typed at its end bring one."""
    return told if told.rstrip("\"'”’)").endswith((".", "!", "?", "…")) else told + "."


def _pages(pages: str | None) -> str:
    return pages_words(None if pages is None else one_line(pages))


def _message(entry: Entry) -> str:
    return f": {one_line(entry.message)}" if entry.message else ""


def _name(by: str) -> str:
    """The name without the address."""
    return one_line(by.partition("<")[0].strip() or by)


def alterations_counted(agreed: Iterable[Alteration]) -> str:
    """How many slips and reopenings of each class: `2 slips and 1 reopening: 1 PE (printer's error), 2 AA (author's)`.

    A class is a label between people: nothing is charged (trade facts, T-126). "" where there is none.
    """
    kept = list(agreed)
    counts = Counter(each.alteration_class for each in kept)
    reopened = sum(isinstance(each, Reopen) for each in kept)
    kinds = [plural(len(kept) - reopened, "slip")] if len(kept) > reopened else []
    kinds += [plural(reopened, "reopening")] if reopened else []
    classes = [f"{counts[sign]} {sign} ({whose})" for sign, whose in CLASSES.items() if counts[sign]]
    return f"{listed(kinds)}: {listed(classes)}" if kept else ""


def listed(names: Sequence[str]) -> str:
    """Names in a sentence: `thumbs-1, pencils-2 and script-4`."""
    told = [one_line(name) for name in names]
    return " and ".join(part for part in (", ".join(told[:-1]), told[-1] if told else "") if part)


def day_of(entry: Entry) -> str:
    """`11 Feb 2026`; what the entry says, no proof of time."""
    return f"{entry.date.day:>2} {_MONTHS[entry.date.month - 1]} {entry.date.year}"
