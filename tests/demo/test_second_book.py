"""The same way with another book: another title, cast and reading direction, typed here."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest

from tests.typed_book import TypedBook
from tests.usual_passes import usual_passes

BOOK = """\
[book]
title = "Nine Kites for Ossu"
reading = "rtl"
pages = 3

[page]
trim_mm = [50.8, 76.2]
bleed_mm = 0
ppi = 25

[cast]
Y = { name = "Yevka Sorn", also = ["Yevka"] }
D = "Dov"
""" + usual_passes("script", "pencils")

DRAFT = """\
# One: The roof

## Paper and glue

[page 1]
[panel 1]
Yevka on a flat roof, knotting a tail of rags to the ninth kite.

Y: Eight of them flew. This one only has to be seen.
D: By whom? There is nobody left on that side.

[panel 2]
Dov weighs a stone in his hand and puts it on the paper.

D: Then it is the wind you want, not the string.

[page 2]
[panel 1]
The string runs out over the wall.

Y: Hold this and do not look up.

## The other roof

[page 3]
[panel 1]
A hand on the far roof, and a kite going up from it.

SFX: FLAP
D: Somebody answered.
"""

OLD = DRAFT.replace("the ninth kite", "a kite").replace("D: Somebody answered.\n", "D: Look.\n")


@pytest.fixture(scope="module")
def signed_off(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Two old drafts brought in, a draft entered, rewritten and entered again, pencilled and signed off."""
    book = TypedBook(tmp_path_factory.mktemp("second") / "kites")
    book.top.mkdir()
    book.write("book.toml", BOOK)
    book.ledger("init", "--yes")
    old = book.top.parent / "attic"
    old.mkdir()
    (old / "first.md").write_text(OLD, "utf-8")
    (old / "second.txt").write_text(OLD.replace("a kite going up", "a kite rising"), "utf-8")
    book.write("script/01.md", DRAFT)
    for name, day in (("first.md", "2025-05-02"), ("second.txt", "2025-07-11")):
        book.ledger("enter", "script", "--from", str(old / name), "--date", day)
    book.ledger("enter", "script", "-m", "typed again from memory")
    book.change("script/01.md", "Y: Hold this and do not look up.", "D: Hold this and do not look up.")
    book.change("script/01.md", "This one only has to be seen.", "This one has to be seen.")
    book.ledger("enter", "script", "-m", "Dov says it now")
    for page in (1, 2, 3):
        book.draw("pencils", f"{page:03}", page * 5)
    book.ledger("enter", "pencils", "-m", "all three")
    book.ledger("lock", "pencils")
    return book


@pytest.fixture
def kites(signed_off: TypedBook, tmp_path: Path) -> TypedBook:
    return signed_off.copied(tmp_path / "kites")


def test_old_drafts_are_past_rounds(kites: TypedBook) -> None:
    entries = [tomllib.loads((kites.top / f"ledger/script-{n}.toml").read_text("utf-8")) for n in (1, 2)]
    assert [entry["dated"] for entry in entries] == ["stated", "stated"]
    assert [entry["date"] for entry in entries] == [date(2025, 5, 2), date(2025, 7, 11)]
    found = kites.ledger("compare", "script-1", "script-3", "--json").document
    assert [scene["kind"] for scene in found["scenes"] if scene["kind"] != "kept"] == ["polished", "polished"]


def test_what_changed_is_told_by_name(kites: TypedBook) -> None:
    found = kites.ledger("compare", "script-3", "script-4", "--json").document
    lines = [line for scene in found["scenes"] for line in scene["lines"]]
    given = [line for line in lines if line["kind"] == "reassigned"]
    assert [(line["old"]["speaker"], line["new"]["speaker"]) for line in given] == [("Yevka Sorn", "Dov")]
    assert "Hold this and do not look up." in kites.ledger("memo", "script-3", "script-4").out


def test_a_late_edit_is_refused_then_admitted_by_a_slip(kites: TypedBook) -> None:
    kites.change("script/01.md", "D: Somebody answered.", "Y: Somebody answered.")
    kites.git("add", "script/01.md")
    refused = kites.git("commit", "-m", "late", code=1)
    for words in ("speaker-changed", "Dov", "Yevka Sorn", "inkledger alter --reason"):
        assert words in refused
    kites.ledger("alter", "--reason", "she has waited longer", "--class", "AA")
    kites.git("commit", "-m", "Let Yevka see it first")
    assert (kites.top / "ledger/alteration-1.toml").exists()
    assert kites.ledger("audit", "--json").document["ok"] is True
    assert not kites.git("status", "--porcelain")


def test_words_are_free_where_only_the_structure_is_closed(kites: TypedBook) -> None:
    kites.change("script/01.md", "D: Somebody answered.", "D: Somebody answered us.")
    kites.git("commit", "-a", "-m", "polish")


def test_an_entry_is_taken_back(kites: TypedBook) -> None:
    before = kites.git("rev-parse", "HEAD")
    kites.change("script/01.md", "By whom?", "By whom, though?")
    kites.ledger("enter", "script", "-m", "too soon")
    assert kites.git("tag", "-l", "pass/script/5").strip() == "pass/script/5"
    kites.ledger("undo")
    assert kites.git("rev-parse", "HEAD") == before
    assert not kites.git("tag", "-l", "pass/script/5")
    assert "By whom, though?" in (kites.top / "script/01.md").read_text("utf-8")
