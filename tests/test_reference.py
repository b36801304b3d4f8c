"""The generated parts of the documents are what the code says."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

DOCS = Path(__file__).parent.parent / "docs"
MADE = runpy.run_path(str(DOCS / "make_reference.py"))


@pytest.mark.parametrize("name", ["commands", "configuration"])
def test_the_reference_is_up_to_date(name: str) -> None:
    assert (DOCS / f"{name}.md").read_text("utf-8") == MADE[name](), "run: make reference"
