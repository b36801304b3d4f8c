"""Late changes that were agreed, counted by class: a class is a label between people, and nothing is charged."""

from __future__ import annotations

import re

import pytest
from PIL import Image

from ledger.model.entry import CLASSES
from tests.cli.conftest import Tell
from tests.schema_check import checked
from tests.typed_book import TypedBook


@pytest.fixture
def agreed(entered: TypedBook) -> TypedBook:
    """Pencils signed off for their drawing, then a slip of each class, two of them the author's, and a reopening."""
    entered.change("book.toml", 'locks = ["structure"]', 'locks = ["structure", "drawing"]')
    entered.git("commit", "-qam", "pencils close the drawing too")
    entered.ledger("lock", "pencils")
    for seed, (sign, page) in enumerate((("AA", 1), ("PE", 2), ("EA", 3), ("DA", 4), ("AA", 1)), 11):
        entered.draw("pencils", f"{page:03}", seed)
        entered.ledger("enter", "pencils", "--class", sign, "--reason", f"reason {seed}")
    entered.ledger("reopen", "pencils", "--pages", "2", "--class", "EA", "--reason", "the flood is redrawn")
    return entered


COUNTED = "5 slips and 1 reopening: 1 PE (printer's error), 2 AA (author's), 2 EA (editor's) and 1 DA (designer's)."


def test_the_four_classes(tell: Tell, agreed: TypedBook) -> None:
    """The Chicago Manual of Style, 16th ed., 2010, 2.131, as quoted by an editorial blog, 2011 (T-120): PE printer's
    error, AA author's, EA editor's, DA designer's alteration; any other is refused."""
    assert CLASSES == {"PE": "printer's error", "AA": "author's", "EA": "editor's", "DA": "designer's"}
    said = tell(agreed.top, "alter", "--reason", "x", "--class", "XX", code=2).err
    assert all(f"{sign} ({whose})" in said for sign, whose in CLASSES.items())


def test_audit_and_memo_count_alterations_by_class(tell: Tell, agreed: TypedBook) -> None:
    """Alterations nobody counted (T-126, T-216); a reopening counts as one (convention §4)."""
    assert f"Alterations agreed: {COUNTED}" in " ".join(tell(agreed.top, "audit").out.split())
    page = agreed.top.parent / "audit.html"
    tell(agreed.top, "audit", "--out", str(page))
    assert f"Alterations agreed: {COUNTED}" in page.read_text("utf-8").replace("&#39;", "'")
    agreed.draw("pencils", "002", 30)
    agreed.ledger("enter", "pencils", "-m", "the flood")
    memo = tell(agreed.top, "memo", "pencils-1", "pencils-7").out
    assert COUNTED in memo and "- reopen-1 opened pages again (EA, p2): The flood is redrawn." in memo
    assert "not legal or contract advice" in memo  # T-196


def test_only_what_was_agreed_between_two_rounds_is_in_their_memo(tell: Tell, agreed: TypedBook) -> None:
    memo = tell(agreed.top, "memo", "pencils-2", "pencils-4").out
    assert "2 slips: 1 PE (printer's error) and 1 EA (editor's)." in memo and "reopening" not in memo


def test_no_money_anywhere(tell: Tell, agreed: TypedBook) -> None:
    """Who pays is between people (T-121 to T-123, T-126): a children's author's article quoting a contract's clause
    "Author's corrections", 2010. Alterations are counted, never charged."""
    said = [
        tell(agreed.top, *words).out
        for words in (["audit"], ["rounds"], ["status"], ["memo", "pencils-1", "pencils"], ["alter", "--help"])
    ]
    money = re.compile(r"allowance|charge[sd]? for|\bfee|\bcost|per ?cent of|invoice|[$€£]", re.IGNORECASE)
    assert [found.group() for text in said for found in money.finditer(text)] == []


def test_where_nothing_was_agreed_nothing_is_counted(tell: Tell, signed: TypedBook) -> None:
    assert tell(signed.top, "audit").out == "Nothing found: history holds what was agreed.\n"
    assert checked(tell(signed.top, "audit", "--json").out)["findings"] == []


@pytest.fixture
def touched(entered: TypedBook) -> TypedBook:
    """Pencils signed off for their drawing; page 1 was touched up after it, which git commit lets through."""
    entered.change("book.toml", 'locks = ["structure"]', 'locks = ["structure", "drawing"]')
    entered.git("commit", "-qam", "pencils close the drawing too")
    entered.ledger("lock", "pencils")
    place = entered.top / "art/pencils/p001.png"
    page = Image.open(place)
    page.paste(0, (30, 10, 33, 13))
    page.save(place)
    assert [f["rule"] for f in entered.ledger("check", "--json").document["findings"]] == ["touch-up"]
    return entered


def test_a_touched_up_page_can_be_admitted(tell: Tell, touched: TypedBook) -> None:
    """It goes through as a query, but it is not the picture that was signed off: a slip makes it so."""
    touched.git("add", "art")
    told = checked(tell(touched.top, "alter", "--reason", "a stray line", "--json").out)
    assert told["entry"] == "alteration-1"
    touched.git("commit", "-qm", "a stray line")
    assert tell(touched.top, "check").out == "Nothing found.\n"
    assert "Alterations agreed: 1 slip: 1 AA (author's)." in tell(touched.top, "audit").out


def test_a_round_of_it_takes_its_slip_along(tell: Tell, touched: TypedBook) -> None:
    said = tell(touched.top, "enter", "pencils", "--class", "EA", "--reason", "a stray line").out
    assert "alteration-1 admits the late change on page 1." in said and "touch-up" not in said


def test_what_deliver_asks_for_is_what_alter_does(tell: Tell, touched: TypedBook) -> None:
    """`deliver` names `alter --late` as the way out; it led nowhere."""
    tell(touched.top, "enter", "pencils", "-m", "a stray line")
    out = str(touched.top.parent / "out")
    done = checked(tell(touched.top, "deliver", "pencils", "--to", out, "--json", code=1).out)
    (found,) = [f for f in done["findings"] if f["level"] == "block"]
    assert (found["rule"], found["page"]) == ("not-as-signed", "1") and "alter --late --pages 1" in found["remedy"]
    tell(touched.top, "alter", "--late", "--pages", "1", "--reason", "a stray line")
    touched.git("commit", "-qm", "the slip")
    tell(touched.top, "deliver", "pencils", "--to", out)


def test_on_a_reopened_page_there_is_nothing_to_admit(tell: Tell, touched: TypedBook) -> None:
    """What is open needs no slip; the next sign-off closes it."""
    touched.ledger("reopen", "pencils", "--pages", "1", "--reason", "a stray line")
    touched.git("add", "art")
    assert "nothing was written" in tell(touched.top, "alter", "--reason", "a stray line", code=1).out


def test_a_late_change_that_is_recorded_already_is_pointed_to(tell: Tell, signed: TypedBook) -> None:
    signed.change("script/01.md", "N: Push.", "J: Push.")
    signed.git("commit", "-qam", "past the hooks", "--no-verify")
    said = " ".join(tell(signed.top, "alter", "--reason", "he is nearer", code=1).out.split())
    assert "A late change is recorded already. To admit that: inkledger alter --late" in said
    assert "recorded already" not in tell(signed.top, "alter", "--pages", "4", "--reason", "no", code=1).out
    tell(signed.top, "alter", "--late", "--reason", "he is nearer")
    signed.git("commit", "-qm", "the slip")
    assert "recorded already" not in tell(signed.top, "alter", "--reason", "again", code=1).out
