"""What the checks against published things need from outside: fetched once, kept in the user's cache.

Where it can't be had those tests are left out and named at the end of the run; with INKLEDGER_TEST_EVERYTHING=1 they
fail instead.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.outside import plays as printings
from tests.outside.fetch import COMMONMARK, LIBPNG, PDF_MARKS, PILLOW_PICTURES, PNG_SUITE, PYPDF, TOML_TEST

CACHE = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "inkledger-tests"
EVERYTHING = os.environ.get("INKLEDGER_TEST_EVERYTHING") == "1"
LEFT_OUT = pytest.StashKey[dict[str, list[str]]]()

#: Mark -> the archive that its tests need, and how it is fetched.
NEEDED: dict[str, tuple[str, Callable[[Path], Path | None]]] = {
    "plays": (printings.ARCHIVE, printings.fetched),
    "commonmark": (COMMONMARK.name, COMMONMARK.fetched),
    "png_suite": (PNG_SUITE.name, PNG_SUITE.fetched),
    "pillow_pictures": (PILLOW_PICTURES.name, PILLOW_PICTURES.fetched),
    "libpng": (LIBPNG.name, LIBPNG.fetched),
    "pdf_marks": (PDF_MARKS.name, PDF_MARKS.fetched),
    "pypdf": (PYPDF.name, PYPDF.fetched),
    "toml_test": (TOML_TEST.name, TOML_TEST.fetched),
}


def pytest_configure(config: pytest.Config) -> None:
    for mark, (archive, _) in NEEDED.items():
        config.addinivalue_line("markers", f"{mark}: needs {archive}")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    config.stash[LEFT_OUT] = {}
    for mark, (archive, fetched) in NEEDED.items():
        wanted = [item for item in items if item.get_closest_marker(mark)]
        # Fetched now, before the run gets a home folder of its own and the machine's configuration is out of sight.
        if not wanted or fetched(CACHE) or EVERYTHING:
            continue
        config.hook.pytest_deselected(items=wanted)
        items[:] = [item for item in items if item not in wanted]
        config.stash[LEFT_OUT][archive] = [item.nodeid for item in wanted]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    for archive, names in config.stash.get(LEFT_OUT, {}).items():
        terminalreporter.write_line(f"left out, because {archive} could not be fetched:")
        for name in names:
            terminalreporter.write_line(f"  {name}")


@pytest.fixture(scope="session")
def plays() -> Path:
    """The archive with the texts of the plays."""
    return _needed("plays")


@pytest.fixture(scope="session")
def commonmark() -> Path:
    """The archive with the CommonMark Spec."""
    return _needed("commonmark")


@pytest.fixture(scope="session")
def png_suite() -> Path:
    """The archive with pictures of the PngSuite and a second decoder."""
    return _needed("png_suite")


@pytest.fixture(scope="session")
def toml_test() -> Path:
    """The archive with the cases of TOML 1.0."""
    return _needed("toml_test")


@pytest.fixture(scope="session")
def pillow_pictures() -> Path:
    """The archive with the pictures of Pillow's tests."""
    return _needed("pillow_pictures")


@pytest.fixture(scope="session")
def libpng() -> Path:
    """The archive with the PngSuite and files that broke decoders."""
    return _needed("libpng")


@pytest.fixture(scope="session")
def pdf_marks() -> Path:
    """The archive with marked PDFs and what is known of them."""
    return _needed("pdf_marks")


@pytest.fixture(scope="session")
def pypdf() -> Path:
    """The archive with PDFs of many programs."""
    return _needed("pypdf")


def _needed(mark: str) -> Path:
    archive, fetched = NEEDED[mark]
    found = fetched(CACHE)
    assert found, f"{archive} could not be fetched"
    return found
