"""`inkledger page`: the life of a page through other numbers, drawings, sign-offs, slips and notes."""

from __future__ import annotations

import pytest

from ledger.model.entry import Alteration, Lock
from tests.books import Book
from tests.cli.conftest import Tell
from tests.desk.salt_lantern import SECOND, WHEN, entered, page, recorded
from tests.schema_check import checked
from tests.typed_book import TypedBook

BY = {"date": WHEN, "by": "Ada Quill <ada@quill.example>"}


def told(text: str) -> str:
    """What was said, unwrapped."""
    return " ".join(text.split())


def document(tell: Tell, book: Book, label: str) -> dict:
    return checked(tell(book.top, "page", label, "--json").out)


def test_a_page_under_its_older_number(tell: Tell, lantern: Book) -> None:
    text = tell(lantern.top, "page", "4").out
    assert text.startswith("The Salt Lantern: page 4 (page 3 in script-1)\n")
    assert "  script-1 (2 Mar 2026) p3: came in with 1 panel.\n" in text
    assert "  script-2 (2 Mar 2026) p4: the same page under another number, p3 before.\n" in text
    assert "inks-1, pages 1-3, was entered by Ada Quill: all inked. Made from script-1. The first picture of the page."\
        " It was page 3 then." in told(text)  # fmt: skip
    found = document(tell, lantern, "4")
    assert [state["page"] for state in found["states"]] == ["3", "4", "4"]
    assert [(e["name"], e["page"], e["picture"]) for e in found["entries"]] == [("inks-1", "3", "first")]


def test_a_new_page_was_never_drawn(tell: Tell, lantern: Book) -> None:
    text = tell(lantern.top, "page", "3").out
    assert "script-2 (2 Mar 2026) p3: came in with 1 panel." in text
    assert "inks-1" not in text
    assert "Nothing entered of it yet: inks." in text


def test_what_changed_on_it_and_its_script_then_and_now(tell: Tell, lantern: Book) -> None:
    text = tell(lantern.top, "page", "1").out
    assert "      p1.1  Tomas Arde's line, now Wren's: It was.\n" in text
    then, now = text.split("The script now")
    assert "The script then (script-1, p1)\n   1  Wren shoulders the door open. Paper everywhere.\n" in then
    assert "      Tomas Arde: It was.\n" in then
    assert "      Wren: It was.\n" in now
    assert "The script then" not in tell(lantern.top, "page", "2").out


def test_a_page_that_was_cut_goes_by_its_last_number(tell: Tell, lantern: Book) -> None:
    lantern.write({"script/01.md": SECOND.partition("\n## The stairs")[0]})
    text = tell(lantern.top, "page", "4").out
    assert "  your files now p4: cut.\n" in text
    assert "The script in script-2\n" in text
    found = document(tell, lantern, "4")
    assert (found["gone"], [turn["kind"] for turn in found["turns"]]) == (True, ["added", "moved", "cut"])


def test_drawings_sign_offs_and_slips_in_order(tell: Tell, lantern: Book) -> None:
    ids = {path: oid for path, oid in lantern.staged().items() if path.startswith("art/")}
    lock = Lock(path="ledger/lock-inks-1.toml", pass_name="inks", number=1, pages="1-2", files=ids,
                scopes=("structure", "drawing"), **BY)  # fmt: skip
    recorded(lantern, lock)
    lantern.write({"art/inks/p002.png": page(9)})
    lantern.commit("page 2 again")
    slip = Alteration(path="ledger/alteration-1.toml", number=1, pages="2", reason="the lamp must be lit",
                      scopes=("drawing",), passes=("inks",), files={}, **BY)  # fmt: skip
    recorded(lantern, slip)
    entered(lantern, "inks", 2, pages="2", basis={"script": "script-2"}, message="page 2 again")
    entered(lantern, "inks", 3, pages="1-2", basis={"script": "script-2"}, message="both looked at")
    found = document(tell, lantern, "2")
    assert [(e["name"], e["picture"]) for e in found["entries"]] == [
        ("inks-1", "first"), ("lock-inks-1", None), ("alteration-1", None), ("inks-2", "another"), ("inks-3", "same"),
    ]  # fmt: skip
    assert [e["name"] for e in document(tell, lantern, "1")["entries"]] == ["inks-1", "lock-inks-1", "inks-3"]
    text = told(tell(lantern.top, "page", "2").out)
    assert "alteration-1 admitted a late change on page 2, drawing, AA (author's): the lamp must be lit." in text


def test_notes_made_on_it_under_its_older_number(tell: Tell, lantern: Book) -> None:
    lantern.write({
        "notes/marsh.md": "# Marsh\nfrom: E. Marsh\non: script-1\n\n- [ ] 1 (p3.1) Why the lamp?\n- [ ] 2 (p2) Four?\n"
        '- [ ] 3 (scene "The stairs") Too wet?\n',
        "notes/osk.md": "# Osk\nfrom: H. Osk\non: inks-1\n\n- [ ] 1 (p3) Too dark.\n- [ ] 2 (p2) Good.\n",
    })  # fmt: skip
    assert [n["id"] for n in document(tell, lantern, "4")["notes"]] == ["marsh/1", "marsh/3", "osk/1"]
    assert [n["id"] for n in document(tell, lantern, "3")["notes"]] == []
    text = tell(lantern.top, "page", "4").out
    assert "  marsh/1, open, p3.1 → p4.1: the same under another number\n    Why the lamp?\n" in text


