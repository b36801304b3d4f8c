"""`notes import`: notes from outside become rounds, once; nothing else of the book is touched."""

from __future__ import annotations

import re
import sys

import pytest

from ledger.desk.notes.arrivals import read_arrival
from ledger.desk.notes.arrivals import take_in as take_in_arrival
from ledger.desk.notes.sources import ImportWish
from ledger.model.errors import Refusal
from tests.cli.conftest import Said, Tell
from tests.schema_check import checked
from tests.typed_book import TypedBook
from tests.word_files import W, docx, odt, p

END0 = '<w:commentRangeEnd w:id="0"/><w:r><w:commentReference w:id="0"/></w:r>'

MAIL = """\
From: Erin Marsh <em@example.org>
To: odile@example.org
Subject: The Ninth Supper
Date: Tue, 3 Mar 2026 10:12:00 +0100
Content-Type: text/plain; charset=utf-8

p1.1 "It's the rent" An old joke.
p2.2: too dark to see her.
p9 is there no page nine?

All in all I liked it.

On Mon, 2 Mar 2026 Odile Marr wrote:
> p4 this is mine
"""

ROUND = """\
# Erin Marsh on script-1
from: Erin Marsh
on: script-1
date: 2026-03-03

- [ ] 1 (p1.1 "It's the rent") An old joke.
  - mark: 2026-03-03, Erin Marsh, KEY
- [ ] 2 (p2.2) too dark to see her.
  - mark: 2026-03-03, Erin Marsh, KEY
- [ ] 3 (p9) is there no page nine?
  - mark: 2026-03-03, Erin Marsh, KEY
- [ ] 4 All in all I liked it.
  - mark: 2026-03-03, Erin Marsh, KEY
"""


def everything(book: TypedBook) -> dict[str, bytes]:
    """Every file of the book but git's own and the notes."""
    return {
        str(path.relative_to(book.top)): path.read_bytes()
        for path in sorted(book.top.rglob("*"))
        if path.is_file() and not {".git", "notes"} & set(path.relative_to(book.top).parts)
    }


def rounds(book: TypedBook) -> dict[str, str]:
    return {path.stem: path.read_bytes().decode() for path in sorted((book.top / "notes").glob("*.md"))}


def take_in(book: TypedBook, tell: Tell, data: str | bytes, *more: str, name: str = "in.eml", code: int = 0) -> Said:
    """Takes a file in that lies beside the book; nothing but notes may change, and git's index stays as it was."""
    place = book.top.parent / name
    place.write_bytes(data.encode() if isinstance(data, str) else data)
    before, index = everything(book), (book.top / ".git/index").read_bytes()
    said: Said = tell(book.top, "notes", "import", f"../{name}", *more, code=code)
    assert everything(book) == before and (book.top / ".git/index").read_bytes() == index
    return said


def test_a_mail_becomes_a_round(entered: TypedBook, tell: Tell) -> None:
    said = take_in(entered, tell, MAIL)
    assert re.sub(r"[0-9a-f]{16}", "KEY", rounds(entered)["erin-marsh-1"]) == ROUND
    words = " ".join(said.out.split())
    assert "4 notes of Erin Marsh on script-1 are in notes/erin-marsh-1.md, a new round." in words
    assert "2 lines of quoted mail were left out." in words
    assert "erin-marsh-1/3: the place of this note is not there in script-1." in words


def test_a_greeting_alone_is_told_and_left_out_when_asked(entered: TypedBook, tell: Tell) -> None:
    mail = MAIL.replace("All in all I liked it.", "Hi Odile, thanks!\nBest, Erin")
    said = " ".join(take_in(entered, tell, mail, "--no-greeting").out.split())
    assert "3 notes of Erin Marsh" in said and "Hi Odile" not in rounds(entered)["erin-marsh-1"]
    assert "Left out as a greeting or sign-off: “Hi Odile, thanks! Best, Erin”." in said
    again = " ".join(take_in(entered, tell, mail).out.split())
    once = rounds(entered)
    assert "1 note of Erin Marsh" in again and "- [ ] 4 Hi Odile, thanks!\n  Best, Erin\n" in once["erin-marsh-1"]
    assert "“Hi Odile, thanks! Best, Erin” is a greeting or sign-off and nothing else" in again
    take_in(entered, tell, mail, "--no-greeting")
    take_in(entered, tell, mail)
    assert rounds(entered) == once


