"""The rooms of the house: imports go one way, and each room keeps to its trade."""

from __future__ import annotations

import ast
import statistics
from pathlib import Path

import pytest

LEDGER = Path(__file__).parent.parent / "ledger"

#: A room may import those that stand before it, never those after it.
ROOMS = ["model", "read", "compare", "pictures", "judge", "plan", "render", "gitedge", "desk", "cli"]
#: Rooms that stand side by side and know nothing of each other.
BESIDE = {("compare", "pictures"), ("pictures", "compare")}
#: gitedge stands late in the way of the data but knows only what things are and how they are read.
GITEDGE_MAY = {"model", "read", "gitedge"}
NO_NAMES = {"util", "utils", "helper", "helpers", "misc", "common", "manager", "handler"}

MODULES = sorted(LEDGER.rglob("*.py"))


def imported(path: Path) -> set[str]:
    """Every module a file imports, at its top or inside a function."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            found.add(node.module or "")
    return found


def room_of(module: str) -> str | None:
    parts = module.split(".")
    return parts[1] if parts[0] == "ledger" and len(parts) > 1 and parts[1] in ROOMS else None


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(LEDGER)))
def test_imports_go_one_way(path: Path) -> None:
    room = path.relative_to(LEDGER).parts[0]
    if room not in ROOMS:
        return
    for module in imported(path):
        other = room_of(module)
        if other is None or other == room:
            continue
        assert ROOMS.index(other) < ROOMS.index(room), f"{room} imports {module}"
        assert (room, other) not in BESIDE, f"{room} imports {module}"
        assert room != "gitedge" or other in GITEDGE_MAY, f"gitedge imports {module}"


@pytest.mark.parametrize(
    ("library", "room"),
    [
        ("git", "gitedge"),
        ("click", "cli"),
        ("subprocess", "gitedge"),
        ("PIL", "pictures"),
        ("lxml", "read"),
        ("jinja2", "render"),
    ],
)
def test_a_library_lives_in_one_room(library: str, room: str) -> None:
    elsewhere = {
        str(path.relative_to(LEDGER))
        for path in MODULES
        if path.relative_to(LEDGER).parts[0] != room and any(m.split(".")[0] == library for m in imported(path))
    }
    allowed = {"desk/upkeep/example.py"} if library == "subprocess" else set()
    assert elsewhere <= allowed


def test_only_the_command_line_prints_or_exits() -> None:
    for path in MODULES:
        if path.relative_to(LEDGER).parts[0] == "cli" or path.name == "__main__.py":
            continue
        calls = [
            n.func.id
            for n in ast.walk(ast.parse(path.read_text("utf-8")))
            if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
        ]
        assert not {"print", "exit", "quit"} & set(calls), path


def lengths() -> dict[str, int]:
    return {
        str(p.relative_to(LEDGER)): len(p.read_text("utf-8").splitlines()) for p in MODULES if p.name != "__init__.py"
    }


def test_modules_are_short_and_well_named() -> None:
    sizes = lengths()
    assert max(sizes.values()) <= 400, max(sizes, key=sizes.__getitem__)
    assert statistics.median(sizes.values()) <= 140
    assert not [name for name in sizes if Path(name).stem in NO_NAMES]


def test_functions_are_short() -> None:
    spans = [
        (node.end_lineno or node.lineno) - node.lineno + 1
        for path in MODULES
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef)
    ]
    assert statistics.median(spans) <= 10
    assert sum(span > 50 for span in spans) < 0.04 * len(spans)
