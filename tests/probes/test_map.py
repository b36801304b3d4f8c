"""The map in `README.md` leads to tests and rows that are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
PLACES = sorted(set(re.findall(r"`([\w/.]+\.py) :: ([^`]+)`", (HERE / "README.md").read_text("utf-8"))))


@pytest.mark.group("the map", "kept")
@pytest.mark.parametrize(("file", "name"), PLACES, ids=[f"{file} {name}" for file, name in PLACES])
def test_a_place_of_the_map_is_there(file: str, name: str) -> None:
    text = (HERE.parent.parent / file if "/" in file else HERE / file).read_text("utf-8")
    wanted = (f"def {name}(", f"def test_{name}(", f'"{name}"', f"\n{name}: ", f"\n{name} = ", f"\n{name}, ")
    assert any(each in text for each in wanted), f"{file} has no {name}"


@pytest.mark.group("the map", "kept")
def test_every_row_leads_somewhere() -> None:
    rows = [line for line in (HERE / "README.md").read_text("utf-8").split("\n") if line.startswith("| ")]
    bare = [row for row in rows if " :: " not in row and not row.startswith("| what is promised")]
    assert bare == []
    assert len(PLACES) > 100
