"""`notes list`, `add`, `answer`: as a cartoonist works with them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Said, Tell
from tests.schema_check import checked
from tests.typed_book import BOOK, SCRIPT, TypedBook

TYPED = """\
# Marsh on script-1
from: E. Marsh
on: script-1
date: 2026-02-11

- [ ] 1 (p1.1 "It's the rent") An old joke.
- [x] 2 (p2.2) Too dark to see her.
  - done in script-1: lamp added
- [ ] (p3) Who waits?
  - query: the two of them, or the whole shed?
"""


class NotedBook(TypedBook):
    """A book whose notes are worked on in the process of the tests."""

    tell: Tell

    def notes(self, *words: str, code: int = 0) -> Said:
        """What `inkledger notes ...` said."""
        said: Said = self.tell(self.top, "notes", *words, code=code)
        return said


@pytest.fixture(scope="session")
def _noted(tmp_path_factory: pytest.TempPathFactory) -> NotedBook:
    book = NotedBook(tmp_path_factory.mktemp("noted") / "ninth-supper")
    book.write("book.toml", BOOK)
    book.write("script/01.md", SCRIPT)
    book.git("init", "-q", "-b", "main")
    book.ledger("enter", "script", "-m", "first draft")
    for page in range(1, 5):
        book.draw("pencils", f"{page:03}", page)
    book.ledger("enter", "pencils", "-m", "all four pages")
    return book


@pytest.fixture
def entered(_noted: NotedBook, tmp_path: Path, tell: Tell) -> NotedBook:
    """One round of script and one of pencils, no notes yet."""
    book = NotedBook(_noted.copied(tmp_path / "book").top)
    book.tell = tell
    return book


def listed(book: NotedBook, *words: str) -> dict[str, dict[str, Any]]:
    document = checked(book.notes("list", "--json", *words).out)
    return {note["id"]: note for note in document["notes"]}


def file(book: NotedBook, name: str) -> str:
    return (book.top / f"notes/{name}.md").read_bytes().decode()


def two_rounds(book: NotedBook) -> None:
    """Typed notes on script-1, then a second round with a page put in and a line reworded."""
    book.write("notes/marsh-1.md", TYPED)
    book.change("script/01.md", "It's the rent.", "It's the milk.")
    book.change("script/01.md", "## The far room\n", "[page 2]\n[panel 1]\nThe tide turns.\n\n## The far room\n")
    for old, new in (("[page 4]\n[panel 1]\nThe tide is", "[page 5]\n[panel 1]\nThe tide is"), ("[page 3]", "[page 4]"),
                     ("[page 2]\n[panel 1]\nA door", "[page 3]\n[panel 1]\nA door")):  # fmt: skip
        book.change("script/01.md", old, new)
    book.ledger("enter", "script", "-m", "second draft")


def test_a_typed_round_is_listed_as_it_stands(entered: NotedBook) -> None:
    two_rounds(entered)
    before = file(entered, "marsh-1")
    found = listed(entered)
    assert [(n["id"], n["state"], n["line"], n["anchor"]) for n in found.values()] == [
        ("marsh-1/1", "open", 6, 'p1.1 "It\'s the rent"'),
        ("marsh-1/2", "done", 7, "p2.2"),
        ("marsh-1/3", "query", 9, "p3"),
    ]
    assert [(n["place_then"], n["place_now"], n["evidence"], n["standing"]) for n in found.values()] == [
        ('p1.1 "It\'s the rent"', 'p1.1 "It\'s the milk."', "reworded", ["open-but-changed"]),
        ("p2.2", "p3.2", "untouched", ["done-but-untouched"]),
        ("p3", "p4", "untouched", ["query-unanswered"]),
    ]
    assert file(entered, "marsh-1") == before


def test_the_content_looked_at_is_your_files_now_unless_a_reference_is_named(entered: NotedBook) -> None:
    two_rounds(entered)
    entered.change("script/01.md", "It's the milk.", "It's the post.")
    assert listed(entered)["marsh-1/1"]["place_now"] == 'p1.1 "It\'s the post."'
    assert listed(entered, "--at", "script-2")["marsh-1/1"]["place_now"] == 'p1.1 "It\'s the milk."'
    assert listed(entered, "--at", "script-1")["marsh-1/1"]["evidence"] == "untouched"
    assert listed(entered, "--at", "HEAD~1")["marsh-1/1"]["evidence"] == "untouched"


def test_a_change_undone_by_a_later_round(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", "on: script-1\n\n- [x] 1 (p2.1) Too loud.\n")
    entered.change("script/01.md", "KRRNK", "KRNK")
    entered.ledger("enter", "script", "-m", "second")
    entered.change("script/01.md", "KRNK", "KRRNK")
    assert listed(entered)["marsh-1/1"]["standing"] == ["done-then-undone"]
    assert listed(entered, "--at", "script-1")["marsh-1/1"]["standing"] == ["done-but-untouched"]


def test_without_on_a_round_is_about_the_script_that_was_there_before_its_file(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", '- [ ] 1 ("It\'s the rent") Hm.\n')
    entered.ledger("save", "-m", "notes came in")
    entered.change("script/01.md", "It's the rent.", "It's the milk.")
    entered.ledger("enter", "script", "-m", "second")
    assert listed(entered)["marsh-1/1"]["evidence"] == "reworded"
    entered.write("notes/ida.md", '- [ ] 1 ("It\'s the rent") Hm.\n')
    assert listed(entered)["ida/1"]["evidence"] == "unplaced"


def test_on_a_pass_is_about_its_newest_round_of_that_time(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", "on: pencils\n\n- [ ] 1 (p2) Hm.\n")
    entered.ledger("save", "-m", "notes came in")
    entered.draw("pencils", "002", 17)
    entered.ledger("enter", "pencils", "-m", "page two again")
    assert listed(entered)["marsh-1/1"]["evidence"] == "redrawn"


def test_a_script_that_lies_elsewhere_now(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", TYPED)
    (entered.top / "script").rename(entered.top / "text")
    entered.change("book.toml", '"script/*.md"', '"text/*.md"')
    assert listed(entered)["marsh-1/1"]["evidence"] == "untouched"


def test_add_begins_a_round_and_goes_on_with_it(entered: NotedBook) -> None:
    told = entered.notes("add", "marsh-1", "Too loud?", "--at", "p2.1", "--from", "E. Marsh", "--on", "script-1")
    assert "Note marsh-1/1 is in notes/marsh-1.md, on p2.1." in told.out
    document = checked(entered.notes("add", "marsh-1", "Lovely.\n- [ ] really", "--json").out)
    assert (document["done"], document["paths"]) == (True, ["notes/marsh-1.md"])
    head, _, notes = file(entered, "marsh-1").partition("\n\n")
    assert head.startswith("# E. Marsh on script-1\nfrom: E. Marsh\non: script-1\ndate: 2")
    assert notes == "- [ ] 1 (p2.1) Too loud?\n- [ ] 2 Lovely.\n  \\- [ ] really\n"
    assert listed(entered)["marsh-1/2"]["text"] == "Lovely.\n- [ ] really"
    assert entered.git("status", "--porcelain").split() == ["??", "notes/"]


def test_a_round_of_ones_own(entered: NotedBook) -> None:
    entered.notes("add", "own", "Look at the far room again.")
    assert file(entered, "own").startswith("# Ada Quill on script-1\nfrom: Ada Quill\non: script-1\n")


def test_the_first_write_numbers_the_notes(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", TYPED.replace("\n", "\r\n"))
    shown = list(listed(entered))
    entered.notes("answer", "marsh-1/3", "answer", "the shed")
    assert list(listed(entered)) == shown
    wanted = TYPED.replace("- [ ] (p3)", "- [ ] 3 (p3)").replace("whole shed?\n", "whole shed?\n  - answer: the shed\n")
    assert file(entered, "marsh-1") == wanted.replace("\n", "\r\n")
    assert listed(entered)["marsh-1/3"]["state"] == "open"


@pytest.mark.parametrize(
    ("words", "line", "state"),
    [
        (("done", "cut", "--in", "script-1", "--at", "p1.2"), "- [x] 1 a\n  - done in script-1 at p1.2: cut\n", "done"),
        (("done", "cut", "--in", "script-2"), "- [x] 1 a\n  - done in script-2: cut\n", "done"),
        (("done",), "- [x] 1 a\n  - done:\n", "done"),
        (("query", "why?"), "- [ ] 1 a\n  - query: why?\n", "query"),
        (("stet", "it is she"), "- [x] 1 a\n  - stet: it is she\n", "stet"),
        (("declined", "no"), "- [x] 1 a\n  - declined: no\n", "declined"),
        (("seen", "fine"), "- [ ] 1 a\n  - seen in script-1: fine\n", "open"),
        (("answer", "so be it"), "- [ ] 1 a\n  - answer: so be it\n", "open"),
        (("carried", "inks", "later"), "- [ ] 1 a\n  - carried to inks: later\n", "carried"),
        (("carried", "pencils-1", "there"), "- [ ] 1 a\n  - carried to pencils-1: there\n", "carried"),
        (("carried", "ida", "hers"), "- [ ] 1 a\n  - carried to ida: hers\n", "carried"),
    ],
)
def test_answers(entered: NotedBook, words: tuple[str, ...], line: str, state: str) -> None:
    entered.write("notes/ida.md", "- [ ] 1 b\n")
    entered.write("notes/marsh-1.md", "- [ ] 1 a\n")
    entered.notes("answer", "marsh-1/1", *words)
    assert file(entered, "marsh-1") == line
    assert listed(entered)["marsh-1/1"]["state"] == state


def test_seen_says_when_it_can_not_rest_yet(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", "on: script-1\n\n- [ ] 1 (p2.1) Too loud.\n")
    entered.change("script/01.md", "KRRNK", "KRNK")
    told = entered.notes("answer", "marsh-1/1", "seen", "better")
    assert "Your files now differ from script-1 there" in told.out
    entered.ledger("enter", "script", "-m", "second")
    entered.notes("answer", "marsh-1/1", "seen", "better")
    assert listed(entered)["marsh-1/1"]["standing"] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("add", "a/b", "x"), "is no name for a notes round"),
        (("add", "-x", "x"), "No such option"),
        (("add", ".x", "x"), "is no name for a notes round"),
        (("add", "readme", "x"), "is no name for a notes round"),
        (("add", "ida", " \n"), "a note needs words"),
        (("add", "ida", "x", "--at", "page twelve"), "is no place"),
        (("add", "ida", "x", "--on", "skript-1"), "did you mean script-1"),
        (("add", "marsh-1", "x", "--from", "Ida"), "this round is from E. Marsh"),
        (("add", "marsh-1", "x", "--on", "script-2"), "this round is on script-1"),
        (("answer", "marsh-1/8", "done"), "there is no note 'marsh-1/8'"),
        (("answer", "marsh-2/1", "done"), "did you mean marsh-1/1"),
        (("answer", "marsh-1/1", "dne"), "did you mean done"),
        (("answer", "marsh-1/1", "stet"), "'stet' needs words"),
        (("answer", "marsh-1/1", "done", "cut", "it"), "put the words of the answer in quotes"),
        (("answer", "marsh-1/1", "done", "cut", "--in", "script-9"), "is no round that was entered"),
        (("answer", "marsh-1/1", "done", "cut", "--at", "there"), "is no place"),
        (("answer", "marsh-1/1", "carried"), "say where the note is carried to"),
        (("answer", "marsh-1/1", "carried", "inkz", "later"), "did you mean inks"),
        (("list", "--at", "script-9"), "script-9"),
        (("agendas",), "No such command"),
    ],
)
def test_refused_with_the_way_out_and_nothing_written(entered: NotedBook, words: tuple[str, ...], said: str) -> None:
    entered.write("notes/marsh-1.md", TYPED)
    done = entered.notes(*words, code=2)
    assert said in done.err
    assert file(entered, "marsh-1") == TYPED
    assert sorted(p.name for p in (entered.top / "notes").iterdir() if p.suffix == ".md") == ["marsh-1.md"]
    assert "error" in checked(entered.notes(*words, "--json", code=2).out)


def test_two_notes_with_one_number_are_not_answered_by_guessing(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", "- [ ] 1 a\n- [ ] 1 b\n")
    assert "on lines 1 and 2" in entered.notes("answer", "marsh-1/1", "done", code=2).err
    document = checked(entered.notes("list", "--json").out)
    assert [(f["rule"], f["path"], f["line"]) for f in document["findings"]] == [("note-number", "notes/marsh-1.md", 2)]


def test_what_can_not_be_read_is_told_and_hides_nothing(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", b"on: script-7\n\n- [ ] 1 caf\xe9\n- [] 2 b\n-[ ] 3 c\n")
    entered.write("notes/ida.txt", "p3 is dark")
    (entered.top / "notes/link.md").symlink_to("marsh-1.md")
    document = checked(entered.notes("list", "--json").out)
    assert [note["id"] for note in document["notes"]] == ["marsh-1/1", "marsh-1/2"]
    assert [(f["rule"], f["path"], f["line"]) for f in document["findings"]] == [
        ("note-unread", "notes/ida.txt", None), ("note-unread", "notes/link.md", None),
        ("note-unread", "notes/marsh-1.md", 1), ("note-unread", "notes/marsh-1.md", 3),
        ("note-unread", "notes/marsh-1.md", 5),
    ]  # fmt: skip
    assert "caf\\xe9" in entered.notes("list").out


def test_rules_can_raise_what_is_found(entered: NotedBook) -> None:
    entered.write("notes/marsh-1.md", "- [ ] 1 a\n- [ ] 1 b\n")
    entered.write("book.toml", (entered.top / "book.toml").read_text() + '\n[rules]\nnote-number = "block"\n')
    assert "block: note-number" in entered.notes("list", code=1).out


def test_a_link_is_not_written_through(entered: NotedBook, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere.md"
    elsewhere.write_text("- [ ] 1 a\n")
    (entered.top / "notes").mkdir(exist_ok=True)
    (entered.top / "notes/marsh-1.md").symlink_to(elsewhere)
    assert "link" in entered.notes("add", "marsh-1", "b", code=2).err
    assert elsewhere.read_text() == "- [ ] 1 a\n"


def test_where_nothing_can_be_written(entered: NotedBook) -> None:
    place = entered.top / "notes"
    if place.is_dir():
        place.rmdir()
    place.write_text("a file of this name")
    assert "notes: this is in the way of a folder" in entered.notes("add", "ida", "x", code=2).err
    assert place.read_text() == "a file of this name"


def test_the_mode_of_a_file_stays(entered: NotedBook) -> None:
    place = entered.write("notes/marsh-1.md", "- [ ] 1 a\n")
    place.chmod(0o640)
    entered.notes("answer", "marsh-1/1", "done")
    assert place.stat().st_mode & 0o777 == 0o640


def test_from_a_folder_of_the_book_and_under_any_locale(entered: NotedBook) -> None:
    locale = {"LC_ALL": "C"}
    entered.ledger("-C", "script", "notes", "add", "ида", "Слишком темно?", "--at", "p2.1", env=locale)
    assert "Слишком темно?" in entered.ledger("-C", "art", "notes", "list", env=locale).out


def test_a_note_on_a_page_picture(entered: NotedBook) -> None:
    entered.notes("add", "ida", "Her arm is too long.", "--at", "p2 @0.4,0.3", "--on", "pencils-1")
    assert listed(entered)["ida/1"]["evidence"] == "untouched"
    entered.draw("pencils", "002", 17)
    assert listed(entered)["ida/1"]["evidence"] == "redrawn"
    entered.ledger("enter", "pencils", "-m", "her arm")
    entered.notes("answer", "ida/1", "done", "shorter", "--in", "pencils-2")
    assert listed(entered)["ida/1"]["standing"] == []
    (entered.top / "art/pencils/p002.png").rename(entered.top / "art/pencils/p009.png")
    assert listed(entered, "--at", "pencils-1")["ida/1"]["place_now"] == "p2 @0.4,0.3"
