"""The working behind a weighing: each figure with the sum it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.model.pages import pages_text
from ledger.plan.block import Block
from ledger.plan.numbering import Numbering
from ledger.plan.pace import Pace
from ledger.plan.weight import Placed, Redo, Weight
from ledger.render.places import ARROW
from ledger.render.plain import one_line, plural, wrapped


def why_text(weight: Weight) -> str:
    """The working, a sum a line."""
    return "\n".join(wrapped(row, indent="  ", hang="    ") if row else row for row in ("The working", *_rows(weight)))[
        2:
    ]


def _rows(weight: Weight) -> Iterator[str]:
    old, new = weight.old, weight.new
    front = f"{old.front}{ARROW}{new.front}" if old.front != new.front else str(new.front)
    yield f"book page = story page + {front} of front matter; odd pages are rectos, in ltr and rtl alike"
    yield from _runs(weight.numbering, new.front - old.front)
    for name, block in (("before", old), ("after", new)):
        yield f"{name}: {_sheets(block)}"
    for each in (*weight.spreads, *weight.reveals):
        if each.broken:
            yield _broken(each)
    for redo in weight.redo:
        yield from _redo(redo)
    for lock in weight.locks:
        yield f"{lock.entry}: {', '.join(lock.why)}"


def _sheets(block: Block) -> str:
    return (
        f"{block.front} + {block.story} + {block.back} = {block.extent} pages; {block.extent} / {block.signature} "
        f"rounded up = {block.sheets}; {block.sheets} x {block.signature} - {block.extent} = {block.blanks} blank"
    )


def _runs(numbering: Numbering, front: int) -> Iterator[str]:
    """`41-160 become 42-161, 1 on: an odd step, every side flips`."""
    runs: list[list[int]] = []
    for page, now in sorted(numbering.to.items()):
        if now is None:
            continue
        if runs and page == runs[-1][1] + 1 and now - page == runs[-1][2]:
            runs[-1][1] = page
        else:
            runs.append([page, page, now - page])
    for first, last, step in runs:
        was, now_ = (f"{a}-{b}" if a != b else str(a) for a, b in ((first, last), (first + step, last + step)))
        parity = "odd" if (step + front) % 2 else "even"
        moved = f"{was} become {now_}" if step else f"{was} keep their numbers"
        sides = "flip" if parity == "odd" else "stay"
        yield f"{moved}: {plural(abs(step + front), 'book page')} on or back, {parity}, so sides {sides}"


def _broken(placed: Placed) -> str:
    kind = "spread" if "-" in placed.old else "reveal"
    return f"{kind} {placed.old}{ARROW}{placed.new or 'gone'}: {placed.why}"


def _redo(redo: Redo) -> Iterator[str]:
    reasons: dict[str, list[str]] = {}
    for page, why in redo.why.items():
        reasons.setdefault(why, []).append(str(page))
    told = "; ".join(f"{pages_text(pages).replace(',', ', ')}: {one_line(why)}" for why, pages in reasons.items())
    yield f"{one_line(redo.pass_name)}: {told}"
    yield f"{one_line(redo.pass_name)}: {pace_text(redo.pace)}"
    days = redo.days
    if days is not None and redo.pace.value:
        yield f"{one_line(redo.pass_name)}: {len(redo.pages)} / {redo.pace.value:.4g} = {days[1]:.2f} working days"


def pace_text(pace: Pace) -> str:
    """Where a pace comes from: `1.75 pages a working day, measured from 33 entries, 2026-03-02 to 2026-03-27`."""
    if pace.source == "measured":
        since = f"measured from {pace.observations} entries, {pace.first} to {pace.last}"
        return f"{pace.value:.3g} pages a working day, {since}"
    have = f"{plural(pace.missing, 'entry', 'entries')} more would be needed to measure one" if pace.missing else ""
    if pace.source == "stated":
        return f"{pace.value:g} pages a working day, stated in book.toml, not measured{f' ({have})' * bool(have)}"
    return f"no pace: none is stated (per_day){f', and {have}' * bool(have)}"
