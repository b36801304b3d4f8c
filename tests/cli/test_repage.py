"""`repage`: the rename plan, chains and rings of names, spreads, what is set aside, sign-offs in the way."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest

from tests.cli.conftest import Tell
from tests.desk.arithmetic.test_weighing import TOML, labels, old_order, script, words
from tests.schema_check import checked
from tests.typed_book import TypedBook

Order = list[tuple[str, tuple[int, ...]]]
NEW = (words(1000), (900,))


@pytest.fixture(scope="module")
def _drawn(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    """Pencils whole, inks to page 6, nothing signed off."""
    book = TypedBook(tmp_path_factory.mktemp("repaged") / "weir")
    book.write("book.toml", TOML)
    book.ledger("init", "--yes")
    book.write("script/01.md", script(old_order()))
    book.ledger("enter", "script", "-m", "first draft")
    for old in labels():
        book.draw("pencils", "-".join(f"{n:03}" for n in old), old[0])
        if old[0] <= 6:
            book.draw("inks", "-".join(f"{n:03}" for n in old), old[0] + 30)
    book.ledger("enter", "pencils", "-m", "whole")
    book.ledger("enter", "inks", "-m", "to page 6")
    return book


@pytest.fixture
def weir(_drawn: TypedBook, tmp_path: Path) -> TypedBook:
    return _drawn.copied(tmp_path / "weir")


def pictures(book: TypedBook, pass_name: str) -> dict[str, str]:
    """File name -> what it holds."""
    folder = book.top / "art" / pass_name
    return {
        str(path.relative_to(folder)): sha256(path.read_bytes()).hexdigest() for path in sorted(folder.rglob("*.png"))
    }


def plan(tell: Tell, book: TypedBook, *words: str, code: int = 0) -> list[tuple[str, str | None]]:
    said = checked(tell(book.top, "repage", "--json", *words, code=code).out)
    return [(each["from"], each["to"]) for each in said["moves"]]


def with_page_after(page: int) -> Order:
    return [each for told, old in old_order() for each in ([(told, old), NEW] if old[-1] == page else [(told, old)])]


def test_a_page_more_moves_every_picture_behind_it(tell: Tell, weir: TypedBook) -> None:
    before = pictures(weir, "pencils")
    weir.write("script/01.md", script(with_page_after(3)))
    assert plan(tell, weir)[:3] == [("4-5", "5-6"), ("6", "7"), ("7", "8")]
    assert pictures(weir, "pencils") == before
    done = checked(tell(weir.top, "repage", "--apply", "--json").out)
    assert done["applied"] is True
    after = pictures(weir, "pencils")
    assert after["p005-006.png"] == before["p004-005.png"]
    assert after["p015.png"] == before["p014.png"]
    assert "p004.png" not in after
    assert len(after) == len(before)
    assert weir.git("status", "--porcelain").split() == ["M", "script/01.md"]
    assert plan(tell, weir) == []
    assert "Nothing to rename" in tell(weir.top, "repage", "--apply").out


def test_undo_gives_the_names_back(tell: Tell, weir: TypedBook) -> None:
    before = {name: pictures(weir, name) for name in ("pencils", "inks")}
    weir.write("script/01.md", script(with_page_after(3)))
    tell(weir.top, "repage", "--apply")
    weir.draw("pencils", "007", 77)
    now = pictures(weir, "pencils")["p007.png"]
    assert "have the names again" in tell(weir.top, "undo").out
    assert pictures(weir, "inks") == before["inks"]
    assert pictures(weir, "pencils") == before["pencils"] | {"p006.png": now}
    assert weir.git("status", "--porcelain").splitlines() == [" M art/pencils/p006.png", " M script/01.md"]


def test_names_stay_where_one_of_them_is_taken(tell: Tell, weir: TypedBook) -> None:
    weir.write("script/01.md", script(with_page_after(3)))
    tell(weir.top, "repage", "--apply")
    weir.draw("pencils", "004-005", 77)
    now = pictures(weir, "pencils")
    said = tell(weir.top, "undo").out
    assert "left as they are" in said and "art/pencils/p005-006.png" in said
    assert pictures(weir, "pencils") == now


def test_history_follows_and_nothing_gets_stale(tell: Tell, weir: TypedBook) -> None:
    weir.write("script/01.md", script(with_page_after(3)))
    tell(weir.top, "repage", "--apply")
    told = weir.git("log", "--follow", "--format=%s", "--", "art/inks/p007.png").splitlines()
    assert told == ["repage: 4-14 become 5-15", "inks-1: to page 6"]
    assert "rename art/inks/{p006.png => p007.png}" in weir.git("show", "--summary", "--find-renames=100%")
    assert "page-stale" not in tell(weir.top, "check").out
    tell(weir.top, "enter", "script", "-m", "a page more")
    assert "page-stale" not in tell(weir.top, "check").out
    assert (weir.top / "memos/pencils-2.md").read_text("utf-8").startswith("# pencils-2\n\nPages were renumbered")


def test_a_page_that_changed_as_well_stays_stale(tell: Tell, weir: TypedBook) -> None:
    order = [(f"It rains. {told}" if old == (6,) else told, old) for told, old in with_page_after(3)]
    weir.write("script/01.md", script(order))
    tell(weir.top, "repage", "--apply")
    stale = [
        (each["path"], each["page"])
        for each in checked(tell(weir.top, "check", "--json").out)["findings"]
        if each["rule"] == "page-stale" and each["page"]
    ]
    assert stale == [("art/inks/p007.png", "7"), ("art/pencils/p007.png", "7")]


def test_the_picture_of_a_cut_page_is_set_aside(tell: Tell, weir: TypedBook) -> None:
    before = pictures(weir, "inks")
    weir.write("script/01.md", script([each for each in old_order() if each[1] != (2,)]))
    assert plan(tell, weir, "--apply")[:2] == [("2", None), ("3", "2")]
    after = pictures(weir, "inks")
    assert after["set-aside/p002.png"] == before["p002.png"]
    assert after["p002.png"] == before["p003.png"]
    # The page that is now the second is cut as well: the first picture set aside stays what it is.
    tell(weir.top, "enter", "script", "-m", "without the second page")
    weir.write("script/01.md", script([each for each in old_order() if each[1] not in ((2,), (3,))]))
    plan(tell, weir, "--apply")
    last = pictures(weir, "inks")
    assert last["set-aside/p002.png"] == before["p002.png"]
    assert last["set-aside/p002-2.png"] == before["p003.png"]


def test_a_ring_of_names(tell: Tell, weir: TypedBook) -> None:
    """Page 1 goes behind page 3: 1 becomes 3, 2 becomes 1, 3 becomes 2."""
    before = pictures(weir, "pencils")
    first, second, third, *rest = old_order()
    weir.write("script/01.md", script([second, third, first, *rest]))
    assert plan(tell, weir, "--apply") == [("1", "3"), ("2", "1"), ("3", "2")]
    after = pictures(weir, "pencils")
    assert [after[f"p00{n}.png"] for n in (1, 2, 3)] == [before[f"p00{n}.png"] for n in (2, 3, 1)]
    assert not list(weir.top.rglob(".inkledger-*"))


def test_a_picture_drawn_anew_has_to_be_recorded_first(tell: Tell, weir: TypedBook) -> None:
    weir.write("script/01.md", script(with_page_after(3)))
    weir.draw("inks", "006", 77)
    before = pictures(weir, "inks")
    said = tell(weir.top, "repage", "--apply", code=2).err
    assert "art/inks/p006.png: this export is not recorded as it is now" in said
    assert pictures(weir, "inks") == before
    tell(weir.top, "enter", "inks", "--pages", "6", "-m", "redrawn")
    tell(weir.top, "repage", "--apply")
    assert pictures(weir, "inks")["p007.png"] == before["p006.png"]


def test_a_stranger_in_the_way(tell: Tell, weir: TypedBook) -> None:
    weir.write("script/01.md", script(with_page_after(3)))
    weir.draw("pencils", "015", 88)
    weir.draw("pencils", "15", 89)
    assert "page 15 of pencils would be both" in tell(weir.top, "repage", code=2).err


def test_names_are_padded_to_the_highest_page(tell: Tell, weir: TypedBook) -> None:
    toml = TOML.replace("art/letters", "art/proofs").replace('"letters"', '"proofs"')
    weir.write("book.toml", toml)
    for page in (1, 2, 9):
        weir.draw("proofs", str(page), page)
    weir.ledger("enter", "proofs", "-m", "three proofs")
    assert [each for each in plan(tell, weir) if each[0] in ("1", "2", "9")] == [("1", "1"), ("2", "2"), ("9", "9")]
    plan(tell, weir, "--apply")
    assert list(pictures(weir, "proofs")) == ["p01.png", "p02.png", "p09.png"]


@pytest.fixture
def signed(weir: TypedBook) -> Iterator[TypedBook]:
    weir.ledger("lock", "inks", "-m", "signed off")
    weir.write("script/01.md", script(with_page_after(3)))
    yield weir


def test_under_a_sign_off_it_wants_its_slip(tell: Tell, signed: TypedBook) -> None:
    before = pictures(signed, "inks")
    said = tell(signed.top, "repage", "--apply", code=1).out
    assert "Nothing was renamed: signed-off pages would change." in said
    assert 'inkledger repage --apply --class AA --reason "..."' in said
    assert pictures(signed, "inks") == before
    said = tell(signed.top, "repage", "--apply", "--class", "EA", "--reason", "the lamp needs a page").out
    assert "alteration-1 admits it" in said
    assert pictures(signed, "inks")["p007.png"] == before["p006.png"]
    assert not [
        f for f in checked(tell(signed.top, "audit", "--json", code=None).out)["findings"] if f["level"] == "block"
    ]


def test_reopened_pages_need_no_slip(tell: Tell, signed: TypedBook) -> None:
    tell(signed.top, "reopen", "inks", "--pages", "1-15", "--reason", "a page more")
    assert plan(tell, signed, "--apply")
    assert not list((signed.top / "ledger").glob("alteration-*"))


def test_wrong_use(tell: Tell, weir: TypedBook) -> None:
    assert "--class and --reason go with --apply" in tell(weir.top, "repage", "--reason", "why", code=2).err
    assert "--class goes with --reason" in tell(weir.top, "repage", "--apply", "--class", "AA", code=2).err
    weir.write("script/01.md", "## Weir\n\nRain.\n")
    assert "the script has no page marks" in tell(weir.top, "repage").out
