"""A page's tags as they are typed make the very tree that a browser makes of them: nothing has to be mended.

The reference is the parser of Chromium, which follows the HTML standard (WHATWG, 13.2): what is typed wrongly nested,
left open, doubled or put where it can't stand comes out as another tree.
"""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

import pytest
from html5lib.html5parser import ParseError
from playwright.sync_api import Page

from tests.pages.conftest import Open, parsed
from tests.pages.test_packet import entered, pencils, script  # noqa: F401  (fixtures)

pytestmark = pytest.mark.needs_chromium

#: Elements without an end tag (WHATWG, 13.1.2).
VOID = frozenset(["area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"])

TREE = """(source) => {
  const told = (one) => [one.localName, ...[...(one.localName === "template" ? one.content : one).children].map(told)];
  const made = new DOMParser().parseFromString(source, "text/html");
  return {tree: told(made.documentElement), mode: made.compatMode};
}"""

Tree = list[Any]


class Typed(HTMLParser):
    """The tree that the tags of a page say, without any rule of mending."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.open: list[Tree] = [[]]
        self.ids: list[str] = []
        self.refers: list[str] = []
        self.feed(source)
        self.close()
        assert len(self.open) == 1, f"never closed: {self.open[-1][0]}"
        (self.tree,) = self.open[0]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"<{tag}> has an attribute twice"
        self.ids += [value or "" for name, value in attrs if name == "id"]
        for name, value in attrs:
            if name in ("for", "aria-labelledby", "aria-describedby", "aria-controls"):
                self.refers += (value or "").split()
        made: Tree = [tag]
        self.open[-1].append(made)
        if tag not in VOID:
            self.open.append(made)

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1][:1] == [tag], f"</{tag}> closes <{self.open[-1][0]}>"
        self.open.pop()


def held(page: Page, source: str) -> None:
    """Holds a page's source against what the browser makes of it."""
    typed, made = Typed(source), page.evaluate(TREE, source)
    assert made["mode"] == "CSS1Compat", "without a doctype"
    assert made["tree"] == typed.tree
    assert len(typed.ids) == len(set(typed.ids))
    assert set(typed.refers) <= set(typed.ids)


@pytest.mark.parametrize("kind", ["script", "pencils"])
def test_a_packet_is_parsed_as_it_is_typed(open_page: Open, request: pytest.FixtureRequest, kind: str) -> None:
    source = request.getfixturevalue(kind)
    held(open_page(source).page, source)


@pytest.mark.parametrize(
    "wrong",
    [
        "<p>one<p>two</p>",
        "<b><i>x</b></i>",
        "<table><p>x</p></table>",
        "<p><ul><li>x</li></ul></p>",
        '<p id="a" id="b"></p>',
    ],
)
def test_what_has_to_be_mended_is_seen(open_page: Open, script: str, wrong: str) -> None:  # noqa: F811
    source = script.replace("</main>", f"{wrong}</main>")
    page = open_page(script).page
    with pytest.raises(AssertionError):
        held(page, source)


@pytest.mark.parametrize(
    "wrong",
    [
        "<b><i>x</b></i>",
        "<table><p>x</p></table>",
        '<p id="a" id="b">',
        "<p>&nosuch;</p>",
        "</section>",
        "<p =x>",
        "\x00",
    ],
)
def test_the_parser_of_the_standard_sees_what_a_browser_mends(script: str, wrong: str) -> None:  # noqa: F811
    parsed(script)
    with pytest.raises(ParseError):
        parsed(script.replace("</main>", f"{wrong}</main>"))
