"""`packet script --out FILE.docx`: a word processor's margins, and back through `notes import`.

The reference for the file is python-docx, which opens it, comments on it and saves it again.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import docx
import pytest

from tests.schema_check import checked
from tests.typed_book import TypedBook, typed_book

HOSTILE = "</w:t><w:br/> & \u202eturned \x07 \ufffe <b>"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = typed_book(tmp_path_factory.mktemp("margins") / "book")
    book.change("script/01.md", "N: Listen.", f"N (whisper): Listen. {HOSTILE}")
    book.ledger("enter", "script", "-m", "first draft")
    book.draw("pencils", "001", 5)
    book.ledger("enter", "pencils", "-m", "drawn")
    return book


@pytest.fixture
def book(kept: TypedBook, tmp_path: Path) -> TypedBook:
    return kept.copied(tmp_path / "book")


def made(book: TypedBook, *words: str) -> bytes:
    book.ledger("packet", "script", "--out", "p.docx", *words)
    return (book.top / "p.docx").read_bytes()


def commented(data: bytes, *comments: tuple[str, str, str]) -> bytes:
    """The file with comments (words, text, author), as a word processor saves them."""
    document = docx.Document(BytesIO(data))
    for words, text, author in comments:
        runs = [run for paragraph in document.paragraphs for run in paragraph.runs if words in run.text]
        document.add_comment(runs[0], text=text, author=author, initials="R")
    out = BytesIO()
    document.save(out)
    return out.getvalue()


def test_it_holds_every_word_of_the_round_by_page_and_panel(book: TypedBook) -> None:
    document = docx.Document(BytesIO(made(book, "--for", "E. Marsh", "--title-page", f"Dear Marsh,\n{HOSTILE}")))
    rows = [paragraph.text for paragraph in document.paragraphs]
    assert rows[0].startswith("The Ninth Supper: script, round 1 (") and rows[0].endswith(", for E. Marsh")
    assert "Dear Marsh," in rows and "Page 3" in rows and "Panel 2" in rows and "The far room" in rows
    said = "\n".join(rows)
    for words in ("Neither. It's the rent.", "KRRNK", "Nobody had opened the far room in nine years.", "A door swollen",
                  "NELL (whisper): Listen. </w:t><w:br/> & "):  # fmt: skip
        assert words in said, words
    assert "\x07" not in said and "\u202e" not in said
    assert [p.text for p in document.paragraphs if p.style.name == "Heading 3"] == [f"Page {n}" for n in range(1, 5)]


def test_headings_stand_where_they_were_typed(book: TypedBook) -> None:
    """Chapter and scene, page, panel; a scene that begins between page and panel, or inside a panel, stays there."""
    book.change("script/01.md", "[page 3]\n[panel 1]\n", "[page 3]\n\n## The far end\n\n[panel 1]\n")
    book.change("script/01.md", "J: Then we won't", "## Nobody's chair\n\nJ: Then we won't")
    book.ledger("enter", "script", "-m", "second")
    document = docx.Document(BytesIO(made(book)))
    headings = [(p.style.name, p.text) for p in document.paragraphs if p.style.name.startswith("Heading")]
    assert headings == [
        ("Heading 1", "Chapter 1: The slipway"), ("Heading 2", "The boat shed"), ("Heading 3", "Page 1"),
        ("Heading 4", "Panel 1"), ("Heading 4", "Panel 2"), ("Heading 2", "The far room"), ("Heading 3", "Page 2"),
        ("Heading 4", "Panel 1"), ("Heading 4", "Panel 2"), ("Heading 3", "Page 3"), ("Heading 2", "The far end"),
        ("Heading 4", "Panel 1"), ("Heading 2", "Nobody's chair"), ("Heading 3", "Page 4"), ("Heading 4", "Panel 1"),
    ]  # fmt: skip
    rows = [p.text for p in document.paragraphs]
    assert rows.index("Nobody's chair") == rows.index("Joren sits down as if invited.") + 1


def test_a_scene_in_which_nothing_is_said_is_named_too(book: TypedBook) -> None:
    """A silent page, and a silent panel on another, each a scene of its own; a heading above nothing is none."""
    silent = (
        "# Chapter 2: Dawn\n\n## The quay\n\n[page 5]\n[panel 1]\n[panel 2]\n\n## The mole\n\n[panel 3]\n\n## Later\n"
    )
    book.write("script/02.md", silent)
    book.ledger("enter", "script", "-m", "second")
    document = docx.Document(BytesIO(made(book)))
    assert [p.text for p in document.paragraphs if p.style.name.startswith("Heading")][-7:] == [
        "Chapter 2: Dawn", "The quay", "Page 5", "Panel 1", "Panel 2", "The mole", "Panel 3",
    ]  # fmt: skip


def test_it_is_the_script_when_it_is_read_back(book: TypedBook) -> None:
    """Our own reader finds every chapter, scene, page, panel, speaker and word; the words at its head are no script."""
    book.change("script/01.md", HOSTILE, "")
    book.change("script/01.md", "CAP: Nobody had", "CAP (Nell): Nobody had")
    book.change("script/01.md", "N: Push.", "N (OP): Push.\nSIGN: Keep out.")
    book.ledger("enter", "script", "-m", "second")
    made(book, "--title-page", "Dear Marsh,\nPage 2 is the one.")
    told = checked(book.ledger("compare", "script-2", "p.docx", "--json").out)
    assert [scene["kind"] for scene in told["scenes"] if scene["kind"] != "kept"] == []
    assert [(each["rule"], each["line"]) for each in told["findings"] if "packet" in each["message"]] == [
        ("text-dropped", 1)
    ]
    assert told["pages"] == [] or {page["kind"] for page in told["pages"]} == {"kept"}
    assert told["old"]["panels"] == told["new"]["panels"] and told["old"]["words"] == told["new"]["words"]


def test_every_sheet_says_what_it_is_of(book: TypedBook) -> None:
    """A sheet's number is no page of the book, so it is called a sheet; the paper is A4 (ISO 216: 210 x 297 mm)."""
    (section,) = docx.Document(BytesIO(made(book))).sections
    assert (round(section.page_width.mm), round(section.page_height.mm)) == (210, 297)
    foot = section.footer.paragraphs[0]
    assert foot.text.startswith("packet-script-1-") and " \u00b7 sheet " in foot.text
    assert [each.text for each in foot._p.iter("{*}instrText")] == ["PAGE", "NUMPAGES"]


