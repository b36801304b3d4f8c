"""Every file in `cases/` is two drafts and what should be said of them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ledger.compare import compare_drafts
from ledger.model.script import Draft
from tests.compare.said import said
from tests.compare.typed import typed

CASES = sorted((Path(__file__).parent / "cases").glob("*.txt"))


def parts(path: Path) -> dict[str, str]:
    """The sections of a case file: "about", "cast", "old", "new", "said"."""
    found = re.split(r"^=== (\w+)\n", "=== about\n" + path.read_text("utf-8"), flags=re.M)
    return dict(zip(found[1::2], found[2::2], strict=True))


def drafts_of(path: Path) -> tuple[Draft, Draft]:
    part = parts(path)
    cast = dict(row.split(" = ") for row in part.get("cast", "").splitlines() if row)
    return typed(part["old"], cast), typed(part["new"], cast)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case(path: Path) -> None:
    expected = [row for row in parts(path)["said"].split("\n") if row.strip()]
    assert said(compare_drafts(*drafts_of(path))) == expected


def test_there_are_cases() -> None:
    assert len(CASES) >= 25
