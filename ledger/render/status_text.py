"""Where the book stands, on a terminal: a row a pass, the notes, and what to do next."""

from __future__ import annotations

from ledger.model.entry import Delivery
from ledger.model.note import STATES
from ledger.model.pages import pages_words
from ledger.model.stale import Stale, for_one_reason
from ledger.model.standing import Away, DrawnBefore, LastCopy, NextStep, PassStanding, SignedOff, Standing
from ledger.render.lending.away_words import away_words
from ledger.render.places import pages_ref
from ledger.render.plain import beside, bytes_words, clip, columns, one_line, plural, wrapped
from ledger.render.told import day

#: Steps shown; the document names all.
STEPS = 5
#: Reasons for stale pages shown; `check` names all.
#: From so many days on another backup is due.
DUE = 7
REASONS = 6
_HEADS = ("pass", "round", "entered", "signed off", "now")


def status_text(standing: Standing) -> str:
    """The whole answer of `status` in words."""
    rows = [clip(one_line(standing.title), 80), ""]
    rows += _table([_HEADS, *(_row(each) for each in standing.passes)])
    rows += _stale(standing.stale)
    rows += _sheets(standing.drawn_before)
    rows += ["", wrapped(_notes(standing))]
    rows += [wrapped(away_words(each)) for each in standing.away]
    rows += [wrapped(_reading(each)) for each in standing.reading]
    if standing.delivered is not None:
        rows.append(wrapped(_delivered(standing.delivered)))
    rows.append(wrapped(_copy(standing.copy)))
    if standing.much_art is not None:
        rows.append(wrapped(_much_art(standing.much_art)))
    rows += _next(standing.next)
    # Stale pages are told above, with their reasons.
    findings = [each for each in standing.findings if each.rule != "page-stale" or each.blocks]
    if findings:
        from ledger.render.findings_text import findings_text

        rows += ["", findings_text(findings)]
    return "\n".join(rows)


def _row(each: PassStanding) -> tuple[str, ...]:
    return (
        one_line(each.name),
        str(each.round) if each.round else "none",
        _entered(each),
        _locks(each.locks),
        _now(each),
    )


def _entered(each: PassStanding) -> str:
    if each.pages is not None:
        return f"{each.pages.entered} of {plural(each.pages.total, 'page')}"
    return plural(each.words, "word") if each.words else "-"


def _locks(locks: tuple[SignedOff, ...]) -> str:
    """`all: structure`, `p1-24: structure, drawing`; sign-offs that close the same scopes stand together."""
    told: dict[tuple[str, ...], list[str]] = {}
    for lock in locks:
        told.setdefault(lock.scopes, []).append(lock.pages or "")
    return "; ".join(f"{_extent(pages)}: {', '.join(scopes)}" for scopes, pages in told.items()) or "-"


def _extent(pages: list[str]) -> str:
    if "" in pages:
        return "all"
    return "p" + ",".join(pages) if pages[0][:1].isdigit() else ",".join(pages)


def _now(each: PassStanding) -> str:
    """What your files now add to the newest round."""
    told = []
    if each.pages is not None and each.pages.stale:
        told.append(f"stale: {pages_ref(each.pages.stale)}")
    if each.changed:
        told.append(f"{plural(each.changed, 'file')} {'changed' if each.round else 'not entered'}")
    if not told and each.round:
        told.append("as entered")
    return "; ".join(told) or "-"


def _table(rows: list[tuple[str, ...]]) -> list[str]:
    """Columns side by side; the last two wrap where they are long."""
    widths = [min(max(columns(row[at]) for row in rows), limit) for at, limit in enumerate((16, 5, 16, 24))]
    told = []
    for row in rows:
        cells = [_padded(clip(cell, width), width) for cell, width in zip(row[:3], widths, strict=False)]
        middle = wrapped(row[3], hang="", width=widths[3]).split("\n")
        last = beside("", row[4], 80 - sum(widths) - 8)
        for at in range(max(len(middle), len(last))):
            front = "  ".join(cells if at == 0 else [" " * width for width in widths[:3]])
            one = _padded(middle[at] if at < len(middle) else "", widths[3])
            told.append(f"{front}  {one}  {last[at] if at < len(last) else ''}".rstrip())
    return told