def test_a_comment_on_a_heading_is_about_what_it_stands_above(book: TypedBook) -> None:
    """Though the last page before it is another one."""
    back = commented(
        made(book), ("The far room", "Is it far?", "Bede"), ("Chapter 1: The slipway", "A dull title.", "Bede"),
        ("Page 2", "Too full?", "Bede"), ("Panel 2", "Closer?", "Bede"),
    )  # fmt: skip
    book.write("back.docx", back)
    book.ledger("notes", "import", "back.docx")
    notes = checked(book.ledger("notes", "list", "--json").out)["notes"]
    assert {note["text"].rpartition(": ")[2]: note["anchor"] for note in notes} == {
        "Is it far?": 'scene "The far room"', "A dull title.": "p1", "Too full?": "p2", "Closer?": "p1.2",
    }  # fmt: skip


def test_comments_made_in_it_come_back_to_their_place_and_round(book: TypedBook) -> None:
    """Though a later round says other words there; once, however often the file is sent."""
    back = commented(
        made(book), ("Push.", "Too blunt?", "E. Marsh"), ("Rain on tin", "Wet enough.", "E. Marsh"),
        ("Page 3", "Can we lose it?", "Bede"), ("Listen.", HOSTILE.replace("\x07", "").replace("\ufffe", ""), "Bede"),
    )  # fmt: skip
    book.change("script/01.md", "N: Push.", "N: Pull.")
    book.ledger("enter", "script", "-m", "second draft")
    book.write("back.docx", back)
    for times in range(2):
        done = checked(book.ledger("notes", "import", "back.docx", "--json").out)
        assert done["done"] is (times == 0)
    notes = checked(book.ledger("notes", "list", "--json").out)["notes"]
    assert {(note["reader"], note["on"]) for note in notes} == {("E. Marsh", "script-1"), ("Bede", "script-1")}
    places = {note["text"]: (note["place_then"], note["place_now"]) for note in notes}
    assert places["Too blunt?"] == ('p2.1 "Push."', 'p2.1 "Pull."')
    assert places["Wet enough."][0] == 'p1.1 "Rain on tin. Nell sorts nets by feel."'
    assert ("p3", "p3") in places.values()
    assert all(note["evidence"] != "unplaced" for note in notes)


def test_made_again_it_is_the_same_file(book: TypedBook) -> None:
    first = made(book)
    assert made(book) == first


def test_a_packet_for_somebody_is_recorded_as_any_other(book: TypedBook) -> None:
    done = checked(book.ledger("packet", "script", "--for", "Bede", "--out", "p.docx", "--json").out)
    assert (done["entry"], done["paths"]) == ("handoff-1", ["p.docx", "ledger/handoff-1.toml"])
    assert "script with Bede since" in book.ledger("status").out


def test_pictures_and_other_endings_are_refused(book: TypedBook) -> None:
    assert "a word processor's file is for a script" in book.ledger("packet", "pencils", "--out", "p.docx", code=2).err
    assert ".html or .docx" in book.ledger("packet", "script", "--out", "p.odt", code=2).err
    assert not list(book.top.glob("p.*"))


def test_a_draft_that_names_no_packet_is_on_the_newest_round(book: TypedBook) -> None:
    other = docx.Document()
    run = other.add_paragraph().add_run("Push.")
    other.add_comment(run, text="Too blunt?", author="Bede", initials="B")
    out = BytesIO()
    other.save(out)
    book.change("script/01.md", "Joren sits down", "Joren sits")
    book.ledger("enter", "script", "-m", "second")
    book.write("own.docx", out.getvalue())
    book.ledger("notes", "import", "own.docx")
    (note,) = checked(book.ledger("notes", "list", "--json").out)["notes"]
    assert (note["on"], note["place_then"]) == ("script-2", 'p2.1 "Push."')
