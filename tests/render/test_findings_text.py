"""Findings on a screen: what is the same of many pages is told once."""

from __future__ import annotations

from ledger.model.finding import Finding
from ledger.render.findings_text import findings_text


def too_small(page: str) -> Finding:
    return Finding(
        "export-size", "query", f"page {page} of inks is 60 x 80 px; it must be 50 x 75 px",
        f"art/inks/p{page.zfill(3)}.png", page=page,
        remedy=f"export it again, then: inkledger enter inks --pages {page}",
    )  # fmt: skip


def test_many_pages_of_one_kind_are_one_paragraph() -> None:
    told = findings_text([too_small(str(page)) for page in range(1, 161)])
    assert told.splitlines() == [
        "look: export-size art/inks/ pages 1-160",
        "  page 1 of inks is 60 x 80 px; it must be 50 x 75 px; the same on the other 159",
        "  of these pages",
        "  To do: export it again, then: inkledger enter inks --pages 1-160",
        "160 to look at.",
    ]


def test_what_differs_is_told_alone() -> None:
    other = too_small("7")._replace(message="page 7 of inks is 61 x 80 px; it must be 50 x 75 px")
    told = findings_text([*(too_small(str(page)) for page in (1, 2, 3, 4, 12)), other])
    assert "pages 1-4, 12\n" in told
    assert "art/inks/p007.png p7" in told
    assert "61 x 80 px" in told
    assert told.endswith("6 to look at.")


def test_two_are_told_one_by_one() -> None:
    told = findings_text([too_small("1"), too_small("2")])
    assert "art/inks/p001.png p1" in told and "art/inks/p002.png p2" in told


def test_the_number_of_another_page_is_no_page() -> None:
    """`page 1` in words about page 12 stays as it is: only a finding's own page may differ."""
    swapped = [
        Finding("page-swapped", "block", f"The picture of page {p} is that of page 1", f"art/p{p}.png", page=p)
        for p in ("12", "13", "14")
    ]
    assert "that of page 1;" in findings_text(swapped)
    swapped[2] = swapped[2]._replace(message="The picture of page 14 is that of page 2")
    assert findings_text(swapped).count("page-swapped") == 3


def test_lines_of_a_draft_are_never_drawn_together() -> None:
    lines = [Finding("over-limit", "query", "26 words", "script/01.md", line=n, page=str(n)) for n in range(1, 9)]
    assert findings_text(lines).count("over-limit") == 8


def test_those_that_block_stand_before_the_others() -> None:
    told = findings_text([too_small("1"), *(too_small(str(p)).at_level("block") for p in (2, 3, 4))])
    assert told.splitlines()[0] == "block: export-size art/inks/ pages 2-4"
    assert told.endswith("3 findings block, 1 to look at.")
