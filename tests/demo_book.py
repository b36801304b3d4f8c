"""The example book, built once in a run by the installed command, copied for every test that wants it.

A folder of tests takes the fixtures in by its conftest: `from tests.demo_book import built_demo, demo_book`.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

from ledger.desk.upkeep.example import command_path
from tests.typed_book import TypedBook


@dataclass(frozen=True)
class BuiltDemo:
    """Where the example book lies, the bare home it was built with, and what the demo said."""

    place: Path
    home: Path
    said: str
    complained: str
    code: int


def run_demo(folder: Path, *words: str, home: Path) -> subprocess.CompletedProcess[str]:
    """`inkledger demo` as it is typed, in a folder, by somebody with this home and no git settings of their own."""
    env = {key: value for key, value in os.environ.items() if not key.startswith(("GIT_", "XDG_"))}
    return subprocess.run(
        [str(command_path()), "demo", *words], cwd=folder, text=True, capture_output=True, check=False,
        stdin=subprocess.DEVNULL, encoding="utf-8", env={**env, "HOME": str(home), "LC_ALL": "C"},
    )  # fmt: skip


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> BuiltDemo:
    """The example book as the demo leaves it; not to be written to. Workers of one run share it."""
    base = tmp_path_factory.getbasetemp()
    folder = (base if worker_id == "master" else base.parent) / "demo"
    folder.mkdir(exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "code").exists():
            (folder / "home").mkdir()
            ran = run_demo(folder, home=folder / "home")
            (folder / "said").write_text(ran.stdout, "utf-8")
            (folder / "complained").write_text(ran.stderr, "utf-8")
            (folder / "code").write_text(str(ran.returncode), "utf-8")
    told = [(folder / name).read_text("utf-8") for name in ("said", "complained", "code")]
    return BuiltDemo(folder / "demo-book", folder / "home", told[0], told[1], int(told[2]))


@pytest.fixture
def demo_book(built_demo: BuiltDemo, tmp_path: Path) -> TypedBook:
    """A copy of the example book to work on."""
    assert built_demo.code == 0, built_demo.said + built_demo.complained
    shutil.copytree(built_demo.place, tmp_path / "demo-book", symlinks=True)
    return TypedBook(tmp_path / "demo-book")
