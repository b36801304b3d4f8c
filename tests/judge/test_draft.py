"""Queries about a draft: limits, counts, sides. Numbers of the trade facts stand beside their ids."""

from __future__ import annotations

import pytest

from ledger.judge.draft import judge_draft
from ledger.judge.levels import apply_rules
from ledger.model.book import Book, Limits, Person
from ledger.model.finding import Finding
from ledger.read.config import default_book
from ledger.read.outline import read_outline
from ledger.read.script import read_script

BOOK = Book("The Ninth Supper", pages=1)
SCALED = Limits(words_per_panel=None)


def findings(text: str, book: Book = BOOK) -> list[Finding]:
    draft = read_script([("script/01.md", text.encode())], book.cast)
    last = int(draft.pages[-1].label.rpartition("-")[2]) if draft.pages else book.pages
    return list(judge_draft(draft, book._replace(pages=last)))


def words(count: int) -> str:
    return " ".join(["row"] * count)


def page(panels: list[list[int]], number: int = 1) -> str:
    """A page of panels, each with balloons of so many words."""
    said = [f"[page {number}]"]
    for at, balloons in enumerate(panels, 1):
        said += [f"[panel {at}]", "Kesh rows on.", *(f"K: {words(n)}" for n in balloons)]
    return "\n\n".join(said) + "\n"


def told(found: list[Finding]) -> list[tuple[str, str, int | None]]:
    return [(f.rule, f.level, f.panel) for f in found]


@pytest.mark.parametrize(
    ("panels", "limit"),
    [
        ([[25]], None),  # T-060: an editor's rule as two comics sites quote it
        ([[26]], "balloon has 26 words; the limit is 25"),  # T-060, T-085
        ([[18, 17], *[[3]] * 5], None),  # T-061
        ([[18, 18], *[[3]] * 5], "panel 1 of page 1 has 36 words; the limit is 35"),  # T-061
        ([[15, 15]] * 7, None),  # T-062
        ([*[[15, 15]] * 6, [15, 16]], "page 1 has 211 words; the limit is 210"),  # T-062
        ([[25, 10]] * 6, None),  # T-080
        ([[16, 15]] * 7, "page 1 has 217 words"),  # T-081
        ([[23]] * 9, None),  # T-082
        ([[24]] * 9, "page 1 has 216 words"),  # T-083
        ([[18, 18]], "panel 1 of page 1 has 36 words"),  # T-084
        ([[3]] * 9, None),
        ([[3]] * 10, "page 1 has 10 panels; the limit is 9"),  # T-086
    ],
)
def test_worked_pages(panels: list[list[int]], limit: str | None) -> None:
    found = findings(page(panels))
    assert [f.rule for f in found] == (["over-limit"] if limit else [])
    assert all(f.level == "query" for f in found)  # T-064: limits are taste
    assert not limit or limit in found[0].message


def test_action_is_not_lettered() -> None:
    assert findings(f"[page 1]\n\n[panel 1]\n\n{words(400)}.\n\nK: Row on.\n") == []  # T-087


@pytest.mark.parametrize(("panels", "most"), list(enumerate((210, 105, 70, 52, 42, 35, 30, 26, 23), 1)))
def test_scaled_limit_of_a_panel(panels: int, most: int) -> None:
    """T-063: floor(210 / n), a cartoonist's working chart of the same rule, 2013."""
    rest = [[1]] * (panels - 1)
    book = BOOK._replace(limits=SCALED)
    full, left = divmod(most, 20)
    assert findings(page([[20] * full + [left], *rest]), book) == []
    (finding,) = findings(page([[20] * full + [left + 1], *rest]), book)
    assert f"has {most + 1} words; the limit is {most}" in finding.message


def test_a_spread_holds_two_pages() -> None:
    text = "[page 1]\n\nK: On.\n\n[pages 2-3]\n\n" + "".join(f"[panel]\n\nK: {words(20)}\n\n" for _ in range(18))
    assert findings(text) == []
    assert told(findings(text + "[panel]\n\nK: Row.\n")) == [("over-limit", "query", None)]


def test_a_balloon_is_found_at_its_line() -> None:
    (finding,) = findings(f"## Shed\n\n[page 1]\n\n[panel 1]\n\nK: Row.\n\nCAP: {words(20)}\n{words(6)}\n")
    assert (finding.path, finding.line, finding.page, finding.panel, finding.scene) == (
        "script/01.md", 9, "1", 1, "Shed",
    )  # fmt: skip
    assert "this caption has 26 words" in finding.message


def test_a_page_without_panel_marks_is_one_panel() -> None:
    (finding,) = findings(f"[page 1]\n\nK: {words(18)}\n\nK: {words(18)}\n")
    assert (finding.page, finding.panel) == ("1", None)


