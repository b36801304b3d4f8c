"""`docs/comparison.md` says of its tricky cases what the case files say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.compare.test_cases import CASES, parts

DOCUMENT = (Path(__file__).parents[2] / "docs" / "comparison.md").read_text("utf-8")
NAMED = re.findall(r"`([a-z][a-z-]+)`[^`]*\n\n?```\n(.*?)```", DOCUMENT, flags=re.S)


@pytest.mark.parametrize(("name", "told"), NAMED, ids=[name for name, _ in NAMED])
def test_the_document_tells_what_the_case_says(name: str, told: str) -> None:
    (case,) = [path for path in CASES if path.stem == name]
    assert told.strip() == parts(case)["said"].strip()


def test_the_document_tells_of_every_hard_case() -> None:
    assert {name for name, _ in NAMED} >= {
        "recurring-gag",
        "merged-freely",
        "cut-here-written-there",
        "names-exchanged",
        "block-carried",
        "chapter-moved",
    }
