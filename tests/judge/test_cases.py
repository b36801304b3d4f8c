"""Worked cases as a cartoonist would write them: a signed-off draft, a later one, what is said of it.

A case file holds cases under `#` headings: what is signed off in a line `closed:`, the draft as it was signed off and
the later one between `~~~` lines, and what is found in a list, `block` or `look` with rule and place.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

from ledger.judge.agreed.doors import charged
from tests.judge.shelf import Shelf, lock, told

CASES = Path(__file__).parent / "cases"
_PASS = {("structure",): "pencils", ("structure", "drawing"): "inks", ("wording",): "letters"}


@dataclass(frozen=True)
class Case:
    name: str
    scopes: tuple[str, ...]
    pages: str | None
    before: str
    after: str
    found: list[str]


def cases() -> list[Case]:
    return [case for path in sorted(CASES.glob("*.md")) for case in _cases_of(path)]


def _cases_of(path: Path) -> list[Case]:
    parts = re.split(r"^~~~\n", path.read_text("utf-8"), flags=re.MULTILINE)
    found: list[Case] = []
    for number in range(0, len(parts) - 1, 4):
        head, before, _, after = parts[number : number + 4]
        asked = re.split(r"^# ", head, flags=re.MULTILINE)[-1]
        said = re.split(r"^# ", parts[number + 4], flags=re.MULTILINE)[0]
        closed = re.search(r"^closed: (.*?)(?: on pages (.*))?$", asked, re.MULTILINE)
        assert closed, f"{path.name}: what is closed in {asked!r}"
        found.append(
            Case(
                f"{path.stem}: {asked.splitlines()[0]}", tuple(closed[1].split(", ")), closed[2], before, after,
                sorted(line[2:] for line in said.splitlines() if line.startswith("- ")),
            )
        )  # fmt: skip
    return found


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.name)
def test_case(case: Case) -> None:
    shelf = Shelf()
    signed = {"script/01.md": case.before}
    pass_name = _PASS.get(case.scopes, "inks")
    entry = lock(shelf, pass_name, case.scopes, signed, pages=case.pages)
    base = shelf.state(signed, [entry])
    change = shelf.state({"script/01.md": case.after}, [entry])
    findings = charged([base], change, shelf)
    assert told(findings) == case.found
    assert charged([change], change, shelf) == ()
    for finding in findings:
        assert finding.message[:1] not in " " and (not finding.blocks or "inkledger alter" in (finding.remedy or ""))
