"""`inkledger trace`: the life of a line, on a book that git alone laid out and on one worked on by the command."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from ledger.model.entry import Reopen
from tests.books import Book
from tests.cli.conftest import Tell
from tests.desk.salt_lantern import SECOND, TOML, WHEN, entered, recorded, salt_lantern
from tests.schema_check import checked
from tests.typed_book import TypedBook


def told(text: str) -> str:
    """What was said, unwrapped."""
    return " ".join(text.split())


def kinds(document: dict) -> list[tuple[str, list[str]]]:
    """The turns of the only life."""
    [life] = document["lives"]
    return [(turn["state"], turn["kinds"]) for turn in life["turns"]]


def test_a_line_in_another_mouth(tell: Tell, lantern: Book) -> None:
    assert tell(lantern.top, "trace", "IT WAS").out.splitlines() == [
        'One line holds "IT WAS".',
        "",
        '"It was."',
        '  Wren, p1.1 now, "Harbour office", Chapter 1: The tide gauge',
        "  script-1 (2 Mar 2026) p1.1: came in, said by Tomas Arde.",
        "  script-2 (2 Mar 2026) p1.1: given to Wren, Tomas Arde had it before.",
        "  Untouched since then, in your files now too.",
    ]
    document = checked(tell(lantern.top, "trace", "it was", "--json").out)
    assert kinds(document) == [("script-1", ["came"]), ("script-2", ["reassigned"])]
    assert [state["name"] for state in document["states"]] == ["script-1", "script-2", "."]


def test_from_any_folder_and_by_words_given_one_by_one(tell: Tell, lantern: Book) -> None:
    assert "second landing" in tell(lantern.top / "script", "trace", "has", "the", "second").out


def test_a_line_that_your_files_no_longer_have(tell: Tell, lantern: Book) -> None:
    lantern.write({"script/01.md": SECOND.replace("W: It was.\n", "")})
    text = told(tell(lantern.top, "trace", "it was").out)
    assert "Wren, gone from your files now" in text
    assert "your files now: cut; it stood on p1.1." in text
    assert kinds(checked(tell(lantern.top, "trace", "it was", "--json").out))[-1] == (".", ["left"])


def test_words_put_back_are_said_to_be(tell: Tell, lantern: Book) -> None:
    reworded = SECOND.replace("We need the ledger, you know that we do.", "We need it.")
    lantern.write({"script/01.md": reworded})
    lantern.commit("shorter")
    entered(lantern, "script", 3, message="shorter")
    lantern.write({"script/01.md": SECOND})
    text = told(tell(lantern.top, "trace", "you know that we do").out)
    assert "script-2 (2 Mar 2026) p4.1: the same spot under another number, p3.1 before." in text
    assert "script-3 (2 Mar 2026) p4.1: reworded: " in text
    assert "your files now p4.1: reworded, back to the words of script-1: " in text


def test_the_note_it_changed_under_and_one_that_stands_open(tell: Tell, lantern: Book) -> None:
    lantern.write({"notes/marsh.md": "# Marsh\nfrom: E. Marsh\non: script-1\n\n"
                   '- [x] 1 ("It was.") Is this not hers?\n  - done in script-2: it is hers\n'
                   '- [ ] 2 (p2) Three hours, or four?\n- [ ] 3 ("second landing") Is there one?\n'})  # fmt: skip
    mine = tell(lantern.top, "trace", "it was").out
    assert told(mine).endswith(
        "(note marsh/1, E. Marsh on script-1: Is this not hers? - done in script-2: it is hers) "
        "Untouched since then, in your files now too."
    )
    assert "note marsh/3, E. Marsh on script-1: Is there one? - open" in tell(lantern.top, "trace", "landing").out
    assert "marsh" not in tell(lantern.top, "trace", "three hours").out
    document = checked(tell(lantern.top, "trace", "it was", "--json").out)
    assert document["lives"][0]["turns"][1]["notes"] == ["marsh/1"]


def test_a_slip_between_two_rounds_is_named(signed: TypedBook) -> None:
    signed.change("script/01.md", "N: Push.\n", "N: Push.\nJ: After you.\n")
    signed.git("add", "script")
    signed.ledger("alter", "--reason", "he must be in the room", "--class", "EA", "--asked-by", "E. Marsh")
    signed.git("commit", "-q", "-m", "a late line")
    signed.ledger("enter", "script", "-m", "with the late line")
    text = told(signed.ledger("trace", "after you").out)
    assert "p2.1: came in, said by Joren Pike. EA (editor's): he must be in the room. Asked for by E. Marsh." in text
    document = checked(signed.ledger("trace", "after you", "--json").out)
    assert kinds(document) == [("alteration-1", ["came"])]
    assert [state["name"] for state in document["states"]] == ["script-1", "alteration-1", "script-2", "."]


def test_a_reopening_it_changed_under_is_named(tell: Tell, lantern: Book) -> None:
    recorded(lantern, Reopen(path="ledger/reopen-1.toml", number=1, pages="1", reason="the turn is too early",
                             date=WHEN, by="Ada Quill", scopes=("wording",), passes=("inks",)))  # fmt: skip
    lantern.write({"script/01.md": SECOND.replace("W: It was.", "W: It was, once.")})
    text = told(tell(lantern.top, "trace", "once").out)
    assert "under reopen-1, which had opened page 1 again, AA (author's): the turn is too early." in text
    assert "reopen-1" not in tell(lantern.top, "trace", "second landing").out


def test_above_a_handful_it_asks_for_more_words(tell: Tell, lantern: Book) -> None:
    lines = "".join(f"W: Door number {n} is shut.\n" for n in range(1, 19))
    lantern.write({"script/01.md": SECOND + "\n[panel]\n" + lines})
    text = tell(lantern.top, "trace", "door number").out
    assert text.startswith('18 lines hold "door number". The 5 nearest are told here; for one alone give\nmore of its')
    assert text.count("came in, said by Wren, in no round yet.") == 5
    assert text.rstrip().endswith("and 3 more lines")
    assert len(checked(tell(lantern.top, "trace", "door number", "--json").out)["lives"]) == 18
    assert tell(lantern.top, "trace", "number 12").out.startswith("One line holds")


def test_no_line_has_the_words(tell: Tell, lantern: Book) -> None:
    text = tell(lantern.top, "trace", "the first landing").out
    assert "Did you mean one of these?\n  p4.1  Up. Now." in text
    document = checked(tell(lantern.top, "trace", "a lighthouse of glass", "--json").out)
    assert (document["lives"], document["nearest"]) == ([], [])
    assert "there is no word to look for" in tell(lantern.top, "trace", "...", code=2).err


def test_without_a_round_only_your_files_are_looked_through(tell: Tell, tmp_path: Path) -> None:
    book = Book.new(tmp_path / "book", {})
    book.write({"book.toml": TOML, "script/01.md": SECOND})
    assert "  your files now p1.1: came in, said by Wren, in no round yet.\n" in tell(book.top, "trace", "It was").out


def test_a_draft_without_pages_or_headings_is_told_by_file_and_line(tell: Tell, tmp_path: Path) -> None:
    book = Book.new(tmp_path / "book", {"book.toml": TOML, "script/01.md": "W: It was.\n\nW: Push, then.\n"})
    entered(book, "script", 1)
    book.write({"script/01.md": "The door, open.\n\nT: It was.\n\nW: Push, then.\n"})
    assert tell(book.top, "trace", "it was").out.splitlines()[2:] == [
        '"It was."',
        "  Tomas Arde, 01.md:3 now",
        "  script-1 (2 Mar 2026) 01.md:1: came in, said by Wren.",
        "  your files now 01.md:3: given to Tomas Arde, Wren had it before.",
    ]
    assert "the script has no page marks yet" in tell(book.top, "page", "1", code=2).err


def test_without_a_book_or_a_script(tell: Tell, tmp_path: Path) -> None:
    book = Book.new(tmp_path / "book", {})
    assert "inkledger init" in tell(book.top, "trace", "it was", code=2).err
    book.write({"book.toml": TOML.replace('kind = "text"\n', 'kind = "art"\n').replace("*.md", "p{page}.png")})
    assert 'kind = "text"' in tell(book.top, "trace", "it was", code=2).err


def test_a_round_whose_content_is_gone_is_named_and_left_out(tell: Tell, lantern: Book) -> None:
    oid = next(iter(line.split()[2] for line in lantern.git("ls-tree", "-r", "pass/script/1").splitlines()
                    if line.endswith("script/01.md")))  # fmt: skip
    (lantern.top / ".git/objects" / oid[:2] / oid[2:]).unlink()
    text = told(tell(lantern.top, "trace", "It was").out)
    assert "look: script-1 could not be read (" in text
    assert "script-2 (2 Mar 2026) p1.1: came in, said by Wren." in text
    assert [each["state"] for each in checked(tell(lantern.top, "trace", "It was", "--json").out)["unread"]] == [
        "script-1"
    ]


@pytest.mark.parametrize("form", ["sha1", "sha256"])
def test_every_row_fits_the_terminal_in_any_locale(tmp_path: Path, form: str) -> None:
    book = TypedBook(salt_lantern(tmp_path / "book", form).top)
    book.write("script/01.md", SECOND.replace("It was.", "It was \u2014 \u00e9t\u00e9, \u6d77\u306f " + "wide " * 40))
    text = book.ledger("trace", "it was", env={"LC_ALL": "C", "COLUMNS": "80"}).out
    assert "\u6d77\u306f" in text
    assert max(map(len, text.splitlines())) <= 80
    shutil.rmtree(book.top)