def _padded(text: str, width: int) -> str:
    return text + " " * max(width - columns(text), 0)


def _stale(stale: Stale) -> list[str]:
    """`  inks p12 rests on script-3, now script-5: panel 2 has a new speaker`: which pages, because of what."""
    groups = for_one_reason(stale.pages)
    rows = ["", "Stale"] if groups or stale.reworded else []
    for group in groups[:REASONS]:
        rest = "rests" if len(group) == 1 else "rest"
        pages = pages_ref(each.page for each in group)
        said = f"{one_line(group[0].pass_name)} {pages} {rest} on {one_line(group[0].because)}"
        rows.append(wrapped(said, indent="  "))
    if len(groups) > REASONS:
        rows.append(f"  and {len(groups) - REASONS} more (inkledger check names all)")
    return [*rows, *(wrapped(one_line(said), indent="  ") for said in stale.reworded)]


def _sheets(found: tuple[DrawnBefore, ...]) -> list[str]:
    """`  designs/nell.png: pencils p2-3, entered before that, have Nell in them`: a pointer, no verdict."""
    rows = ["", "Design sheets changed (a pointer, no verdict)"] if found else []
    for each in found:
        has = "has" if len(each.pages) == 1 else "have"
        said = f"{each.pass_name} {pages_ref(each.pages)}, entered before that, {has} {each.person} in the script"
        rows.append(wrapped(one_line(f"{', '.join(each.sheets)}: {said}"), indent="  "))
    return rows


def _notes(standing: Standing) -> str:
    counts = [(standing.notes.get(state, 0), state) for state in STATES]
    told = [f"{count} {'asked back' if state == 'query' else state}" for count, state in counts if count]
    return f"Notes: {', '.join(told)}." if told else "Notes: none."


def _reading(each: Away) -> str:
    """`To read: pencils with E. Marsh since 3 March 2026 (handoff-1).`"""
    pages = "" if each.pages is None else f" pages {one_line(each.pages)}"
    return f"To read: {each.pass_name}{pages} with {one_line(each.to)} since {day(each.since)} ({each.entry})."


def _delivered(entry: Delivery) -> str:
    """`Newest delivery: pages 1-48 of inks on 2026-03-02, part 1 (delivery-2).`"""
    what = f"{pages_words(entry.pages and one_line(entry.pages))} of {' and '.join(map(one_line, entry.passes))}"
    part = f", {one_line(entry.message)}" if entry.message else ""
    return f"Newest delivery: {what} on {entry.date.isoformat()[:10]}{part} ({entry.name})."


def _copy(copy: LastCopy | None) -> str:
    """`Newest backup: 3 days ago, in /media/blue/book.git.`"""
    if copy is None:
        return "No backup yet: inkledger backup DIR, on another disk."
    age = f"{plural(copy.days, 'day')} ago" if copy.days else "today"
    again = f" Another one is due: inkledger backup {one_line(copy.place)}" if copy.days >= DUE else ""
    return f"Newest backup: {age}, in {one_line(copy.place)}.{again}"


def _much_art(size: int) -> str:
    return (
        f"Git itself carries {bytes_words(size)} of art, which makes every copy of the book slow. git-lfs can keep "
        "what is entered from now on apart: inkledger init --lfs"
    )


def _next(steps: tuple[NextStep, ...]) -> list[str]:
    if not steps:
        return ["", "Nothing is waiting."]
    rows = ["", "To do next"]
    for step in steps[:STEPS]:
        rows.append(wrapped(f"{one_line(step.what)}: {one_line(step.why)}.", indent="  "))
        rows.append(f"    {one_line(step.command)}")
    if len(steps) > STEPS:
        rows.append(f"  and {len(steps) - STEPS} more (status --json names all)")
    return rows
