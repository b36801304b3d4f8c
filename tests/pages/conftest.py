"""A browser for the pages: Chromium without a window, in which nothing may be asked for and nothing complain.

Every page that is opened is also read by a parser of the HTML standard (WHATWG, 13.2: html5lib, strict), which fails at
the first thing that a browser would have to mend.

The checks by axe-core need its archive. Where that can't be had they are left out and named at the end of the run;
with INKLEDGER_TEST_EVERYTHING=1 they fail instead.
"""

from __future__ import annotations

import json
import os
import shutil
import tarfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from html5lib import HTMLParser
from playwright.sync_api import Browser, Page, sync_playwright

from tests.conftest import LEFT_OUT, PROGRAMS
from tests.outside.fetch import AXE

CACHE = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "inkledger-tests"
#: What WCAG 2.2 AA asks for, and what axe-core's authors hold to be good practice beside it.
_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", f"axe: needs {AXE.name}")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    wanted = [item for item in items if item.get_closest_marker("axe")]
    # Fetched now, before the run gets a home folder of its own and the machine's configuration is out of sight.
    if not wanted or AXE.fetched(CACHE) or os.environ.get("INKLEDGER_TEST_EVERYTHING") == "1":
        return
    config.hook.pytest_deselected(items=wanted)
    items[:] = [item for item in items if item not in wanted]
    config.stash[LEFT_OUT][AXE.name] = [item.nodeid for item in wanted]


@pytest.fixture(scope="session")
def axe() -> str:
    """The source of axe-core."""
    archive = AXE.fetched(CACHE)
    assert archive, f"{AXE.name} could not be fetched"
    with tarfile.open(archive) as opened:
        source = opened.extractfile("package/axe.min.js")
        assert source is not None
        return source.read().decode()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    program = next(found for name in PROGRAMS["needs_chromium"] if (found := shutil.which(name)))
    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=program)
        yield opened
        opened.close()


@dataclass(frozen=True)
class Opened:
    """A page in the browser, with everything it asked for and everything that was complained of."""

    page: Page
    asked: list[str]
    complained: list[str]

    def faults(self, axe: str) -> list[str]:
        """What axe-core finds, each with the first place."""
        self.page.evaluate(axe)
        only = json.dumps({"runOnly": _RULES, "resultTypes": ["violations"]})
        found: list[Any] = self.page.evaluate(f"axe.run({only}).then((found) => found.violations)")
        return [f"{each['id']}: {each['help']}: {each['nodes'][0]['html']}" for each in found]

    def resize(self, width: int) -> None:
        """Another width of the window, in px."""
        self.page.set_viewport_size({"width": width, "height": 900})

    def sideways(self) -> int:
        """By how many px the page is wider than the window."""
        found: int = self.page.evaluate("document.documentElement.scrollWidth - innerWidth")
        return found


Open = Callable[..., Opened]


@lru_cache(maxsize=64)
def parsed(html: str) -> None:
    """Reads a page as the standard has it. Raises ParseError at the first fault."""
    HTMLParser(strict=True).parse(html)


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[Open]:
    """Opens a page from a folder: `open_page(html, width=360, large=True, color_scheme="dark")`.

    `init` is script that runs before the page's own.
    """
    every: list[Opened] = []

    def opened(html: str, *, width: int = 1280, large: bool = False, init: str = "", **context: Any) -> Opened:
        parsed(html)
        place = tmp_path / "page.html"
        place.write_text(html, "utf-8")
        page = browser.new_context(viewport={"width": width, "height": 900}, **context).new_page()
        if init:
            page.add_init_script(init)
        found = Opened(page, [], [])
        page.on("request", lambda request: found.asked.append(request.url))
        page.on("console", lambda message: found.complained.append(message.text))
        page.on("pageerror", lambda error: found.complained.append(str(error)))
        page.goto(place.as_uri())
        if large:
            page.evaluate("document.documentElement.style.fontSize = '200%'")
        every.append(found)
        return found

    yield opened
    for each in every:
        asked, complained = list(each.asked), list(each.complained)
        each.page.context.close()
        assert set(asked) == {(tmp_path / "page.html").as_uri()}
        assert complained == []
