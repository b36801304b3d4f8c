"""What becomes of every page under random additions, cuts and moves, against pages dealt out one by one."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as some

from ledger.plan.block import Block, block_of
from ledger.plan.mending import Mark, mend
from ledger.plan.numbering import Wish
from ledger.plan.supposed import supposed
from ledger.plan.weight import flipped, mended, placed_reveals, placed_spreads
from tests.plan.typed import book, draft, script_text

PAGES, SPREADS, REVEALS = 24, (4, 9, 16), (2, 7, 13, 20)
SCRIPT = draft(script_text(PAGES, SPREADS, dict.fromkeys(REVEALS, 1)))

RUNS = some.tuples(some.integers(1, PAGES), some.integers(0, 4)).map(lambda run: (run[0], min(sum(run), PAGES)))


@some.composite
def wishes(draw: some.DrawFn) -> Wish:
    """Pages added and cut anywhere; at most one run moved, none of it cut, none added inside it."""
    adds = draw(some.lists(some.tuples(some.integers(1, 3), some.integers(0, PAGES)), max_size=3))
    cuts = draw(some.lists(RUNS, max_size=3))
    moves: tuple[tuple[int, int, int], ...] = ()
    if draw(some.booleans()):
        first, last = draw(RUNS)
        after = draw(some.integers(0, PAGES))
        gone = {page for a, b in cuts for page in range(a, b + 1)}
        if not first <= after <= last and not gone & set(range(first, last + 1)):
            moves = ((first, last, after),)
            adds = [(k, at) for k, at in adds if not first <= at <= last and at != after]
    return Wish(tuple(adds), tuple(cuts), moves)


def dealt(wish: Wish) -> list[int]:
    """The new book as old page numbers in order, 0 for a new page: each wish done by hand on a pile of pages."""
    gone = {page for first, last in wish.cuts for page in range(first, last + 1)}
    pile = [0] * sum(count for count, after in wish.adds if after == 0)
    moved = {page for first, last, _ in wish.moves for page in range(first, last + 1)}
    for first, last, after in wish.moves:
        pile += list(range(first, last + 1)) if after == 0 else []
    for page in range(1, PAGES + 1):
        pile += [] if page in moved or page in gone else [page]
        pile += [0] * sum(count for count, after in wish.adds if after == page)
        for first, last, after in wish.moves:
            pile += list(range(first, last + 1)) if after == page else []
    return pile


@given(wishes(), some.integers(0, 5))
def test_pages_sides_spreads_and_reveals(wish: Wish, front: int) -> None:
    told = book(pages=PAGES, front_matter=front)
    then = supposed(SCRIPT, told, wish)
    pile = dealt(wish)
    spots = {page: at for at, page in enumerate(pile, 1) if page}
    numbering = then.numbering
    assert dict(numbering.to) == {page: spots.get(page) for page in range(1, PAGES + 1)}
    assert numbering.added == tuple(at for at, page in enumerate(pile, 1) if not page)
    assert (numbering.new, numbering.cut) == (len(pile), tuple(p for p in range(1, PAGES + 1) if p not in spots))
    old = block_of(SCRIPT, told)
    new = old._replace(story=len(pile))
    assert flipped(numbering, old, new) == tuple(page for page in sorted(spots) if (spots[page] - page) % 2)
    holds = [s in spots and spots.get(s + 1) == spots[s] + 1 and (spots[s] + front) % 2 == 0 for s in SPREADS]
    spreads = placed_spreads(SCRIPT, numbering, old, new)
    assert [not each.broken for each in spreads] == holds
    reveals = placed_reveals(SCRIPT, then.reveals, numbering, old, new)
    assert [not each.broken for each in reveals] == [r in spots and (spots[r] + front) % 2 == 0 for r in REVEALS]
    suggestion = mended((*spreads, *reveals), new)
    if suggestion is not None and suggestion.kind == "add":
        whole = [s for s in SPREADS if s in spots and spots.get(s + 1) == spots[s] + 1] + [
            r for r in REVEALS if r in spots
        ]
        for behind in (suggestion.first, suggestion.last):
            assert [spots[page] for page in whole if (spots[page] + (spots[page] > behind) + front) % 2] == []
            assert not any(spots[s] == behind for s in SPREADS if s in whole)


BLOCK = Block(0, 32, 0, 16)


def test_what_mends() -> None:
    right, wrong = Mark(4, 5, True), Mark(11, 12, False)
    assert mend([right], BLOCK) is None
    assert mend([], BLOCK) is None
    assert tuple(mend([right, wrong], BLOCK) or ())[:4] == ("cut", 1, 6, 10)
    assert tuple(mend([right, wrong], BLOCK._replace(story=31)) or ())[:4] == ("add", 1, 5, 10)
    assert mend([wrong, Mark(14, 14, True)], BLOCK) is None
    # Nothing lies between them that could be cut, so a page is added, whatever that costs.
    assert tuple(mend([Mark(10, 10, True), wrong], BLOCK) or ())[:4] == ("add", 1, 10, 10)


def test_what_was_torn_apart_comes_together_by_a_cut_alone() -> None:
    torn = Mark(4, 7, False, torn=True)
    assert tuple(mend([torn], BLOCK) or ())[:4] == ("cut", 2, 5, 6)
    assert mend([torn, Mark(6, 6, True)], BLOCK) is None
    assert mend([torn._replace(seated=False)], BLOCK) is None
    assert mend([torn, Mark(9, 9, False)], BLOCK) is None
    assert tuple(mend([torn._replace(last=6), Mark(9, 9, False)], BLOCK) or ())[:4] == ("cut", 1, 5, 5)