def test_a_slip_of_the_script_is_told_with_its_page(signed: TypedBook) -> None:
    signed.change("script/01.md", "N: Push.\n", "N: Push.\nJ: After you.\n")
    signed.git("add", "script")
    signed.ledger("alter", "--reason", "he must be in the room", "--class", "EA")
    signed.git("commit", "-q", "-m", "a late line")
    text = told(signed.ledger("page", "2").out)
    assert "p2: changed: p2.1 new: Joren Pike: After you. EA (editor's): he must be in the room." in text
    assert "alteration-1" not in signed.ledger("page", "3").out


def test_a_spread_is_met_by_either_half(tell: Tell, lantern: Book) -> None:
    lantern.write({"script/01.md": SECOND.replace("[page 4]", "[page 4-5]")})
    assert "the spread 4-5 (page 3 in script-1; page 4 in script-2)" in tell(lantern.top, "page", "5").out


@pytest.mark.parametrize(
    ("label", "says", "remedy"),
    [
        ("twelve", "'twelve' is no page", "write it as 12, 24-25, f1 or cover"),
        ("99", "nothing is known here of page 99", "its script has pages 1 to 4"),
        ("cover", "nothing is known here of the cover", "its script has pages 1 to 4"),
    ],
)
def test_no_such_page(tell: Tell, lantern: Book, label: str, says: str, remedy: str) -> None:
    said = tell(lantern.top, "page", label, code=2)
    assert says in said.err
    assert remedy in said.err


def test_a_page_that_is_drawn_only(tell: Tell, lantern: Book) -> None:
    lantern.write({"art/inks/cover.png": page(4)})
    (lantern.top / "art/inks/cover.png").rename(lantern.top / "art/inks/pcover.png")
    lantern.write({"book.toml": lantern.read("book.toml").replace(b"p{page}.png", b"{page}.png")})
    (lantern.top / "art/inks/pcover.png").rename(lantern.top / "art/inks/cover.png")
    lantern.commit("a cover")
    entered(lantern, "inks", 2, pages="cover", basis={"script": "script-2"}, message="the cover")
    text = tell(lantern.top, "page", "cover").out
    assert "The script has no page of this name." in text
    assert "inks-2, the cover, was entered" in told(text)


def test_it_is_written_as_a_page(tell: Tell, lantern: Book) -> None:
    said = tell(lantern.top, "page", "4", "--out", "page.html")
    assert told(said.out) == "The life of page 4 is in page.html."
    html = lantern.read("page.html").decode()
    assert "<title>The Salt Lantern: the life of page 4</title>" in html
    assert "It was <bdi>page 3 in script-1</bdi>." in html
    assert html.count("<img ") == 1
    document = checked(tell(lantern.top, "page", "4", "--out", "page.html", "--json").out)
    assert (document["done"], document["paths"]) == (True, ["page.html"])


def test_it_is_a_page_or_nothing(tell: Tell, lantern: Book) -> None:
    said = tell(lantern.top, "page", "1", "--out", "page.pdf", code=2)
    assert "written as HTML" in said.err
    assert not (lantern.top / "page.pdf").exists()


def test_what_of_it_is_stale_and_what_closes_it(tell: Tell, lantern: Book) -> None:
    lantern.write({"art/inks/p001.png": page(9)})
    tell(lantern.top, "enter", "inks", "-m", "page one")
    tell(lantern.top, "lock", "inks", "--pages", "1")
    lantern.write({"script/01.md": SECOND.replace("Paper everywhere.", "The lamp is out.")})
    text = tell(lantern.top, "page", "1").out
    assert "Signed off: inks for structure and drawing (lock-inks-1).\n" in text
    stale = "inks rests on script-2, changed since (in no round yet): the action of panel 1 is rewritten"
    assert f"Stale: {stale}." in told(text)
    assert [(each["rule"], each["page"]) for each in document(tell, lantern, "1")["findings"]] == [("page-stale", "1")]
    assert "Stale" not in tell(lantern.top, "page", "2").out
    tell(lantern.top, "reopen", "inks", "--pages", "1", "--reason", "the lamp")
    assert "Signed off" not in tell(lantern.top, "page", "1").out


def test_every_row_fits_the_terminal_in_any_locale(entered: TypedBook) -> None:
    entered.change("script/01.md", "N: Push.", "N: Push. " + "\u00c9t\u00e9, and wide " * 20)
    text = entered.ledger("page", "2", env={"LC_ALL": "C", "COLUMNS": "80"}).out
    assert "\u00c9t\u00e9" in text
    assert max(map(len, text.splitlines())) <= 80
