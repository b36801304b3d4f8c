"""The forecast in words and as a document."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ledger.plan.forecast import Forecast, PassForecast, Range, due_words
from ledger.render.arithmetic.weigh_why import pace_text
from ledger.render.finding_documents import findings_list
from ledger.render.findings_text import findings_text
from ledger.render.plain import beside, clip, columns, one_line, plural


def forecast_document(found: Forecast) -> dict[str, Any]:
    """`forecast`: days as ISO 8601 or null; drawn passes in the book's order."""
    return {
        "as_of": found.as_of.isoformat(),
        "due": found.due.isoformat() if found.due else None,
        "book": {"range": _range(found.range), "basis": found.basis},
        "passes": [_pass(each) for each in found.passes],
        "findings": findings_list(found.findings),
    }


def _range(found: Range) -> dict[str, str | None]:
    return {name: day.isoformat() if day else None for name, day in found._asdict().items()}


def _pass(each: PassForecast) -> dict[str, Any]:
    pace = each.pace
    return {
        "name": each.name, "total": each.total, "entered": each.entered, "left": each.left, "done": each.done,
        "rate": {
            "value": None if pace.value is None else round(pace.value, 4), "unit": "pages a working day",
            "source": pace.source, "observations": pace.observations, "missing": pace.missing,
            "from": pace.first.isoformat() if pace.first else None, "to": pace.last.isoformat() if pace.last else None,
        },
        "range": _range(each.range),
        "days_off": [day.isoformat() for day in each.days_off],
        "left_out": list(each.left_out),
    }  # fmt: skip


def forecast_text(found: Forecast) -> str:
    """The book first, then pass by pass: the range, what is left, the pace and what it rests on."""
    rows = [clip(f"{one_line(found.title)}, as of {found.as_of}", 80), ""]
    margin = min(max([4, *(columns(one_line(each.name)) for each in found.passes)]), 20) + 2
    rows += _paragraph("book", margin, _book(found))
    for each in found.passes:
        rows += ["", *_paragraph(clip(one_line(each.name), margin - 2), margin, _told(each, found))]
    if found.findings:
        rows += ["", findings_text(found.findings)]
    return "\n".join(rows)


def _paragraph(head: str, margin: int, told: Iterator[str]) -> list[str]:
    rows: list[str] = []
    for at, sentence in enumerate(told):
        first = head + " " * (margin - columns(head)) if at == 0 else " " * margin
        rows += beside(first, one_line(sentence))
    return rows


def _book(found: Forecast) -> Iterator[str]:
    done = bool(found.passes) and all(each.done for each in found.passes)
    yield _range_words(found.range) if found.range.likely else found.basis[:1].upper() + found.basis[1:] + "."
    if found.range.likely:
        yield f"Computed from: {found.basis}."
    due = due_words(found.range, found.due, found.as_of, done)
    if due:
        yield f"It is {due}." if not due.startswith("was") else f"It {due}."


def _range_words(found: Range) -> str:
    if found.early == found.late:
        return f"{found.likely}."
    return f"{found.early} to {found.late or 'an open end'}, likely {found.likely}."


def _told(each: PassForecast, found: Forecast) -> Iterator[str]:
    pages = f"{each.entered} of {plural(each.total, 'page')} entered"
    if each.done:
        yield f"Done: {pages}."
    else:
        yield (
            f"{_range_words(each.range)} {pages}, {each.left} left."
            if each.range.likely
            else (f"{pages}, {each.left} left.")
        )
        yield f"{pace_text(each.pace)[:1].upper()}{pace_text(each.pace)[1:]}."
    if each.days_off:
        yield f"Days off left out of the count: {', '.join(map(str, each.days_off))}."
    for why in each.left_out:
        yield f"{why[:1].upper()}{why[1:]}." if why.startswith("no date") else f"Left out: {why}."
    due = due_words(each.range, each.due, found.as_of, each.done)
    if due:
        yield f"It is {due}." if not due.startswith("was") else f"It {due}."