@pytest.mark.parametrize(
    ("heading", "panels", "said"),
    [
        ("PAGE ONE (5 panels)", 4, "page 1 should have 5 panels, 4 are written"),  # T-107
        ("PAGE ONE (4 panels)", 4, None),
        ("PAGE ONE (1 panel)", 0, None),  # T-107: a splash counts as one panel
        ("PAGE ONE (SPLASH)", 2, "should have 1 panel, 2 are written"),
    ],
)
def test_declared_panels(heading: str, panels: int, said: str | None) -> None:
    found = findings(f"{heading}\n\n" + ("[panel]\n\nK: Row.\n\n" * panels or "Kesh rows."))
    assert [f.rule for f in found] == (["panel-count"] if said else [])
    assert not said or said in found[0].message


def test_panels_numbered_straight_through() -> None:
    pages = [f"[page {p}]\n\n" + "".join(f"[panel {n}]\n\nK: Row.\n\n" for n in trio)
             for p, trio in ((1, (1, 2, 3)), (2, (4, 5, 6)))]  # fmt: skip
    (finding,) = findings("".join(pages))  # T-066
    assert (finding.rule, finding.level, finding.page, finding.panel) == ("panel-count", "query", "2", 1)
    assert "straight through" in finding.message


@pytest.mark.parametrize(
    ("typed", "lines"),
    [
        ([1, 2, 3], []),
        ([1, 2, 2], [9]),
        ([1, 2, 2, 3, 4], [9]),
        ([1, 3, 4], [5]),
        ([1, 3, 3], [5, 9]),
        ([2, 3], [1]),
        ([1, 2, 2, 4, 5], [9]),
    ],
)
def test_page_numbers_out_of_step(typed: list[int], lines: list[int]) -> None:
    found = findings("".join(f"[page {n}]\n\nK: Row.\n\n" for n in typed))
    assert [(f.rule, f.line) for f in found] == [("page-number", line) for line in lines]


def test_the_extent_of_the_book() -> None:
    draft = read_script([("s.md", b"[page 1]\n\nK: Row.\n\n[pages 2-3]\n\n[omitted]\n")], ())
    (finding,) = judge_draft(draft, BOOK._replace(pages=160))
    assert (finding.rule, finding.path) == ("page-number", "book.toml")
    assert "book.toml says 160 pages, the script has 3" in finding.message
    assert judge_draft(draft, BOOK._replace(pages=3)) == ()
    assert judge_draft(read_script([("s.md", b"K: Row.\n")], ()), BOOK._replace(pages=160)) == ()


def test_an_outline_names_pages_in_no_order() -> None:
    draft = read_outline([("outline/01.md", b"- [page 3] One.\n- [page 2] Two.\n")], ())
    assert judge_draft(draft, default_book("The Ninth Supper")) == ()


@pytest.mark.parametrize(
    ("first", "front_matter", "broken"),
    [(12, 0, False), (13, 0, True), (12, 6, False), (12, 7, True), (13, 7, False)],
)  # T-003, T-009: a spread is (even, next odd) in the book
def test_spreads_lie_on_one_opening(first: int, front_matter: int, broken: bool) -> None:
    text = "".join(f"[page {n}]\n\nK: Row.\n\n" for n in range(1, first)) + f"[pages {first}-{first + 1}]\n\nK: Row.\n"
    for reading in ("ltr", "rtl"):  # T-005
        found = findings(text, BOOK._replace(front_matter=front_matter, reading=reading))
        assert [f.rule for f in found] == (["spread-side"] if broken else [])


@pytest.mark.parametrize(
    ("number", "panel", "front_matter", "seen_before"),
    [(22, 1, 0, False), (23, 1, 0, True), (22, 2, 0, True), (22, 1, 7, True), (23, 1, 7, False)],
)  # T-004: what is met on turning the page is the even page's first panel
def test_reveals_are_met_on_turning_the_page(number: int, panel: int, front_matter: int, seen_before: bool) -> None:
    before = "".join(f"[page {n}]\n\nK: Row.\n\n" for n in range(1, number))
    marks = "".join(f"[panel {n}]\n\nK: Row.\n\n" for n in range(1, panel)) + f"[panel {panel}]\n[reveal]\n\nK: You!\n"
    found = findings(f"{before}[page {number}]\n\n{marks}", BOOK._replace(front_matter=front_matter))
    assert told(found) == ([("reveal-side", "query", panel)] if seen_before else [])


def test_what_the_reader_said_goes_along() -> None:
    book = BOOK._replace(cast=(Person("K", "Kesh"),))
    assert [f.rule for f in findings("[page 1]\n\nBRAM: Who am I?\n", book)] == ["unknown-key"]


def test_one_name_of_two_people() -> None:
    book = BOOK._replace(cast=(Person("K", "Kesh"), Person("O", "Orla", ("Kesh",))))
    assert [(f.rule, f.path) for f in findings("K: Row.\n", book)] == [("name-clash", "book.toml")]


def test_rules_raise_and_lower() -> None:
    found = findings(page([[26]]))
    assert apply_rules(found, {"over-limit": "off"}) == ()
    assert [f.level for f in apply_rules(found, {"over-limit": "block"})] == ["block"]
    assert [f.level for f in apply_rules(found, {"over-limit": "off"}, {"over-limit": "query"})] == ["query"]
