"""The worked book under sixteen changes, each case derived from the rules of sides (docs/arithmetic.md).

160 story pages, spreads on 12, 64, 98 and 140, reveals on 22, 56, 90 and 132. `*` stands before what is broken.
"""

from __future__ import annotations

import re

import pytest

from ledger.desk.arithmetic.wish_words import wish_of
from ledger.plan.block import block_of
from ledger.plan.numbering import Numbering
from ledger.plan.supposed import supposed
from ledger.plan.weight import (
    Placed,
    carried_reveals,
    flipped,
    mended,
    placed_reveals,
    placed_spreads,
)
from tests.plan.typed import book, worked

CASES = """
T-010 | +1@40    | 161 | 12-13 *65-66 *99-100 *141-142   | 22 *57 *91 *133   | 120
T-011 | +2@40    | 162 | 12-13 66-67 100-101 142-143     | 22 58 92 134      | 0
T-012 | +3@40    | 163 | 12-13 *67-68 *101-102 *143-144  | 22 *59 *93 *135   | 120
T-013 | +1@64    | 161 | 12-13 *64/66 *99-100 *141-142   | 22 56 *91 *133    | 96
T-014 | +2@64    | 162 | 12-13 *64/67 100-101 142-143    | 22 56 92 134      | 0
T-015 | +1@13    | 161 | 12-13 *65-66 *99-100 *141-142   | *23 *57 *91 *133  | 147
T-016 | +1@0     | 161 | *13-14 *65-66 *99-100 *141-142  | *23 *57 *91 *133  | 160
T-017 | +1@160   | 161 | 12-13 64-65 98-99 140-141       | 22 56 90 132      | 0
T-018 | -41      | 159 | 12-13 *63-64 *97-98 *139-140    | 22 *55 *89 *131   | 119
T-019 | -41-42   | 158 | 12-13 62-63 96-97 138-139       | 22 54 88 130      | 0
T-020 | -65      | 159 | 12-13 *64 *97-98 *139-140       | 22 56 *89 *131    | 95
T-021 | -64-65   | 158 | 12-13 *gone 96-97 138-139       | 22 56 88 130      | 0
T-022 | -56      | 159 | 12-13 *63-64 *97-98 *139-140    | 22 *gone *89 *131 | 104
T-023 | -55-56   | 158 | 12-13 62-63 96-97 138-139       | 22 *gone 88 130   | 0
T-024 | -41,100  | 158 | 12-13 *63-64 *97-98 138-139     | 22 *55 *89 130    | 58
"""
ROWS = [[cell.strip() for cell in line.split("|")] for line in CASES.strip().splitlines()]


def shown(placed: tuple[Placed, ...]) -> str:
    return " ".join("*" * each.broken + (each.new or "gone") for each in placed)


@pytest.mark.parametrize("reading", ["ltr", "rtl"])
@pytest.mark.parametrize(("fact", "change", "pages", "spreads", "reveals", "flips"), ROWS, ids=[row[0] for row in ROWS])
def test_worked_change(
    fact: str, change: str, pages: str, spreads: str, reveals: str, flips: str, reading: str
) -> None:
    """Derived, T-010 to T-024; the same in both reading directions (T-005)."""
    wish = wish_of([change[1:]], [], []) if change[0] == "+" else wish_of([], [change[1:]], [])
    draft, told = worked(), book(reading=reading)
    then = supposed(draft, told, wish)
    old = block_of(draft, told)
    new = old._replace(story=then.numbering.new)
    assert new.story == int(pages)
    assert shown(placed_spreads(draft, then.numbering, old, new)) == spreads
    assert shown(placed_reveals(draft, then.reveals, then.numbering, old, new)) == " ".join(reveals.split())
    assert len(flipped(then.numbering, old, new)) == int(flips)


def test_one_page_more_in_front() -> None:
    """Derived, T-025: front matter 6 to 7, no page touched."""
    draft = worked()
    old, new = (block_of(draft, book(front_matter=front)) for front in (6, 7))
    same = Numbering(160, 160, {page: page for page in range(1, 161)}, ())
    assert (old.extent, new.extent) == (166, 167)
    assert len(flipped(same, old, new)) == 160
    placed = (
        *placed_spreads(draft, same, old, new),
        *placed_reveals(draft, carried_reveals(draft, same), same, old, new),
    )
    assert all(each.broken and not each.before for each in placed)


@pytest.mark.parametrize(("count", "after"), [(1, 7), (2, 7), (5, 99), (4, 150), (7, 158)])
def test_a_side_flips_iff_the_run_before_it_is_odd(count: int, after: int) -> None:
    """Derived, T-007."""
    draft, told = worked(), book()
    then = supposed(draft, told, wish_of([f"{count}@{after}"], [], []))
    old = block_of(draft, told)
    turned = flipped(then.numbering, old, old._replace(story=then.numbering.new))
    assert turned == (tuple(range(after + 1, 161)) if count % 2 else ())


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_any_run_between_the_halves_breaks_a_spread(count: int) -> None:
    """Derived, T-008."""
    draft, told = worked(), book()
    then = supposed(draft, told, wish_of([f"{count}@98"], [], []))
    old = block_of(draft, told)
    spread = placed_spreads(draft, then.numbering, old, old._replace(story=then.numbering.new))[2]
    assert (spread.new, spread.broken) == (f"98/{99 + count}", True)


@pytest.mark.parametrize(
    ("change", "mends"),
    [
        ("+1@40", ("cut", 1, 23, 56)), ("+2@40", None), ("+1@64", None), ("+2@64", ("cut", 2, 65, 66)),
        ("+1@0", ("cut", 1, 1, 12)), ("-41", ("add", 1, 22, 54)), ("-56", ("add", 1, 22, 62)), ("-41,100", None),
    ],
)  # fmt: skip
def test_the_suggestion_mends(change: str, mends: tuple[str, int, int, int] | None) -> None:
    """What is suggested is put to the test by weighing it (T-013: cutting the page between leaves nothing broken)."""
    wish = wish_of([change[1:]], [], []) if change[0] == "+" else wish_of([], [change[1:]], [])
    draft, told = worked(), book()
    then = supposed(draft, told, wish)
    old = block_of(draft, told)
    new = old._replace(story=then.numbering.new)
    placed = (
        *placed_spreads(draft, then.numbering, old, new),
        *placed_reveals(draft, then.reveals, then.numbering, old, new),
    )
    found = mended(placed, new)
    if change == "+1@64":
        assert found is not None
        assert tuple(found)[:4] == ("cut", 1, 65, 65)
        return
    assert (tuple(found)[:4] if found else None) == mends
    if found is None:
        return
    # Weighed again with the suggestion applied: everything that is left stands on its side.
    step = found.pages if found.kind == "add" else -found.pages
    start = found.first
    for each in placed:
        if each.new and re.fullmatch(r"\d+(-\d+)?", each.new):
            moved = each.spot[0] + (step if each.spot[0] > start else 0)
            assert moved % 2 == 0, (change, each)
