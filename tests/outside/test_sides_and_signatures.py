"""Sides, openings and signatures against the trade's own arithmetic (docs/arithmetic.md names the sources in full)."""

from __future__ import annotations

import pytest

from ledger.judge.draft import judge_draft
from ledger.model.pages import page_numbers
from ledger.plan.block import Block, facing, is_recto, leaf, signature_of
from ledger.plan.openings import openings
from ledger.read.config import SIGNATURES
from tests.plan.typed import REVEALS, SPREADS, book, draft, script_text, worked


def test_odd_is_recto_in_either_direction() -> None:
    """General encyclopedia article "Recto and verso", incl. right-to-left books (seen through a secondary source)."""
    assert [page for page in range(1, 9) if is_recto(page)] == [1, 3, 5, 7]


def test_page_one_stands_alone() -> None:
    """Article "Page-turn reveal" on comics vocabulary, 2015; the count of pairs derived."""
    told = openings(worked(), book())
    pairs = [(o.verso.book if o.verso else None, o.recto.book if o.recto else None) for o in told]
    assert pairs[:2] == [(None, 1), (2, 3)]
    assert pairs[-1] == (160, None)
    assert sum(None not in pair for pair in pairs) == 79
    assert (facing(1), facing(12), facing(13)) == (None, 13, 12)


def _sides(text: str, **said: object) -> list[tuple[str, str | None, int | None]]:
    found = judge_draft(draft(text), book(**said))
    return [(f.rule, f.page, f.panel) for f in found if f.rule in ("spread-side", "reveal-side")]


@pytest.mark.parametrize("reading", ["ltr", "rtl"])
def test_a_spread_is_an_even_page_and_the_next(reading: str) -> None:
    """Derived: (12, 13) is one opening, (13, 14) is not; the same in rtl (T-003, T-005)."""
    assert _sides(script_text(20, (12,), {}), reading=reading) == []
    assert _sides(script_text(20, (13,), {}), reading=reading) == [("spread-side", "13-14", None)]


@pytest.mark.parametrize("reading", ["ltr", "rtl"])
def test_a_reveal_is_the_first_panel_of_an_even_page(reading: str) -> None:
    """A cartoonist's essay "On the page turn", 2022: 22 yes, 23 no, panel 2 of 22 no (T-004, T-005)."""
    assert _sides(script_text(24, (), {22: 1}), reading=reading) == []
    assert _sides(script_text(24, (), {23: 1}), reading=reading) == [("reveal-side", "23", 1)]
    assert _sides(script_text(24, (), {22: 2}), reading=reading) == [("reveal-side", "22", 2)]


@pytest.mark.parametrize(("front", "flips"), [(6, 0), (7, 160)])
def test_odd_front_matter_flips_every_page(front: int, flips: int) -> None:
    """Derived (T-009, O-8)."""
    assert sum(is_recto(n) != is_recto(n + front) for n in range(1, 161)) == flips
    broken = _sides(script_text(160), front_matter=front)
    wanted = {*SPREADS, *REVEALS} if flips else set()
    assert {page_numbers(page or "")[0] for _, page, _ in broken} == wanted


@pytest.mark.parametrize(
    ("pages", "told"),
    [
        (158, ((160, 2), (160, 2), (160, 2), (160, 2))),
        (160, ((160, 0), (160, 0), (160, 0), (160, 0))),
        (161, ((164, 3), (168, 7), (176, 15), (192, 31))),
        (162, ((164, 2), (168, 6), (176, 14), (192, 30))),
        (166, ((168, 2), (168, 2), (176, 10), (192, 26))),
        (167, ((168, 1), (168, 1), (176, 9), (192, 25))),
        (176, ((176, 0), (176, 0), (176, 0), (192, 16))),
    ],
)
def test_sheets_and_blanks(pages: int, told: tuple[tuple[int, int], ...]) -> None:
    """Derived (T-030 to T-036): ceil(n / s) * s, for signatures of 4, 8, 16 and 32 pages."""
    for size, wanted in zip((4, 8, 16, 32), told, strict=True):
        block = Block(0, pages, 0, size)
        assert (block.sheets * size, block.blanks) == wanted


def test_sizes_of_a_folded_sheet() -> None:
    """U.S. Government Printing Office Style Manual, 2008, 1.15: 8, 12, 16, 24, 32 (T-038); 4 is the convention's."""
    assert {8, 12, 16, 24, 32} <= set(SIGNATURES)
    assert 10 not in SIGNATURES


def test_one_page_too_many_costs_a_signature() -> None:
    """Derived (T-040): 160 to 161 pages on signatures of 16."""
    assert (Block(0, 160, 0, 16).blanks, Block(0, 161, 0, 16).blanks) == (0, 15)
    assert Block(0, 161, 0, 16).sheets - Block(0, 160, 0, 16).sheets == 1


def test_three_numbers_of_a_page() -> None:
    """GPO Style Manual, 2008, 1.18, and derived (T-050, T-053): story 1 behind 6 pages is book page 7, a recto."""
    block = Block(6, 160, 0, 16)
    assert (block.book_page(1), is_recto(block.book_page(1)), block.label(7)) == (7, True, "1")
    assert (leaf(161), signature_of(161, 16)) == (81, 11)
