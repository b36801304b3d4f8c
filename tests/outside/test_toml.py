"""The 281 cases of toml-test for TOML 1.0, as packed with tomlkit 0.13.2, against our readers of TOML.

A valid case has its values beside it as JSON, each with its type (toml-test, README: "JSON encoding").
"""

from __future__ import annotations

import json
import tarfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from ledger.model.entry import Round
from ledger.model.errors import Refusal
from ledger.read.config import read_book
from ledger.read.entries import read_entry, write_entry
from ledger.read.entry_lines import read_plain_layout
from ledger.read.toml_text import line_of_key, load_toml

pytestmark = pytest.mark.toml_test

WHEN = datetime(2026, 3, 2, 12, tzinfo=UTC)


class Case(NamedTuple):
    name: str
    data: bytes
    said: Any


@pytest.fixture(scope="module")
def cases(toml_test: Path) -> dict[str, list[Case]]:
    with tarfile.open(toml_test) as bundle:
        below = "tomlkit-0.13.2/tests/toml-test/tests/"
        files = {
            member.name.removeprefix(below): held.read()
            for member in bundle.getmembers()
            if member.name.startswith(below) and (held := bundle.extractfile(member)) is not None
        }
    found: dict[str, list[Case]] = {"valid": [], "invalid": []}
    for name, data in files.items():
        if name.endswith(".toml"):
            said = files.get(name.removesuffix("toml") + "json")
            found[name.partition("/")[0]].append(Case(name, data, json.loads(said) if said else None))
    assert {kind: len(each) for kind, each in found.items()} == {"valid": 96, "invalid": 185}
    return found


def typed(value: Any) -> Any:
    """A value in the form of the cases: every one that is no table or list with its type, as words."""
    if isinstance(value, dict):
        return {key: typed(each) for key, each in value.items()}
    if isinstance(value, list):
        return [typed(each) for each in value]
    if isinstance(value, str):
        return {"type": "string", "value": value}
    kind = type(value).__name__
    if isinstance(value, datetime):
        kind = "datetime" if value.tzinfo else "datetime-local"
    names = {"bool": "bool", "int": "integer", "float": "float", "date": "date-local", "time": "time-local"}
    return {"type": names.get(kind, kind), "value": value}


def agrees(ours: Any, theirs: Any) -> bool:
    """Whether a typed value is what a case says; numbers, days and hours are compared as what they are."""
    if isinstance(theirs, list) or set(theirs) != {"type", "value"} or not isinstance(theirs["type"], str):
        pairs = zip(ours, theirs, strict=True) if isinstance(theirs, list) else [(ours[k], theirs[k]) for k in theirs]
        return len(ours) == len(theirs) and all(agrees(*pair) for pair in pairs)
    if ours["type"] != theirs["type"]:
        return False
    return _same(theirs["type"], ours["value"], theirs["value"])


def _same(kind: str, value: Any, said: str) -> bool:
    if kind == "float":
        return value == float(said) or (value != value and said.lstrip("+-") == "nan")
    if kind in ("integer", "bool"):
        return str(value).lower() == said
    if kind == "string":
        return bool(value == said)
    # Python keeps six digits of a second.
    return bool(value == type(value).fromisoformat(said.replace(" ", "T").replace("Z", "+00:00")))


def test_valid_cases_have_their_values(cases: dict[str, list[Case]]) -> None:
    for case in cases["valid"]:
        values, _ = load_toml(case.data, case.name)
        assert agrees(typed(values), case.said), case.name


def test_other_cases_are_refused_with_file_and_line(cases: dict[str, list[Case]]) -> None:
    for case in cases["invalid"]:
        for read in (load_toml, lambda data, path: read_book(data, path)):
            with pytest.raises(Refusal) as told:
                read(case.data, case.name)
            refusal = told.value
            assert refusal.path == case.name and refusal.line and refusal.remedy, case.name
            assert refusal.line <= case.data.count(b"\n") + case.data.count(b"\r") + 1, case.name
        with pytest.raises(Refusal):
            read_entry("ledger/inks-1.toml", case.data)


def test_the_quick_reading_of_entries_says_what_toml_says_or_nothing(cases: dict[str, list[Case]]) -> None:
    quick = 0
    for case in cases["valid"]:
        for data in (case.data, b'message = "x"\n' + case.data, case.data + b"\n[files]\n"):
            found = read_plain_layout(data)
            if found is not None:
                quick += 1
                assert found == load_toml(data, case.name)[0], case.name
    for case in cases["invalid"]:
        assert read_plain_layout(case.data) is None, case.name
    assert quick


def test_the_line_of_a_key_is_one_that_names_it(cases: dict[str, list[Case]]) -> None:
    for case in cases["valid"]:
        values, text = load_toml(case.data, case.name)
        lines = text.replace("\r\n", "\n").split("\n")
        for key in values:
            line = line_of_key(text, (key,))
            first = key.encode("unicode_escape").decode()[:3] if not key.isascii() else key[:3]
            assert line is not None, (case.name, key)
            assert not first.isalnum() or first in lines[line - 1] or "\\" in lines[line - 1], (case.name, key, line)


def strings(value: Any) -> list[str]:
    """Every string among values."""
    if isinstance(value, str):
        return [value]
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [each for one in inner for each in strings(one)]


def test_every_string_of_the_cases_can_stand_in_an_entry(cases: dict[str, list[Case]]) -> None:
    met = [said for case in cases["valid"] for said in strings(load_toml(case.data, case.name)[0])]
    assert len(met) > 80
    for said in met:
        entry = Round(
            path="ledger/inks-1.toml", pass_name="inks", number=1, date=WHEN, by=said, message=said,
            files={said: "3b18e512dba79e4c8300dd08aeb37f8e728b8dad"} if said else {}, basis={"script": said},
        )  # fmt: skip
        assert read_entry(entry.path, write_entry(entry)) == entry, said
        assert load_toml(write_entry(entry), entry.path)[0]["by"] == said
