"""The map in `tests/probes/README.md`, which says what holds which promise, leads to tests and rows that are there."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
PROBES = ROOT / "tests/probes"
MAP = (PROBES / "README.md").read_text("utf-8")
PLACES = sorted(set(re.findall(r"`([\w/.]+\.py) :: ([^`]+)`", MAP)))


def is_there(file: str, name: str) -> bool:
    place = (ROOT if "/" in file else PROBES) / file
    text = place.read_text("utf-8") if place.exists() else ""
    wanted = (f"def {name}(", f"def test_{name}(", f'"{name}"', f"\n{name}: ", f"\n{name} = ", f"\n{name}, ")
    return any(each in text for each in wanted)


def test_every_place_of_the_map_is_there() -> None:
    assert len(PLACES) > 100
    assert [place for place in PLACES if not is_there(*place)] == []


def test_a_place_that_is_not_there_is_seen() -> None:
    assert not is_there("edits.py", "a page that nobody drew")
    assert not is_there("test_nowhere.py", "test_nothing")


def test_every_row_leads_somewhere() -> None:
    rows = [line for line in MAP.split("\n") if line.startswith("| ")]
    assert [row for row in rows if " :: " not in row and not row.startswith("| what is promised")] == []
