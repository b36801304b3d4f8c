"""What a name on the command line means."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from ledger.desk.contents import Contents
from ledger.desk.opening import open_book
from ledger.desk.reference import contents_of, entered_contents, open_desk, state_of_reference
from ledger.model.entry import Alteration, Lock, Reopen
from ledger.model.errors import Refusal
from tests.books import Book
from tests.desk.salt_lantern import TOML, WHEN, entered, recorded

FIRST, SECOND = "# One\n\nW: First.\n", "# One\n\nW: Second.\n"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """Two rounds of the script, one of the inks; a word changed since."""
    book = Book.new(tmp_path_factory.mktemp("made") / "book", {"book.toml": TOML, "script/01.md": FIRST})
    entered(book, "script", 1)
    book.write({"script/01.md": SECOND, "art/inks/p001.png": b"one", "art/inks/p002.png": b"two"})
    book.write({"book.toml": TOML.replace('"Wren"', '"Robin"')})
    book.commit("second")
    entered(book, "script", 2)
    entered(book, "inks", 1, pages="1-2")
    book.write({"script/01.md": "# One\n\nW: Third.\n"})
    return book


@pytest.fixture
def book(made: Book, tmp_path: Path) -> Book:
    shutil.copytree(made.top, tmp_path / "book", symlinks=True)
    return Book(tmp_path / "book")


def look(book: Book, name: str, here: str = ".") -> Contents:
    return contents_of(open_desk(book.top / here), name)


def script(contents: Contents) -> str:
    """The bytes of the script that a reference stands for."""
    return b"".join(data for _, data in contents.sources["script"]()).decode()


def test_an_entry_stands_for_the_files_of_its_pass(book: Book) -> None:
    found = look(book, "script-1")
    assert script(found) == FIRST
    assert (set(found.texts), set(found.art), found.named, found.when) == ({"script"}, set(), "script", WHEN)
    assert sorted(look(book, "inks-1").art["inks"]().files) == ["1", "2"]


def test_an_entry_is_read_by_the_book_of_its_own_commit(book: Book) -> None:
    assert [look(book, name).book.cast[0].name for name in ("script-1", "script-2")] == ["Wren", "Robin"]
    book.git("tag", "-d", "pass/script/1")
    assert look(book, "script-1").book.cast[0].name == "Wren"


def test_a_pass_is_its_newest_round(book: Book) -> None:
    assert script(look(book, "script")) == SECOND


def test_a_revision_the_index_and_your_files_stand_for_every_pass(book: Book) -> None:
    assert set(look(book, "HEAD").texts) == {"outline", "script"}
    assert script(look(book, "HEAD")) == SECOND
    book.git("add", "script/01.md")
    book.write({"script/01.md": "# One\n\nW: Fourth.\n"})
    assert script(look(book, ":index")) == "# One\n\nW: Third.\n"
    assert script(look(book, ".")) == "# One\n\nW: Fourth.\n"
    assert script(look(book, ".", here="script")) == "# One\n\nW: Fourth.\n"


def test_the_entered_state_is_the_newest_round_of_every_pass(book: Book) -> None:
    found = entered_contents(open_desk(book.top))
    assert (set(found.texts), set(found.art), found.name) == ({"script"}, {"inks"}, "entered")
    assert script(found) == SECOND


def test_nothing_entered_yet_says_what_to_do(tmp_path: Path) -> None:
    book = Book.new(tmp_path / "book", {"book.toml": TOML})
    with pytest.raises(Refusal, match="no round of any pass has been entered yet") as refused:
        entered_contents(open_desk(book.top))
    assert refused.value.remedy == "enter the first one: inkledger enter script"
    with pytest.raises(Refusal, match="no round of 'script' has been entered yet"):
        look(book, "script")


def test_a_pass_beats_the_folder_in_which_its_files_lie(book: Book) -> None:
    assert script(look(book, "script")) == SECOND
    assert look(book, "inks", here="art").art["inks"]().files["1"].oid is not None


def test_another_folder_of_that_name_is_refused_with_both_readings(book: Book) -> None:
    book.write({"drafts/script/old.md": FIRST})
    with pytest.raises(Refusal, match=r"'script' could be the pass script or the folder script") as refused:
        look(book, "script", here="drafts")
    assert refused.value.remedy == "say which: entry:script, path:script"
    assert script(look(book, "entry:script", here="drafts")) == SECOND
    assert look(book, "path:script", here="drafts").loose


def test_a_branch_named_like_an_entry_is_refused(book: Book) -> None:
    book.git("branch", "script-1", "HEAD")
    with pytest.raises(Refusal, match="the entry script-1 or the git revision script-1"):
        look(book, "script-1")
    assert script(look(book, "rev:script-1")) == SECOND
    assert script(look(book, "entry:script-1")) == FIRST


def test_a_file_named_like_a_branch_is_refused(book: Book) -> None:
    book.git("branch", "draft.md", "HEAD")
    book.write({"draft.md": FIRST})
    with pytest.raises(Refusal, match=r"could be the git revision draft\.md or the file draft\.md"):
        look(book, "draft.md")


def test_a_name_that_is_nothing_offers_the_nearest(book: Book) -> None:
    with pytest.raises(Refusal, match="'scrpt-1' is no entry, pass, revision or file here") as refused:
        look(book, "scrpt-1")
    assert "script-1" in (refused.value.remedy or "")
    for name in ("--output=x", "entry:nothing", "rev:nothing", "path:nothing", "HEAD:book.toml"):
        with pytest.raises(Refusal):
            look(book, name)
    assert not (book.top / "x").exists()


def test_a_sign_off_stands_for_the_pictures_it_closes(book: Book) -> None:
    files = {path: oid for path, oid in book.staged().items() if path == "art/inks/p001.png"}
    recorded(
        book,
        Lock(path="ledger/lock-inks-1.toml", pass_name="inks", number=1, date=WHEN, by="A <a@b.example>", pages="1",
             scopes=("drawing",), files=files),
    )  # fmt: skip
    found = look(book, "lock-inks-1")
    assert (sorted(found.art["inks"]().files), found.pages.text()) == (["1"], "1")


def test_an_entry_without_files_is_refused(book: Book) -> None:
    slip = {"number": 1, "date": WHEN, "by": "A <a@b.example>", "pages": "1", "reason": "late"}
    recorded(book, Reopen(path="ledger/reopen-1.toml", passes=("inks",), scopes=("drawing",), **slip))
    recorded(book, Alteration(path="ledger/alteration-1.toml", scopes=("drawing",), passes=("inks",), **slip))
    for name in ("reopen-1", "alteration-1"):
        with pytest.raises(Refusal, match=f"{name} holds no files to look at"):
            look(book, name)


def test_plain_files_and_folders_need_no_book(tmp_path: Path) -> None:
    book = Book(tmp_path)
    book.write(
        {"b.md": SECOND, "old/2.txt": "W: Two.\n", "old/10.md": "W: Ten.\n", "old/._10.md": "\0", "old/x/3.md": ""}
    )
    book.write(
        {"pages/p002.png": b"2", "pages/tide_010.TIF": b"10", "pages/notes.txt.bak": b"", "pages/cover.png": b"c"}
    )
    assert look(book, "b.md").sources[""]() == [("b.md", SECOND.encode())]
    assert [path for path, _ in look(book, "old").sources[""]()] == ["10.md", "2.txt"]
    assert [path for path, _ in look(book, ".").sources[""]()] == ["b.md"]
    found = look(book, "pages")
    assert list(found.art["pages"]().files) == ["cover", "2", "10"]
    assert found.art["pages"]().read(found.art["pages"]().files["10"]) == b"10"


def test_a_folder_with_its_own_book_is_read_by_it(tmp_path: Path) -> None:
    book = Book(tmp_path)
    book.write({"old/book.toml": TOML, "old/script/01.md": FIRST})
    found = look(book, "old")
    assert (script(found), found.book.cast[0].name, found.loose) == (FIRST, "Wren", False)


def test_a_file_of_the_book_belongs_to_its_pass(book: Book) -> None:
    found = look(book, "script/01.md")
    assert found.named == "script"
    assert [path for path, _ in found.sources[""]()] == ["script/01.md"]
    assert found.book.cast[0].name == "Robin"


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("draft.rtf", "this kind of file can't be compared"),
        ("page.png", "one picture alone says no page"),
        ("empty", "nothing in this folder can be compared"),
        ("pipe", "this is neither a file nor a folder"),
    ],
)
def test_what_cannot_be_compared_is_refused_with_the_way_out(tmp_path: Path, path: str, said: str) -> None:
    (tmp_path / "empty").mkdir()
    os.mkfifo(tmp_path / "pipe")
    Book(tmp_path).write({"draft.rtf": b"{", "page.png": b""})
    with pytest.raises(Refusal, match=said):
        look(Book(tmp_path), path)


def test_the_state_behind_a_reference(book: Book) -> None:
    desk = open_book(book.top)
    assert state_of_reference(desk, "script-1").snapshot.read("script/01.md") == FIRST.encode()
    assert state_of_reference(desk, "script-1").snapshot.read("art/inks/p001.png") == b"one"
    assert state_of_reference(desk, "HEAD~2").snapshot.read("script/01.md") == SECOND.encode()
    assert state_of_reference(desk, ".").snapshot.read("script/01.md") == b"# One\n\nW: Third.\n"
    with pytest.raises(Refusal, match=r"holds no book\.toml"):
        state_of_reference(desk, "script/")


def test_a_broken_book_is_named_before_anything_else(book: Book) -> None:
    book.write({"book.toml": "[book\n"})
    with pytest.raises(Refusal) as refused:
        look(book, "script-1")
    assert refused.value.path == "book.toml"