def test_the_same_mail_again_adds_nothing_and_a_fuller_one_only_what_is_new(entered: TypedBook, tell: Tell) -> None:
    take_in(entered, tell, MAIL)
    once = rounds(entered)
    document = checked(take_in(entered, tell, MAIL, "--json").out)
    assert (document["done"], document["paths"]) == (False, []) and rounds(entered) == once
    entered.ledger("notes", "answer", "erin-marsh-1/1", "done", "cut")
    answered = rounds(entered)["erin-marsh-1"]
    fuller = MAIL.replace("p2.2: too", "p3: who waits?\np2.2: too")
    assert "1 note of Erin Marsh" in take_in(entered, tell, fuller).out
    assert rounds(entered)["erin-marsh-1"].startswith(answered)
    assert "- [ ] 5 (p3) who waits?\n" in rounds(entered)["erin-marsh-1"].removeprefix(answered)


def test_notes_are_listed_answered_and_told_without_their_marks(entered: TypedBook, tell: Tell) -> None:
    take_in(entered, tell, MAIL)
    listed = checked(tell(entered.top, "notes", "list", "--json").out)
    assert [(n["id"], n["state"], n["place_then"]) for n in listed["notes"]] == [
        ("erin-marsh-1/1", "open", 'p1.1 "It\'s the rent"'), ("erin-marsh-1/2", "open", "p2.2"),
        ("erin-marsh-1/3", "open", None), ("erin-marsh-1/4", "open", None),
    ]  # fmt: skip
    assert "mark:" not in tell(entered.top, "notes", "list").out
    entered.ledger("notes", "answer", "erin-marsh-1/2", "query", "which of them?")
    assert "which of them?" in tell(entered.top, "notes", "list").out
    entered.write("script/02.md", "## After\n\n[page 5]\n[panel 1]\nRain.\n")
    assert "Erin Marsh, " not in tell(entered.top, "memo").out


def test_reader_and_round_may_be_said(entered: TypedBook, tell: Tell) -> None:
    take_in(entered, tell, "p3 who waits?\n", "--from", "E. Marsh", "--on", "pencils-1", name="in.txt")
    assert rounds(entered)["e-marsh-1"].startswith("# E. Marsh on pencils-1\nfrom: E. Marsh\non: pencils-1\ndate: ")
    again = take_in(entered, tell, "p3 who waits?\np4 and here?\n", "--from", "E. Marsh", name="other.txt")
    assert "1 note of E. Marsh on pencils-1" in again.out and list(rounds(entered)) == ["e-marsh-1"]
    take_in(entered, tell, "p1 why?\n", "--from", "E. Marsh", "--on", "script-1", name="third.txt")
    assert list(rounds(entered)) == ["e-marsh-1", "e-marsh-2"]


def test_without_a_name_the_file_gives_it(entered: TypedBook, tell: Tell) -> None:
    said = take_in(entered, tell, "p3 who waits?\n", name="By phone.txt")
    assert "of somebody who is not named" in said.out and "from: NAME" in said.out
    assert rounds(entered)["by-phone-1"].startswith("# By phone.txt on script-1\non: script-1\n")


def test_standard_input_is_read(entered: TypedBook) -> None:
    done = entered.run(sys.executable, "-m", "ledger", "notes", "import", "-", "--from", "Bo", input="p1 too dark\n")
    assert done.code == 0 and "- [ ] 1 (p1) too dark\n" in rounds(entered)["bo-1"], done


def test_a_saved_round_comes_back_whole_and_once(entered: TypedBook, tell: Tell) -> None:
    packet = ("# N\nfrom: E. Marsh\non: pencils-1\ndate: 2026-03-03\nread: 1-3\n\n- [ ] 1 (p2 @0.42,0.31) Her hand?\n"
              "- [ ] 2 (p3) Who waits?\n  Both of them?\n")  # fmt: skip
    take_in(entered, tell, packet, name="packet-pencils-1.notes.md")
    made = rounds(entered)["e-marsh-1"]
    assert "on: pencils-1\ndate: 2026-03-03\nread: 1-3\n" in made and "(p3) Who waits?\n  Both of them?\n" in made
    later = packet.replace("2026-03-03", "2026-03-05") + "- [ ] 3 (p4) New.\n"
    assert "1 note of E. Marsh" in take_in(entered, tell, later, name="packet-pencils-1.notes.md").out
    assert rounds(entered)["e-marsh-1"].count("- [ ]") == 3


