"""Numbers that can't be or can hardly be meant: `spreads`, `weigh`, `forecast` and `wallchart` say a clear word."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.books import Book
from tests.cli.conftest import Tell
from tests.schema_check import checked
from tests.typed_book import BOOK, SCRIPT, TypedBook

VERBS = (("spreads",), ("weigh", "--add", "1@2"), ("forecast",), ("wallchart",))
PENCILS = 'locks = ["structure"]\n'
DAYS = 'days off are dates or ranges: [2027-01-01, "2026-12-24..2026-12-27"]'


def loose(top: Path, before: str = "", after: str = "", script: str = SCRIPT) -> Book:
    """The typed book, nothing entered, with other words in `book.toml`."""
    assert before in BOOK
    return Book.new(top / "supper", {"book.toml": BOOK.replace(before, after, 1), "script/01.md": script})


def unfolded(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("verb", VERBS, ids=lambda verb: verb[0])
@pytest.mark.parametrize(
    ("before", "after", "said", "remedy"),
    [
        ("pages = 4", "pages = 4\nsignature = 10", "'signature' in [book]", "16"),
        ("pages = 4", "pages = 0", "'pages' in [book] must be a whole number from 1 to 10000", ""),
        ("pages = 4", "pages = 4\nfront_matter = -2", "'front_matter' in [book] must be a whole number", ""),
        (PENCILS, f"{PENCILS}per_day = -1\n", "'per_day' in [pass] must be a number, 0 or more", ""),
        ("[cast]", '[calendar]\ndays_off = "2026-12-24"\n\n[cast]', "'days_off' in [calendar] must be a list", DAYS),
        ("[cast]", "[calendar]\ndays_off = [24]\n\n[cast]", "24 in 'days_off' is no date", DAYS),
        ("[cast]", '[calendar]\ndays_off = ["24.12.2026"]\n\n[cast]', "\"24.12.2026\" in 'days_off' is no date", DAYS),
        ("[cast]", '[calendar]\ndays_off = ["2026-12-24.."]\n\n[cast]', "\"2026-12-24..\" in 'days_off'", DAYS),
    ],
)
def test_what_no_book_can_have(
    tell: Tell, tmp_path: Path, verb: tuple[str, ...], before: str, after: str, said: str, remedy: str
) -> None:
    told = tell(loose(tmp_path, before, after).top, *verb, code=2)
    assert told.err.startswith("inkledger: book.toml:")
    assert said in told.err
    assert remedy in told.err
    assert told.out == ""


def test_more_front_matter_than_story(tell: Tell, tmp_path: Path) -> None:
    book = loose(tmp_path, "pages = 4", "pages = 4\nfront_matter = 30")
    said = unfolded(tell(book.top, "spreads").out)
    assert "30 of front matter + 4 of story = 34 pages" in said
    assert "There is more front matter than story: is front_matter in book.toml as you mean it?" in said
    assert "more front matter" not in tell(loose(tmp_path / "two").top, "spreads").out
    checked(tell(book.top, "weigh", "--add", "1@2", "--json").out)


def test_a_spread_that_starts_on_a_recto(tell: Tell, tmp_path: Path) -> None:
    book = loose(tmp_path, script="[page 1]\nRain.\n\n[page 2]\nMud.\n\n[pages 3-4]\nThe whole weir.\n")
    said = unfolded(tell(book.top, "spreads").out)
    assert "look: spread-side script/01.md:7 p3-4 " in said
    weighed = checked(tell(book.top, "weigh", "--add", "1@2", "--json").out)
    assert weighed["spreads"] == [{"old": "3-4", "new": "4-5", "broken": False}]


def test_page_numbers_with_holes(tell: Tell, tmp_path: Path) -> None:
    """Pages are counted as they stand; what was typed otherwise is named with its line."""
    book = loose(tmp_path, script="[page 1]\nRain.\n\n[page 2]\nMud.\n\n[page 5]\nFog.\n\n[page 9]\nIce.\n")
    found = checked(tell(book.top, "spreads", "--json").out)["findings"]
    assert [(each["rule"], each["line"], each["page"]) for each in found] == [
        ("page-number", 7, "3"), ("page-number", 10, "4"),
    ]  # fmt: skip
    assert "there is no page 9: the story has pages 1 to 4" in tell(book.top, "weigh", "--cut", "9", code=2).err
    passes = checked(tell(book.top, "forecast", "--json").out)["passes"]
    assert {each["total"] for each in passes} == {4}
    assert [each["page"] for each in checked(tell(book.top, "wallchart", "--json").out)["pages"]] == list("1234")


@pytest.mark.parametrize("script", [SCRIPT, ""], ids=["marked", "not marked"])
def test_no_page_left(tell: Tell, tmp_path: Path, script: str) -> None:
    book = loose(tmp_path, script=script)
    said = tell(book.top, "weigh", "--cut", "1-4", code=2).err
    assert said == ("inkledger: nothing would be left of the story\n  leave at least one page in it, or add one\n")
    weighed = checked(tell(book.top, "weigh", "--cut", "1-3", "--json").out)
    assert (weighed["extent"]["old"], weighed["extent"]["new"]) == (4, 1)
    weighed = checked(tell(book.top, "weigh", "--cut", "1-4", "--add", "2@4", "--json").out)
    assert (weighed["extent"]["new"], weighed["pages"]["added"]) == (2, ["1", "2"])


@pytest.mark.parametrize(
    ("pace", "said"),
    [("0", "the stated pace is 0"), ("0.0001", "at this pace it takes more than fifty years")],
)
def test_a_pace_that_comes_to_no_day(tell: Tell, tmp_path: Path, pace: str, said: str) -> None:
    book = loose(tmp_path, PENCILS, f"{PENCILS}per_day = {pace}\n")
    pencils = checked(tell(book.top, "forecast", "--as-of", "2026-03-27", "--json").out)["passes"][0]
    assert pencils["range"] == {"early": None, "likely": None, "late": None}
    assert said in unfolded(tell(book.top, "forecast", "--as-of", "2026-03-27").out)
    checked(tell(book.top, "weigh", "--add", "1@2", "--json").out)


def test_a_due_day_in_the_past(tell: Tell, tmp_path: Path) -> None:
    book = loose(tmp_path, "pages = 4", "pages = 4\ndue = 2020-01-01")
    said = unfolded(tell(book.top, "forecast", "--as-of", "2026-03-27").out)
    assert "was due 2020-01-01, which is past" in said


def test_all_entries_of_one_day(tell: Tell, laid_out: TypedBook) -> None:
    for page in range(1, 4):
        for take in (0, 9):
            laid_out.draw("pencils", f"{page:03}", page + take)
            noon = {"GIT_COMMITTER_DATE": f"2026-03-02T1{page}:0{take}:00+0000"}
            laid_out.ledger("enter", "pencils", "-m", f"page {page}", env=noon)
    pencils = checked(tell(laid_out.top, "forecast", "--as-of", "2026-03-27", "--json").out)["passes"][0]
    assert (pencils["rate"]["source"], pencils["rate"]["value"]) == ("none", None)
    assert pencils["range"] == {"early": None, "likely": None, "late": None}
    assert any("are of one day, which measures no pace" in said for said in pencils["left_out"])
    # By a clock that stands before the first of them none was made yet.
    early = checked(tell(laid_out.top, "forecast", "--as-of", "2026-03-01", "--json").out)["passes"][0]
    assert (early["entered"], early["rate"]["observations"]) == (0, 0)
    assert early["left_out"][0] == "6 entries made after this day"
