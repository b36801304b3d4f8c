"""The audit as a page, looked at in a real browser."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pypdf import PdfReader

from ledger.model.audit import AuditReport, Looked
from ledger.model.entry import Alteration, Lock, Reopen
from ledger.model.finding import Finding
from ledger.render.audit_page import audit_html, verdict_words
from tests.pages.conftest import Open

pytestmark = pytest.mark.needs_chromium

SCHEMES: dict[str, dict[str, Any]] = {
    "light": {}, "dark": {"color_scheme": "dark"}, "forced": {"forced_colors": "active"},
}  # fmt: skip
WIDTHS = (360, 768, 1280)
LONG = "Donaudampfschifffahrtsgesellschaftskapitaenswitwenrente" * 2
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def commit(place: int, subject: str = "a late line", author: str = "Ida Kestrel <ida@example.org>") -> Looked:
    return Looked(f"{place:02d}" * 20, place, subject, author, NOON - timedelta(days=place))


def report() -> AuditReport:
    """Late edits of three commits, a settled one, a moved tag, sign-offs and slips; some words nobody would expect."""
    commits = [commit(1), commit(3, "שלום (abc) <b>"), commit(7, LONG)]
    findings = (
        Finding("line-cut", "block", 'Wren\'s line "Push." was cut from page 2, panel 1: closed by lock-inks-1',
                "script/01.md", 12, "2", 1, "The <far> room", "undo it", commits[2].oid),
        Finding("panel-redrawn", "block", f"The picture of page 3 ({LONG}) is not the one signed off",
                "art/inks/p003.png", page="3", remedy="undo it", commit=commits[0].oid),
        Finding("line-cut", "query", "T's line was cut; undone in commit 0101010101 (put \x1b[31mback)",
                "script/01.md", 3, "1", commit=commits[1].oid),
        Finding("tag-moved", "block", "the tag lock/inks/1 stands on a commit that does not hold its entry",
                "ledger/lock-inks-1.toml", remedy="git tag -d lock/inks/1, then inkledger doctor"),
    )  # fmt: skip
    shared: dict[str, Any] = {"date": NOON, "by": "Ida Kestrel <ida@example.org>"}
    lock = Lock(path="ledger/lock-inks-1.toml", number=1, pass_name="inks", scopes=("structure", "drawing"),
                pages="1-24", approved_by="E. Marsh", how="mail of 3 March", **shared)  # fmt: skip
    slip = Alteration(path="ledger/alteration-3.toml", number=3, alteration_class="EA", reason=f"the lamp {LONG}",
                      asked_by="E. Marsh", scopes=("drawing",), pages="3", **shared)  # fmt: skip
    opened = Reopen(path="ledger/reopen-1.toml", number=1, pages="9-10", reason="", **shared)
    return AuditReport(
        findings=findings, title="The Salt Lantern", reach="v1..main", count=7, first=commit(1), last=commits[2],
        named={each.oid: each for each in commits}, agreed=((lock, commits[0]), (slip, commits[1]), (opened, None)),
    )  # fmt: skip


@pytest.mark.axe
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing(open_page: Open, axe: str, scheme: str) -> None:
    opened = open_page(audit_html(report()), **SCHEMES[scheme])
    for width in WIDTHS:
        opened.resize(width)
        assert opened.faults(axe) == [], width


@pytest.mark.parametrize("large", [False, True])
def test_nothing_scrolls_sideways_but_the_table_in_its_box(open_page: Open, large: bool) -> None:
    opened = open_page(audit_html(report()), large=large)
    for width in (320, *WIDTHS):
        opened.resize(width)
        assert opened.sideways() <= 0, width
    opened.resize(360)
    box = opened.page.get_by_role("region", name="Sign-offs, slips and reopenings")
    assert box.evaluate("(one) => one.scrollWidth > one.clientWidth")


def test_commits_stand_in_the_order_of_history_whatever_their_dates(open_page: Open) -> None:
    page = open_page(audit_html(report())).page
    found = page.locator("#blocks ~ .told h3").all_inner_texts()
    assert [text.split(":")[0] for text in found] == ["Commit 0101010101", "Commit 0707070707", "Of no single commit"]
    assert "Dates are claims" in page.locator("header").inner_text()


def test_every_finding_names_rule_place_and_remedy(open_page: Open) -> None:
    page = open_page(audit_html(report())).page
    told = page.locator("main").inner_text()
    for words in (
        "block: line-cut", "script/01.md:12 p2.1 \"The <far> room\"", "To do: undo it", "look: line-cut",
        "Number 7 of 7", "lock-inks-1", "sign-off of inks: structure, drawing",
        "Approved by E. Marsh (mail of 3 March)",
        "slip, EA (editor's): drawing", "Asked by E. Marsh", "no reason given", "before this range",
        "Looked at: v1..main, 7 commits.",
    ):  # fmt: skip
        assert re.sub(r"\s+", " ", words) in re.sub(r"\s+", " ", told), words
    assert "\x1b" not in told


def test_the_keyboard_reaches_everything_that_acts(open_page: Open) -> None:
    page = open_page(audit_html(report()), width=360).page
    for part in page.locator("nav a").all_inner_texts():
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == part
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('role')") == "region"


def test_print_has_every_heading_and_the_whole_table(open_page: Open) -> None:
    opened = open_page(audit_html(report()), color_scheme="dark")
    sheets = PdfReader(io.BytesIO(opened.page.pdf(format="A4"))).pages
    text = re.sub(r"\s+", "", " ".join(sheet.extract_text() for sheet in sheets))
    for heading in opened.page.locator("h2, h3").all_inner_texts():
        assert re.sub(r"[\s\u2066-\u2069]+", "", heading)[:24] in text or "שלום" in heading, heading
    assert "TheSaltLantern" in text and "beforethisrange" in text and "Approvedby" in text


def test_no_word_is_lost_without_script_and_nothing_moves(open_page: Open) -> None:
    both = [open_page(audit_html(report()), java_script_enabled=on).page for on in (True, False)]
    assert both[0].locator("main").text_content() == both[1].locator("main").text_content()
    assert both[0].evaluate("document.getAnimations().length") == 0
    assert both[0].title() == "The Salt Lantern: audit"


def test_words_of_the_book_are_shown_as_text(open_page: Open) -> None:
    page = open_page(audit_html(report())).page
    assert page.locator("main b").count() == 0
    assert page.locator("h3", has_text="שלום").locator("bdi").count() == 1


def test_an_empty_report_says_so(open_page: Open) -> None:
    opened = open_page(audit_html(AuditReport()))
    assert "nothing was found" in opened.page.locator("header").inner_text()
    assert "Nothing is signed off." in opened.page.locator("main").inner_text()


@pytest.mark.parametrize(
    ("levels", "words"),
    [
        ("", "nothing was found"),
        ("q", "Nothing stands against what was agreed; there is 1 thing to look at."),
        ("b", "1 finding stands against what was agreed; there is nothing else to look at."),
        ("bbqq", "2 findings stand against what was agreed; there are 2 things to look at."),
    ],
)
def test_the_verdict_in_one_sentence(levels: str, words: str) -> None:
    kinds = {"b": "block", "q": "query"}
    assert words in verdict_words([Finding("line-cut", kinds[each], "") for each in levels])
