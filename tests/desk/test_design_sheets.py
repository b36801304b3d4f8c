"""Pages drawn before a design sheet changed: who is on them, since when they stand, what lets them stand."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.judge.resting.design_sheets import pages_with
from ledger.model.book import Person
from ledger.read.script import read_script
from tests.schema_check import checked
from tests.typed_book import BOOK, TypedBook, typed_book

TOML = BOOK.replace('N = "Nell"', 'N = { name = "Nell", sheet = "designs/nell*" }')


@pytest.fixture(scope="module")
def _drawn(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Pencils and letters whole, with Nell's sheet recorded before them; she is on pages 1, 2 and 4."""
    book = typed_book(tmp_path_factory.mktemp("sheets") / "supper")
    book.write("book.toml", TOML)
    book.write("designs/nell.txt", "long hair\n")
    book.ledger("save", "-m", "Nell")
    for page in ("001", "002", "003", "004"):
        book.draw("pencils", page, int(page))
        book.draw("letters", page, int(page))
    for pass_name in ("script", "pencils", "letters"):
        book.ledger("enter", pass_name, "-m", "first")
    return book


@pytest.fixture
def supper(_drawn: TypedBook, tmp_path: Path) -> TypedBook:
    return _drawn.copied(tmp_path / "supper")


def pointers(book: TypedBook) -> list[tuple[str, str]]:
    """What to hold beside which sheet, and the command that lets it stand."""
    steps = checked(book.ledger("status", "--json").out)["next"]
    return [(each["what"], each["command"]) for each in steps if " beside " in each["what"]]


def test_a_changed_sheet_points_at_the_pages_drawn_before(supper: TypedBook) -> None:
    assert pointers(supper) == []
    (supper.top / "designs/nell.txt").touch()
    assert pointers(supper) == []
    supper.write("designs/nell.txt", "short hair\n")
    stands = 'inkledger enter pencils --pages 1-2,4 --stands -m "held beside the sheet"'
    wanted = [("Hold pencils pages 1-2,4 beside designs/nell.txt", stands)]
    assert pointers(supper) == wanted
    supper.ledger("save", "-m", "Nell has her hair cut")
    assert pointers(supper) == wanted
    said = supper.ledger("status").out
    assert "Design sheets changed (a pointer, no verdict)\n" in said
    assert "designs/nell.txt: pencils p1-2,4, entered before that, have Nell in" in " ".join(said.split())
    assert max(map(len, said.splitlines()[3:])) <= 80
    found = checked(supper.ledger("status", "--json").out)
    assert [each for each in found["findings"] if "sheet" in each["message"]] == []


def test_a_page_drawn_anew_or_looked_at_is_no_longer_named(supper: TypedBook) -> None:
    supper.write("designs/nell.txt", "short hair\n")
    supper.ledger("save", "-m", "Nell has her hair cut")
    supper.draw("pencils", "002", 17)
    supper.ledger("enter", "pencils", "--pages", "2", "-m", "short hair")
    assert [what for what, _ in pointers(supper)] == ["Hold pencils pages 1,4 beside designs/nell.txt"]
    supper.ledger("enter", "pencils", "--pages", "1", "--stands", "-m", "she wears a hood")
    assert [what for what, _ in pointers(supper)] == ["Hold pencils page 4 beside designs/nell.txt"]


def test_a_picture_keeps_its_day_under_another_page_number(supper: TypedBook) -> None:
    supper.change("script/01.md", "[page 3]\n", "[page 3]\n[panel 1]\nThe lamp.\n\n[page 4]\n")
    supper.ledger("enter", "script", "-m", "a page more")
    supper.write("designs/nell.txt", "short hair\n")
    supper.ledger("save", "-m", "Nell has her hair cut")
    supper.ledger("repage", "--apply")
    assert [what for what, _ in pointers(supper)] == ["Hold pencils pages 1-2,5 beside designs/nell.txt"]


def test_a_further_file_of_the_sheet_and_a_first_one(supper: TypedBook) -> None:
    supper.write("designs/nell-scar.txt", "left cheek\n")
    assert [what for what, _ in pointers(supper)] == ["Hold pencils pages 1-2,4 beside designs/nell-scar.txt"]
    supper.write("book.toml", TOML.replace('also = ["JOREN"]', 'also = ["JOREN"], sheet = "designs/joren.txt"'))
    supper.write("designs/joren.txt", "a beard\n")
    assert len(pointers(supper)) == 1


def test_a_sheet_under_another_name_and_one_that_is_gone(supper: TypedBook) -> None:
    (supper.top / "designs/nell.txt").rename(supper.top / "designs/nell-2.txt")
    assert pointers(supper) == []
    supper.ledger("save", "-m", "another name")
    assert pointers(supper) == []
    supper.write("designs/nell-2.txt", "short hair\n")
    assert [what for what, _ in pointers(supper)] == ["Hold pencils pages 1-2,4 beside designs/nell-2.txt"]
    (supper.top / "designs/nell-2.txt").unlink()
    assert [what for what, _ in pointers(supper)] == ["Hold pencils pages 1-2,4 beside designs/nell.txt"]


def test_names_with_blanks_and_a_book_without_its_tags(supper: TypedBook) -> None:
    supper.write("designs/nell at sea.txt", "oilskins\n")
    supper.ledger("save", "-m", "Nell at sea")
    supper.draw("pencils", "004", 19)
    supper.ledger("enter", "pencils", "-m", "page 4 in oilskins")
    supper.write("designs/nell at sea.txt", "oilskins, torn\n")
    # Pages 1 and 2 were drawn before there was this file of the sheet at all.
    assert [what for what, _ in pointers(supper)] == ["Hold pencils pages 1-2,4 beside designs/nell at sea.txt"]
    supper.git("tag", "-d", "pass/pencils/1")
    assert [what for what, _ in pointers(supper)] == ["Hold pencils page 4 beside designs/nell at sea.txt"]


def test_who_is_on_a_page() -> None:
    script = """\
[page 1]
[panel 1]
NELL waits. A nellipot boils.

[page 2]
J: Nell?

[page 3]
N & J: Here.

[page 4]
Old Jo counts nets.

[page 5]
ALL: Supper!
"""
    nell, joren = Person("N", "Nell"), Person("J", "Joren Pike", ("Old Jo",))
    draft = read_script([("script/01.md", script.encode())], (nell, joren))
    assert pages_with(draft, nell) == {"1", "3"}
    assert pages_with(draft, joren) == {"2", "3", "4"}