def test_a_round_on_what_was_never_entered_is_refused(entered: TypedBook, tell: Tell) -> None:
    said = take_in(entered, tell, "on: inks-7\n\n- [ ] 1 (p1) x\n", name="a.md", code=2)
    assert "'inks-7', which is no round that was entered" in said.err and "--on script-3" in said.err


def test_a_round_of_this_book_is_there_already(entered: TypedBook, tell: Tell) -> None:
    entered.write("notes/marsh.md", "from: E. Marsh\non: script-1\n\n- [ ] 1 (p1) x\n")
    said = tell(entered.top, "notes", "import", "notes/marsh.md")
    assert "here already in notes/marsh.md" in said.out and list(rounds(entered)) == ["marsh"]


def test_words_that_changed_on_their_way_are_told_and_kept(entered: TypedBook, tell: Tell) -> None:
    take_in(entered, tell, MAIL)
    entered.change("notes/erin-marsh-1.md", "An old joke.", "An old joke, says Erin.")
    said = take_in(entered, tell, MAIL)
    assert "erin-marsh-1/1 came with other words this time; yours stay as they are." in said.out
    assert "says Erin" in rounds(entered)["erin-marsh-1"]


DRAFT = p("Page 1") + p("Panel 1") + p("J: ", '<w:commentRangeStart w:id="0"/>', "It's the rent", END0, ".")


def draft(*comments: str) -> bytes:
    """A draft as a word processor keeps it, with these comments on it."""
    return docx(DRAFT, comments=f'<w:comments xmlns:w="{W}">{"".join(comments)}</w:comments>')


def comment(name: int, words: str, author: str) -> str:
    return f'<w:comment w:id="{name}" w:author="{author}" w:date="2026-02-12T10:05:00Z">{p(words)}</w:comment>'


def test_comments_of_a_word_processor_become_a_round_for_each_reader(entered: TypedBook, tell: Tell) -> None:
    first = draft(comment(0, "An old joke.", "Ida Kestrel"), comment(1, "Good.", "Bede Lorn"))
    take_in(entered, tell, first, name="draft.docx")
    assert list(rounds(entered)) == ["bede-lorn-1", "ida-kestrel-1"]
    assert (
        '- [ ] 1 (p1.1 "It\'s the rent") An old joke.\n  - mark: 2026-02-12, Ida Kestrel, '
        in rounds(entered)["ida-kestrel-1"]
    )
    again = draft(
        comment(7, "Good.", "Bede Lorn"), comment(0, "An old joke.", "Ida Kestrel"), comment(9, "New.", "Ida Kestrel")
    )
    once = rounds(entered)
    assert checked(take_in(entered, tell, first, "--json", name="other.docx").out)["done"] is False
    assert "1 note of Ida Kestrel" in take_in(entered, tell, again, name="draft.docx").out
    assert rounds(entered)["bede-lorn-1"] == once["bede-lorn-1"]
    assert rounds(entered)["ida-kestrel-1"].removeprefix(once["ida-kestrel-1"]).startswith("- [ ] 2 New.")


def test_who_has_no_name_of_their_own_in_a_draft_goes_by_the_one_that_is_said(entered: TypedBook, tell: Tell) -> None:
    said = draft(comment(0, "An old joke.", "Unknown Author"), comment(1, "Good.", "Bede Lorn"))
    take_in(entered, tell, said, "--from", "Erin Marsh", name="draft.docx")
    assert list(rounds(entered)) == ["bede-lorn-1", "erin-marsh-1"], "a name in the file is believed"


