"""Where the book stands and what its entries are about, of a small real book and of one with odd entries."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from ledger.desk.history.rounds import about_page, about_pass, in_order, rounds
from ledger.desk.memos import memo
from ledger.desk.opening import open_book
from ledger.desk.standing import standing, story_pages
from ledger.model.book import Pass
from ledger.model.entry import Alteration, Delivery, Entry, Handoff, Lock, Reopen, Round
from ledger.model.errors import Refusal
from ledger.model.stale import Stale
from ledger.model.standing import PassStanding, Standing
from tests.books import Book
from tests.desk.salt_lantern import SECOND, TOML, WHEN, entered, page, recorded, salt_lantern

BY = {"date": WHEN, "by": "Ada Quill <ada@quill.example>"}
INKS = Pass("inks", "art", ("art/inks/p{page}.png",), comes_from=("script",))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return salt_lantern(tmp_path_factory.mktemp("standing") / "book")


@pytest.fixture
def book(made: Book, tmp_path: Path) -> Book:
    shutil.copytree(made.top, tmp_path / "book", symlinks=True)
    return Book(tmp_path / "book")


def of(book: Book, name: str) -> PassStanding:
    return next(each for each in standing(book.top).passes if each.name == name)


def handoff(number: int, **more: Any) -> Handoff:
    return Handoff(
        path=f"ledger/handoff-{number}.toml", number=number, pass_name="inks", **{"to": "Ines", **BY, **more}
    )


def a_round(name: str = "inks", number: int = 1, **more: Any) -> Round:
    return Round(path=f"ledger/{name}-{number}.toml", number=number, pass_name=name, **{**BY, **more})


# -- status


@pytest.mark.parametrize(
    ("path", "content", "changed"),
    [
        ("art/inks/p001.png", page(9), 1),
        ("art/inks/p004.png", page(4), 1),
        ("art/inks/p002.png", None, 1),
        ("art/inks/notes.txt", b"x", 0),
        ("art/inks/p001.png", page(1), 0),
    ],
)
def test_files_changed_new_and_gone_are_counted(book: Book, path: str, content: bytes | None, changed: int) -> None:
    if content is None:
        (book.top / path).unlink()
    else:
        book.write({path: content})
    assert of(book, "inks").changed == changed


def test_a_spread_is_two_pages_entered(book: Book) -> None:
    (book.top / "art/inks/p001.png").unlink()
    (book.top / "art/inks/p002.png").unlink()
    book.write({"art/inks/p001-002.png": page(7), "art/inks/f001.png": page(8)})
    book.commit("a spread")
    entered(book, "inks", 2)
    pages = of(book, "inks").pages
    assert pages is not None and (pages.entered, pages.total) == (3, 4)


def test_pages_are_the_scripts_own_once_it_has_marks(book: Book) -> None:
    assert story_pages(open_book(book.top).working) == 4
    book.write({"script/01.md": SECOND.replace("[page 2]", "[page 2]\n[omitted]")})
    assert story_pages(open_book(book.top).working) == 3
    book.write({"script/01.md": "# One\n\nW: No marks.\n"})
    assert story_pages(open_book(book.top).working) == 3, "what book.toml says"
    book.write({"script/01.md": "[pages 2-3]\n\nW: Wide.\n"})
    assert story_pages(open_book(book.top).working) == 2


def test_what_is_away_until_it_comes_back(book: Book) -> None:
    for entry in (
        handoff(1, pages="1"),
        handoff(2, pages="2", to="Bo"),
        handoff(3, packet=True),
        handoff(4, returns=1),
    ):
        recorded(book, entry)
    assert [(each.entry, each.to, each.pages) for each in standing(book.top).away] == [("handoff-2", "Bo", "2")]


def test_pages_rest_on_what_their_round_was_made_from(book: Book) -> None:
    assert standing(book.top).stale == Stale()
    recorded(book, a_round(number=2, pages="1", files=a_files(book), made_from={"1": {"script": "0-0"}}))
    found = standing(book.top)
    assert found.stale.labels("inks") == ("1",)
    assert [(each.rule, each.path, each.page) for each in found.findings] == [
        ("page-stale", found.stale.pages[0].path, "1")
    ]


def a_files(book: Book) -> dict[str, str]:
    return {path: oid for path, oid in book.staged().items() if path.startswith("art/inks/")}


@pytest.mark.parametrize("label", ["²", "1-x", "", "x", "1-99999999999", "9" * 5000, "0-0", "\u202e1"])
def test_an_entry_about_a_page_that_is_none_stops_nothing(book: Book, label: str) -> None:
    """Entries come from other people's repositories too; `page` is typed there by nobody."""
    recorded(book, a_round(number=2, files=a_files(book), made_from={"1": {"script": "0-0"}}))
    said = book.read("ledger/inks-2.toml").decode()
    book.write({"ledger/inks-2.toml": said.replace('"1" = {', f'"{label}" = {{')})
    found: Standing = standing(book.top)
    assert [each.round for each in found.passes] == [None, 2, 2]
    assert "The Salt Lantern" in memo(book.top, ["script-1", "script-2"])


