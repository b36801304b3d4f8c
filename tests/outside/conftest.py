"""What the checks against published things need from outside: fetched once, kept in the user's cache.

Where it can't be had those tests are left out and named at the end of the run; with INKLEDGER_TEST_EVERYTHING=1 they
fail instead.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.outside.plays import ARCHIVE, fetched

CACHE = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "inkledger-tests"
EVERYTHING = os.environ.get("INKLEDGER_TEST_EVERYTHING") == "1"


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "plays: needs the two printings of the plays")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    wanted = [item for item in items if item.get_closest_marker("plays")]
    # Fetched now, before the run gets a home folder of its own and the machine's configuration is out of sight.
    if not wanted or fetched(CACHE) or EVERYTHING:
        return
    config.hook.pytest_deselected(items=wanted)
    items[:] = [item for item in items if item not in wanted]
    config.stash[LEFT_OUT] = [item.nodeid for item in wanted]


LEFT_OUT = pytest.StashKey[list[str]]()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    left_out = config.stash.get(LEFT_OUT, [])
    if left_out:
        terminalreporter.write_line(f"left out, because {ARCHIVE} could not be fetched:")
        for name in left_out:
            terminalreporter.write_line(f"  {name}")


@pytest.fixture(scope="session")
def plays() -> Path:
    """The archive with the texts of the plays."""
    archive = fetched(CACHE)
    assert archive, f"{ARCHIVE} could not be fetched"
    return archive