def test_new_answers_to_a_comment_are_put_under_its_note(entered: TypedBook, tell: Tell) -> None:
    def noted(*answers: str) -> bytes:
        said = "".join(
            f'<office:annotation office:name="{n}" {parent}><dc:creator>Ida</dc:creator><text:p>{words}</text:p>'
            "</office:annotation>"
            for n, (parent, words) in enumerate(
                [("", "blunt"), *(('office:parent-name="0"', each) for each in answers)]
            )
        )
        return odt(f"<text:p>N: Push.{said}</text:p>")

    take_in(entered, tell, noted("no"), name="draft.odt")
    entered.ledger("notes", "answer", "ida-1/1", "stet", "it is who she is")
    said = take_in(entered, tell, noted("no", "done: yes"), name="draft.odt")
    assert "1 reply to notes that were here already was put under them in notes/ida-1.md." in " ".join(said.out.split())
    assert [row for row in rounds(entered)["ida-1"].splitlines() if row.startswith("  - ") and "mark:" not in row] == [
        "  - reply by Ida: no", "  - stet: it is who she is", "  - reply by Ida: done: yes",
    ]  # fmt: skip
    assert checked(tell(entered.top, "notes", "list", "--json").out)["notes"][0]["state"] == "stet"
    assert checked(take_in(entered, tell, noted("no", "done: yes"), "--json", name="draft.odt").out)["paths"] == []


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.eml", b"", "a.eml: it is empty"),
        ("a.eml", b"p1 no head\n", "a.eml:1: this is no mail"),
        ("a.txt", b"> only quoted\n", "a.txt: it holds no notes"),
        ("a.docx", docx(p("no comment")), "a.docx: it holds no notes"),
        ("a.docx", b"PK\x03\x04torn", "a.docx: it is damaged"),
        ("a.doc", b"PK\x03\x04torn", "a.doc: it is damaged"),
        ("a.odt", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "locked with a password"),
        ("a.msg", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest", "an old binary file"),
        ("a.txt", b"\n".join(b"p1 x%d" % n for n in range(50_001)), "50,001 notes, more than 50,000"),
    ],
)
def test_what_can_not_be_read_is_refused_by_name(
    entered: TypedBook, tell: Tell, name: str, data: bytes, said: str
) -> None:
    assert said in take_in(entered, tell, data, name=name, code=2).err
    assert not (entered.top / "notes").exists() or not rounds(entered)


def test_folders_links_and_files_that_are_not_there(entered: TypedBook, tell: Tell) -> None:
    assert "no such file" in tell(entered.top, "notes", "import", "nowhere.eml", code=2).err
    assert "no plain file" in tell(entered.top, "notes", "import", "script", code=2).err
    (entered.top / "notes").mkdir(exist_ok=True)
    away = entered.top.parent / "away.md"
    (entered.top / "notes/bo-1.md").symlink_to(away)
    take_in(entered, tell, "p1 x\n", "--from", "Bo", name="a.txt")
    assert not away.exists() and "(p1) x" in (entered.top / "notes/bo-2.md").read_text()


def test_names_in_any_script_and_hostile_ones(entered: TypedBook, tell: Tell) -> None:
    for reader in ("Éva Szűcs", "潮 見", "../../etc", "<b>Bo</b>\nfrom: you", "-", "a" * 300):
        take_in(entered, tell, f"p1 by {len(reader)} {reader[0]}\n", "--from", reader, name="a.txt")
    names = list(rounds(entered))
    assert len(names) == 6 and {"éva-szűcs-1", "潮-見-1", "etc-1", "b-bo-b-from-you-1", "a-1"} < set(names)
    assert max(len(name) for name in names) <= 62
    assert len(checked(tell(entered.top, "notes", "list", "--json").out)["notes"]) == 6


def test_readers_whose_notes_were_put_in_one_round_lose_nothing(entered: TypedBook, tell: Tell) -> None:
    """Somebody moved all notes into one file: what comes later from either reader is put after them."""
    said = [comment(0, "one", "Ida"), comment(1, "two", "Bede")]
    take_in(entered, tell, draft(*said), name="draft.docx")
    both = rounds(entered)["ida-1"] + rounds(entered)["bede-1"].partition("\n\n")[2].replace("- [ ] 1", "- [ ] 2")
    entered.write("notes/ida-1.md", both)
    (entered.top / "notes/bede-1.md").unlink()
    take_in(entered, tell, draft(*said, comment(2, "three", "Ida"), comment(3, "four", "Bede")), name="draft.docx")
    assert list(rounds(entered)) == ["ida-1"] and rounds(entered)["ida-1"].startswith(both)
    assert [row for row in rounds(entered)["ida-1"].splitlines() if row.startswith("- ")][2:] == [
        "- [ ] 3 three", "- [ ] 4 four",
    ]  # fmt: skip


def test_a_round_that_changes_while_somebody_decides_is_left_alone(entered: TypedBook, tell: Tell) -> None:
    take_in(entered, tell, MAIL)
    arrival = read_arrival(entered.top, ImportWish("in.eml", MAIL.replace("p2.2:", "p3 new\np2.2:").encode()))
    entered.change("notes/erin-marsh-1.md", "An old joke.", "A very old joke.")
    typed = rounds(entered)
    with pytest.raises(Refusal, match="changed meanwhile"):
        take_in_arrival(entered.top, arrival)
    assert rounds(entered) == typed
