"""The maps that say which test holds which promise (`tests/probes/README.md`) and which fact of the trade
(`tests/outside/README.md`) lead to tests and rows that are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MAPS = {folder: (ROOT / folder / "README.md").read_text("utf-8") for folder in ("tests/probes", "tests/outside")}


def places(folder: str) -> list[tuple[str, str]]:
    return sorted(set(re.findall(r"`([\w/.]+\.py) :: ([^`]+)`", MAPS[folder])))


def is_there(folder: str, file: str, name: str) -> bool:
    place = (ROOT if "/" in file else ROOT / folder) / file
    text = place.read_text("utf-8") if place.exists() else ""
    wanted = (f"def {name}(", f"def test_{name}(", f'"{name}"', f"\n{name}: ", f"\n{name} = ", f"\n{name}, ")
    return any(each in text for each in wanted)


@pytest.mark.parametrize("folder", MAPS)
def test_every_place_of_the_map_is_there(folder: str) -> None:
    assert len(places(folder)) > 100
    assert [place for place in places(folder) if not is_there(folder, *place)] == []


@pytest.mark.parametrize("folder", MAPS)
def test_a_place_that_is_not_there_is_seen(folder: str) -> None:
    assert not is_there(folder, "edits.py", "a page that nobody drew")
    assert not is_there(folder, "test_nowhere.py", "test_nothing")


@pytest.mark.parametrize("folder", MAPS)
def test_every_row_leads_somewhere(folder: str) -> None:
    rows = [line for line in MAPS[folder].split("\n") if line.startswith("| ")]
    heads = ("| what is promised", "| facts ")
    assert [row for row in rows if " :: " not in row and not row.startswith(heads)] == []


def numbers(text: str) -> set[int]:
    """Facts named in a text, runs of them too: `T-010 to T-024`."""
    runs = re.findall(r"T-(\d{3})(?: to T-(\d{3}))?", text)
    return {number for first, last in runs for number in range(int(first), int(last or first) + 1)}


def test_every_fact_that_the_source_or_a_test_names_is_on_the_map() -> None:
    files = [path for folder in ("ledger", "tests") for path in (ROOT / folder).rglob("*.py")]
    named = {number for path in files for number in numbers(path.read_text("utf-8"))}
    assert len(named) > 90
    assert sorted(named - numbers(MAPS["tests/outside"])) == []


def test_no_claim_to_conform_to_marks_that_were_not_read() -> None:
    """ISO 5776 and BS 5261 define marks for proof correction; nobody here has read them (T-197)."""
    shipped = [
        *(ROOT / "ledger").rglob("*.py"),
        *(ROOT / "ledger/render/pages").glob("*.*"),
        *(ROOT / "docs").glob("*.md"),
    ]
    assert len(shipped) > 300
    claims = [path.name for path in shipped if re.search(r"\b(ISO[ -]?5776|BS[ -]?5261)\b", path.read_text("utf-8"))]
    assert claims == []
