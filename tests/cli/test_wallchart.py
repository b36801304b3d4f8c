"""`inkledger wallchart`: every page of every drawn pass in one sign, and the same in words."""

from __future__ import annotations

from pathlib import Path

from tests.books import Book
from tests.cli.conftest import Tell
from tests.schema_check import checked
from tests.typed_book import TypedBook


def cells(tell: Tell, book: TypedBook, pass_name: str) -> dict[str, tuple[str, int]]:
    found = checked(tell(book.top, "wallchart", "--json").out)
    return {row["page"]: (row["cells"][pass_name]["state"], row["cells"][pass_name]["round"]) for row in found["pages"]}


def test_not_begun_entered_and_drawn_again(tell: Tell, entered: TypedBook) -> None:
    entered.draw("pencils", "002", 20)
    entered.ledger("enter", "pencils", "-m", "the key page again")
    assert cells(tell, entered, "pencils") == {
        "1": ("entered", 1), "2": ("entered", 2), "3": ("entered", 1), "4": ("entered", 1),
    }  # fmt: skip
    assert set(cells(tell, entered, "inks").values()) == {("none", 0)}
    said = tell(entered.top, "wallchart").out
    assert "pencils  1211\ninks     ....\nletters  ....\n" in said
    assert "pencils: 4 entered\ninks: 4 not begun\n" in said


def test_the_first_that_fits(tell: Tell, signed: TypedBook) -> None:
    """A page whose file is gone is missing, signed off or not; a stale one is stale before it is signed off."""
    assert set(cells(tell, signed, "pencils").values()) == {("locked", 1)}
    (signed.top / "art/pencils/p003.png").unlink()
    signed.change("script/01.md", "A door swollen with damp.", "A door, new, painted blue.")
    assert cells(tell, signed, "pencils") == {
        "1": ("locked", 1), "2": ("stale", 1), "3": ("missing", 1), "4": ("locked", 1),
    }  # fmt: skip
    said = tell(signed.top, "wallchart").out
    assert "pencils  #~!#\n" in said
    assert "pencils: 2 signed off, p2 stale, p3 was entered, its file is gone\n" in said
    assert "~ pencils p2 rests on script-1" in said


def test_reopened_pages_are_open(tell: Tell, signed: TypedBook) -> None:
    signed.ledger("reopen", "pencils", "--pages", "2-3", "--reason", "the far room")
    assert [state for state, _ in cells(tell, signed, "pencils").values()] == ["locked", "entered", "entered", "locked"]


def test_notes_that_wait_stand_at_their_pages(tell: Tell, entered: TypedBook) -> None:
    entered.write(
        "notes/marsh.md",
        "on: script-1\n\n- [ ] 1 (p2.1) Why damp?\n- [ ] 2 (p2) Too quick?\n- [x] 3 (p4) Good.\n- [ ] 4 Lovely.\n",
    )
    assert "notes    .2..\n" in tell(entered.top, "wallchart").out


def test_one_chapter(tell: Tell, entered: TypedBook) -> None:
    entered.change("script/01.md", "[page 3]\n", "# Chapter 2: Supper\n\n[page 3]\n")
    for chosen in ("2", "Chapter 2: Supper", "supper"):
        said = tell(entered.top, "wallchart", "--chapter", chosen).out
        assert said.startswith("The Ninth Supper: Chapter 2: Supper\n\n         3\npencils  11\n")
    assert "chapters in order: 1 to 2" in tell(entered.top, "wallchart", "--chapter", "7", code=2).err


def test_pages_that_went_by_another_number_keep_their_count(tell: Tell, entered: TypedBook) -> None:
    """A picture renamed from page 3 to page 4 is no second picture of page 4."""
    page = "[panel 1]\nNell looks into the lamp.\n\nN: Whose oil is that?"
    entered.change("script/01.md", "[page 3]\n", f"[page 3]\n{page}\n\n[page 4]\n")
    entered.change("script/01.md", "[page 4]\n[panel 1]\nThe tide", "[page 5]\n[panel 1]\nThe tide")
    entered.ledger("repage", "--apply")
    assert cells(tell, entered, "pencils") == {
        "1": ("entered", 1), "2": ("entered", 1), "3": ("none", 0), "4": ("entered", 1), "5": ("entered", 1),
    }  # fmt: skip


def test_a_spread_is_two_pages_and_a_long_book_goes_on_below(tell: Tell, tmp_path: Path) -> None:
    toml = '[book]\ntitle = "Long"\npages = 130\n\n[[pass]]\nname = "inks"\nfiles = "art/inks/p{page}.png"\n'
    book = Book.new(tmp_path / "long", {"book.toml": toml})
    said = tell(book.top, "wallchart").out
    assert [line for line in said.splitlines() if line.startswith("inks  ")] == [
        f"inks   {'.' * 60}", f"inks   {'.' * 60}", f"inks   {'.' * 10}",
    ]  # fmt: skip
    assert max(map(len, said.splitlines())) <= 80


def test_a_book_of_words_alone(tell: Tell, tmp_path: Path) -> None:
    book = Book.new(tmp_path / "words", {"book.toml": '[book]\ntitle = "Words"\npages = 3\n'})
    assert tell(book.top, "wallchart").out == "Words\n\nNo pass of this book is drawn.\n"


def test_as_a_page(tell: Tell, entered: TypedBook) -> None:
    before = entered.git("status", "--porcelain")
    for name, title in (("wallchart", "The Ninth Supper: wallchart"), ("spreads", "The Ninth Supper: openings")):
        out = entered.top.parent / f"{name}.html"
        tell(entered.top, name, "--out", str(out))
        page = out.read_text("utf-8")
        assert f"<title>{title}</title>" in page
        assert page.count("data:image/webp;base64,") == 4
        assert "name a file that ends in .html" in tell(entered.top, name, "--out", "chart.pdf", code=2).err
    assert entered.git("status", "--porcelain") == before
