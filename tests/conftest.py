"""What every test stands on: an environment without git's variables, and repositories to work in.

Tests that need a program which may be missing are marked `needs_lfs` or `needs_chromium`. Where the program is missing
they are left out and named at the end of the run; with INKLEDGER_TEST_EVERYTHING=1 the run fails instead.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.books import Book

#: Mark -> the programs one of which it needs.
PROGRAMS = {"needs_lfs": ("git-lfs",), "needs_chromium": ("chromium", "chromium-browser", "google-chrome")}
#: What is missing here -> the tests that were left out for it.
LEFT_OUT = pytest.StashKey[dict[str, list[str]]]()


def pytest_configure(config: pytest.Config) -> None:
    for mark, programs in PROGRAMS.items():
        config.addinivalue_line("markers", f"{mark}: needs {programs[0]}")
    config.stash[LEFT_OUT] = {}
    missing = [PROGRAMS[mark][0] for mark in _missing()]
    if missing and os.environ.get("INKLEDGER_TEST_EVERYTHING") == "1":
        raise pytest.UsageError(f"every test is to be run, but this is missing here: {', '.join(missing)}")


def _missing() -> list[str]:
    """The marks whose program is not on this machine."""
    return [mark for mark, programs in PROGRAMS.items() if not any(map(shutil.which, programs))]


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    left_out = {mark: [item for item in items if item.get_closest_marker(mark)] for mark in _missing()}
    for mark, found in left_out.items():
        if found:
            config.stash[LEFT_OUT][PROGRAMS[mark][0]] = [item.nodeid for item in found]
    dropped = {item.nodeid for found in left_out.values() for item in found}
    if dropped:
        config.hook.pytest_deselected(items=[item for item in items if item.nodeid in dropped])
        items[:] = [item for item in items if item.nodeid not in dropped]


def pytest_sessionfinish(session: pytest.Session) -> None:
    # Where the tests are spread over several workers, each tells what it left out, and all leave out the same.
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left_out"] = session.config.stash[LEFT_OUT]


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    node.config.stash[LEFT_OUT].update(getattr(node, "workeroutput", {}).get("left_out", {}))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    for missing, names in config.stash[LEFT_OUT].items():
        terminalreporter.section(f"left out, because {missing} is missing here")
        for name in names:
            terminalreporter.line(name)


def _cleaned() -> None:
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        del os.environ[name]


_cleaned()


@pytest.fixture(scope="session", autouse=True)
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A home folder of the run's own: no configuration of the machine's plays a part."""
    place = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(place))
        patch.setenv("XDG_CONFIG_HOME", str(place / ".config"))
        patch.setenv("GIT_CONFIG_NOSYSTEM", "1")
        patch.delenv("INKLEDGER_DEBUG", raising=False)
        if shutil.which("git-lfs"):
            subprocess.run(["git", "lfs", "install"], check=True, capture_output=True, cwd=place)
        config = ["git", "config", "--global"]
        subprocess.run([*config, "init.defaultBranch", "main"], check=True)
        subprocess.run([*config, "user.name", "Ada Quill"], check=True)
        subprocess.run([*config, "user.email", "ada@quill.example"], check=True)
        yield place


@pytest.fixture
def new_repo(tmp_path: Path) -> Callable[..., Book]:
    """Makes a new repository with some files in one commit: `new_repo({"script/01.md": "..."}, form="sha256")`."""
    count = iter(range(1000))

    def make(files: dict[str, str | bytes] | None = None, *, form: str = "sha1", name: str | None = None) -> Book:
        return Book.new(tmp_path / (name or f"book-{next(count)}"), files or {}, form=form)

    return make