@pytest.mark.parametrize(
    "name", ["ledger/script-²·.toml", "ledger/script-².toml", "ledger/script-0.toml", "ledger/-1.toml"]
)
def test_a_file_that_is_nearly_an_entry_stops_nothing(book: Book, name: str) -> None:
    book.write({name: "entry = 'pass'\n"})
    assert of(book, "script").round == 2


@pytest.mark.parametrize("on", ["script-²", "script-99", "nothing", "-1", "script-"])
def test_notes_on_a_round_that_is_none_are_still_told(book: Book, on: str) -> None:
    book.write({"notes/marsh.md": f"# Marsh\nfrom: E. Marsh\non: {on}\n\n- [ ] 1 (p3) Too dark?\n"})
    assert standing(book.top).notes == {"open": 1}
    assert memo(book.top, ["script-1", "script-2"])


# -- rounds


@pytest.mark.parametrize(
    ("entry", "about"),
    [
        (a_round(), True),
        (a_round("inks-wash"), False),
        (a_round("script"), False),
        (Lock(path="ledger/lock-inks-1.toml", number=1, pass_name="inks", scopes=(), **BY), True),
        (handoff(1), True),
        (Delivery(path="ledger/delivery-1.toml", number=1, passes=("letters", "inks"), **BY), True),
        (Delivery(path="ledger/delivery-1.toml", number=1, passes=("letters",), **BY), False),
        (
            Alteration(
                path="ledger/alteration-1.toml", number=1, passes=("script",), files={"art/inks/p001.png": ""}, **BY
            ),
            True,
        ),
        (Alteration(path="ledger/alteration-1.toml", number=1, files={"script/01.md": ""}, **BY), False),
        (Reopen(path="ledger/reopen-1.toml", number=1, passes=("inks",), **BY), True),
    ],
)
def test_what_concerns_a_pass(entry: Entry, about: bool) -> None:
    assert about_pass(entry, INKS) is about


@pytest.mark.parametrize(
    ("pages", "label", "about"),
    [
        (None, "7", True),
        ("1-3", "2", True),
        ("1-3", "4", False),
        ("2", "2-3", True),
        ("1-3", "cover", False),
        ("nonsense", "1", True),
    ],
)
def test_what_concerns_a_page(pages: str | None, label: str, about: bool) -> None:
    assert about_page(a_round(pages=pages), label) is about


def test_entries_stand_as_history_has_them_and_new_ones_last(book: Book) -> None:
    for entry in (handoff(2, date=date(2026, 1, 1)), handoff(1, date=date(2026, 5, 1))):
        recorded(book, entry)
    book.write({"ledger/handoff-3.toml": (book.top / "ledger/handoff-2.toml").read_text().replace("= 2\n", "= 3\n")})
    names = [entry.name for entry in in_order(open_book(book.top), open_book(book.top).working.entries)]
    assert names == ["script-1", "inks-1", "script-2", "handoff-2", "handoff-1", "handoff-3"]


def test_what_is_not_recorded_yet_stands_by_its_date(book: Book) -> None:
    later, earlier = handoff(1, date=date(2026, 5, 1)), handoff(2, date=date(2026, 4, 1))
    same_day = handoff(3, date=WHEN.replace(month=5, day=1))
    found = in_order(open_book(book.top), [same_day, later, earlier])
    assert [entry.name for entry in found] == ["handoff-2", "handoff-1", "handoff-3"]


def test_of_one_pass_and_one_page(book: Book) -> None:
    assert [entry.name for entry in rounds(book.top, "inks")[1]] == ["inks-1"]
    assert [entry.name for entry in rounds(book.top, page="p099")[1]] == ["script-1", "script-2"]
    with pytest.raises(Refusal, match="--page: 'twelve' is no page"):
        rounds(book.top, page="twelve")


def test_before_the_first_commit(tmp_path: Path) -> None:
    book = Book.new(tmp_path / "book", {})
    book.write({"book.toml": TOML})
    assert rounds(book.top) == ("The Salt Lantern", (), ())
    assert [each.round for each in standing(book.top).passes] == [None, None, None]
