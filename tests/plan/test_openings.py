"""The book as openings, with a brute-force count beside it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as some

from ledger.model.script import Draft
from ledger.plan.block import Block, block_of
from ledger.plan.openings import openings
from tests.plan.typed import book, draft, script_text, worked


def test_front_and_back_matter_stand_where_they_are_bound() -> None:
    told = openings(worked(), book(front_matter=3, back_matter=2))
    labels = [(o.verso.page if o.verso else None, o.recto.page if o.recto else None) for o in told]
    assert labels[:3] == [(None, "f1"), ("f2", "f3"), ("1", "2")]
    assert labels[-2:] == [("159", "160"), ("b1", "b2")]


def test_a_book_without_page_marks_has_the_pages_of_its_toml() -> None:
    assert block_of(Draft(), book(pages=24)).extent == 24
    assert block_of(draft("# One\n\n## Weir\n\nRain.\n"), book(pages=24)).extent == 24
    assert block_of(draft("[page 1]\n\nRain.\n\n[page 2]\n\nMore.\n"), book(pages=24)).extent == 2


def test_an_omitted_page_keeps_its_number_and_its_place() -> None:
    told = draft("[page 1]\n\nRain.\n\n[page 2]\n\n[omitted]\n\n[page 3]\n\nSun.\n")
    assert block_of(told, book()).story == 3


def test_a_spread_on_a_recto_is_no_opening() -> None:
    told = openings(draft(script_text(8, (3, 6), {})), book())
    assert [o.verso.page for o in told if o.spread and o.verso] == ["6"]


def test_two_reveals_of_an_opening_are_both_named() -> None:
    told = openings(draft(script_text(8, (), {4: 1, 5: 2})), book())
    assert [o.reveals for o in told if o.reveals] == [("4", "5")]


@given(some.integers(0, 20), some.integers(1, 60), some.integers(0, 20), some.sampled_from((4, 8, 12, 16, 24, 32)))
def test_counted_one_by_one(front: int, story: int, back: int, size: int) -> None:
    """A brute-force model: pages dealt one after the other onto sides, leaves and sheets."""
    block = Block(front, story, back, size)
    dealt = (
        [f"f{n + 1}" for n in range(front)] + [str(n + 1) for n in range(story)] + [f"b{n + 1}" for n in range(back)]
    )
    sheets = [dealt[at : at + size] for at in range(0, len(dealt), size)]
    assert (block.extent, block.sheets, block.blanks) == (len(dealt), len(sheets), size - len(sheets[-1]))
    assert [block.label(page + 1) for page in range(len(dealt) + 1)] == [*dealt, None]
    told = openings(Draft(), book(front_matter=front, pages=story, back_matter=back, signature=size))
    assert [side.page for o in told for side in (o.verso, o.recto) if side] == dealt
    for opening in told:
        for side in (opening.verso, opening.recto):
            assert side is None or dealt[side.book - 1] == side.page
        first = opening.verso or opening.recto
        assert first and first.page in sheets[opening.signature - 1]
