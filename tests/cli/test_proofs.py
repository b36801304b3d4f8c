"""`receive --proofs`: a printer's sheets set against what was delivered."""

from __future__ import annotations

import re
import shutil
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from tests.proof_made import PAGES, bound, drawn, entered, laid, put
from tests.schema_check import checked
from tests.typed_book import TypedBook

RIGHT = list(range(1, PAGES + 1))


@pytest.fixture(scope="module")
def delivered(tmp_path_factory: pytest.TempPathFactory) -> TypedBook:
    book = entered(tmp_path_factory.mktemp("proofs") / "kept/book")
    book.ledger("deliver", "letters", "--to", "../out")
    return book


@pytest.fixture
def book(delivered: TypedBook, tmp_path: Path) -> TypedBook:
    return delivered.copied(tmp_path / "here/book")


def proof(book: TypedBook, sheets: Sequence[str | int], name: str = "proof") -> str:
    place = book.top.parent / name
    shutil.rmtree(place, ignore_errors=True)
    (bound if name.endswith(".pdf") else laid)(place, sheets)
    return f"../{name}"


def received(book: TypedBook, source: str, *words: str, code: int = 1) -> dict[str, Any]:
    return checked(book.ledger("receive", source, "--proofs", *words, "--json", code=code).out)


def told(document: dict[str, Any]) -> list[tuple[str, str | None]]:
    return [(each["rule"], each["page"]) for each in document["findings"]]


def said(document: dict[str, Any]) -> str:
    return str(document["findings"][0]["message"])


def right(document: dict[str, Any]) -> list[str]:
    return [each["page"] for each in document["pages"] if each["accepted"]]


def notes(book: TypedBook) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = book.ledger("notes", "list", "--json", code=None).document["notes"]
    return found


def states(document: dict[str, Any]) -> list[str]:
    return [each["state"] for each in document["sheets"]]


@pytest.mark.parametrize("name", ["proof", "proof.pdf"])
def test_a_proof_as_delivered_is_recorded_without_notes(book: TypedBook, name: str) -> None:
    before = book.git("rev-parse", "HEAD").strip()
    document = received(book, proof(book, ["blank", *RIGHT, "blank"], name), code=0)
    assert right(document) == list(map(str, RIGHT)) and document["findings"] == []
    assert states(document) == ["blank", *["page"] * PAGES, "blank"]
    assert document["paths"] == ["ledger/handoff-1.toml", "memos/return-1.md"] and document["entry"] == "handoff-1"
    assert book.git("rev-parse", "HEAD~1").strip() == before and book.git("status", "--porcelain") == ""
    assert notes(book) == [] and book.ledger("audit").code == 0
    assert "came back (delivery-1): as delivered." in " ".join(book.ledger("rounds").out.split())
    assert "handoff-1" not in book.ledger("status").out, "nobody has these pages"


def test_before_anything_was_delivered(tmp_path: Path) -> None:
    book = entered(tmp_path / "here/book")
    said = book.ledger("receive", proof(book, RIGHT), "--proofs", code=2).err
    assert "nothing was delivered yet" in said and "inkledger deliver letters --to" in said


def test_every_fault_is_named_and_becomes_a_note(book: TypedBook) -> None:
    document = received(book, proof(book, [1, 3, 2, 4, 4, "strange", "-6", 8]))
    assert sorted(told(document), key=str) == sorted([
        ("page-swapped", "2"), ("page-duplicate", "4"), ("return-names", None), ("layout-changed", "6"),
        ("return-count", "5"), ("return-count", "7"),
    ], key=str)  # fmt: skip
    assert right(document) == ["1", "8"]
    assert document["paths"] == ["ledger/handoff-1.toml", "memos/return-1.md", "notes/proofs-1.md"]
    text = (book.top / "notes/proofs-1.md").read_text("utf-8")
    assert "from: Odile Marr\non: letters-1\n" in text and "- [ ] 1 (p2) Page 2 and page 3 stand in each other" in text
    assert "(p5) Page 5 is on none of the sheets; sheet 6 stands where it belongs" in text
    assert len(notes(book)) == 6 and {each["state"] for each in notes(book)} == {"open"}
    sheet = (book.top / "memos/return-1.md").read_text("utf-8")
    assert sheet.startswith("# The Ninth Supper: proofs of letters, pages 1-8 (delivery-1)\n\nFrom Odile Marr, ")
    assert "Page 6 is upside down on sheet 7. To do: have it turned round." in sheet
    assert "Sheet 6 (sheet-6.jpg) shows no page that was delivered" in sheet
    assert book.git("status", "--porcelain") == "" and book.ledger("check").code == 0


def test_the_terminal_is_told_in_sentences_of_its_width(book: TypedBook) -> None:
    source = proof(book, [1, 3, 2, 4, 4, "strange", "m6", 8])
    ran = book.ledger("receive", source, "--proofs", code=1)
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "2 of 8 pages are there, once and in their place." in ran.out
    assert "- Page 4 is there twice, on sheets 4 and 5. To do: have sheet 5 taken out." in ran.out
    assert "Page 6 is mirrored on sheet 7." in ran.out and "For the printer: memos/return-1.md" in ran.out


def test_the_same_proof_again_adds_nothing_and_three_more_findings_add_three(book: TypedBook) -> None:
    source = proof(book, [1, 2, 4, 5, 6, 7, 8])
    assert told(received(book, source)) == [("return-count", "3")]
    head, files = book.git("rev-parse", "HEAD"), sorted(book.top.rglob("*.md"))
    again = received(book, source)
    assert again["done"] is False and again["paths"] == [] and told(again) == [("return-count", "3")]
    assert book.git("rev-parse", "HEAD") == head and sorted(book.top.rglob("*.md")) == files
    said = " ".join(book.ledger("receive", source, "--proofs", code=1).out.split())
    assert "Received before: nothing was written." in said and "In your notes already: proofs-1." in said
    more = received(book, proof(book, [1, 2, 5, 4, "strange", 6, 7, 7, 8]))
    assert more["paths"] == ["ledger/handoff-2.toml", "memos/return-2.md", "notes/proofs-2.md"]
    assert sorted(each["id"] for each in notes(book)) == ["proofs-1/1", "proofs-2/1", "proofs-2/2", "proofs-2/3"]


def test_a_corrected_proof_says_which_notes_are_settled(book: TypedBook) -> None:
    received(book, proof(book, [1, 2, 4, 5, 6, 8, 7]))
    said = book.ledger("receive", proof(book, RIGHT), "--proofs").out
    assert "No longer so, and still open in your notes: proofs-1/1, proofs-1/2." in " ".join(said.split())
    assert not (book.top / "notes/proofs-2.md").exists() and (book.top / "ledger/handoff-2.toml").exists()
    for number in (1, 2):
        book.ledger("notes", "answer", f"proofs-1/{number}", "done", "put right")
    assert [each["standing"] for each in notes(book)] == [[], []], "a printer's fault is mended on paper"


def test_your_own_words_in_a_round_stay_as_they_are(book: TypedBook) -> None:
    received(book, proof(book, [1, 2, 4, 5, 6, 7, 8]))
    mine = book.top / "notes/proofs-1.md"
    mine.write_text(mine.read_text("utf-8") + "\nasked Brandt\n", "utf-8")
    kept = mine.read_bytes()
    received(book, proof(book, [1, 2, 4, 5, 6, 8, 7]))
    assert mine.read_bytes() == kept and book.git("status", "--porcelain").split() == ["M", "notes/proofs-1.md"]


def test_check_judges_and_writes_nothing(book: TypedBook) -> None:
    source, head = proof(book, [2, 1, 3, 4, 5, 6, 7, 8]), book.git("rev-parse", "HEAD")
    document = received(book, source, "--check")
    assert told(document) == [("page-swapped", "1")] and document["done"] is False
    assert "Nothing was written." in book.ledger("receive", source, "--proofs", "--check", code=1).out
    assert book.git("rev-parse", "HEAD") == head and book.git("status", "--porcelain") == ""


def test_a_pdf_is_read_by_its_pictures_and_a_page_without_one_is_not_read(book: TypedBook) -> None:
    document = received(book, proof(book, [1, "flipped2", "words", 4, 5, 6, 7, 8], "proof.pdf"), code=0)
    assert told(document) == [("export-unreadable", "3")] and right(document) == ["1", "2", "4", "5", "6", "7", "8"]
    assert document["findings"][0]["level"] == "query" and states(document)[2] == "not read"
    assert [each["at"] for each in document["sheets"]] == RIGHT
    assert "(p3) Page 3 is probably on sheet 3, which could not be read" in (book.top / "notes/proofs-1.md").read_text()
    document = received(book, proof(book, ["words"] * PAGES, "all.pdf"), code=0)
    assert right(document) == [] and states(document) == ["not read"] * PAGES
    assert len([each for each in notes(book) if each["round"] == "proofs-2"]) == 1, "one thing said once"
    document = received(book, proof(book, ["words", *RIGHT], "more.pdf"), code=0)
    assert right(document) == list(map(str, RIGHT)) and told(document) == [("export-unreadable", None)]
    assert "it carries no picture of the page" in document["findings"][0]["message"]


def test_blank_pages_between_pages_change_the_sides(book: TypedBook) -> None:
    document = received(book, proof(book, ["bare", 1, 2, "bare", 3, 4, 5, 6, 7, 8], "proof.pdf"))
    assert told(document) == [("return-names", None)] and states(document)[0] == "blank"
    assert "blank between page 2 and page 3, so all that follows changes sides" in document["findings"][0]["message"]


def test_a_picture_that_is_none_is_not_read(book: TypedBook) -> None:
    source = proof(book, RIGHT)
    (book.top.parent / "proof/sheet-4.jpg").write_bytes(b"no picture")
    (book.top.parent / "proof/job.txt").write_text("for the press\n")
    document = received(book, source, code=0)
    assert ("export-unreadable", "4") in told(document) and "4" not in right(document)
    assert ("return-names", None) in told(document)
    assert "Left aside, being no sheets: job.txt." in book.ledger("receive", source, "--proofs").out


def test_facing_pages_on_one_sheet(book: TypedBook) -> None:
    document = received(book, proof(book, [1, "2+3", "4+5", "6+7", 8]), code=0)
    assert right(document) == list(map(str, RIGHT))
    assert [each["pages"] for each in document["sheets"]] == [["1"], ["2", "3"], ["4", "5"], ["6", "7"], ["8"]]
    assert told(received(book, proof(book, [1, "3+2", "4+5", "6+7", 8]))) == [("page-swapped", "2")]


def test_an_archive_and_a_folder_with_a_pdf_in_it(book: TypedBook) -> None:
    folder = book.top.parent / proof(book, RIGHT)[3:]
    with zipfile.ZipFile(book.top.parent / "proof.zip", "w") as archive:
        for path in folder.iterdir():
            archive.write(path, f"proof/{path.name}")
    assert right(received(book, "../proof.zip", code=0)) == list(map(str, RIGHT))
    shutil.rmtree(folder)
    folder.mkdir()
    bound(folder / "part-2.pdf", RIGHT[4:])
    bound(folder / "part-1.pdf", RIGHT[:4])
    document = received(book, "../proof", code=0)
    assert right(document) == list(map(str, RIGHT))
    assert [each["path"] for each in document["sheets"]] == ["part-1.pdf"] * 4 + ["part-2.pdf"] * 4


def test_a_part_is_set_against_its_own_delivery(tmp_path: Path) -> None:
    book = entered(tmp_path / "here/book")
    book.ledger("deliver", "letters", "--pages", "1-4", "--to", "../one")
    book.ledger("deliver", "letters", "--pages", "5-8", "--to", "../two")
    first = received(book, proof(book, [1, 2, 4]))
    assert told(first) == [("return-count", "3")] and [each["page"] for each in first["pages"]] == ["1", "2", "3", "4"]
    assert 'pages   = "1-4"' in (book.top / "ledger/handoff-1.toml").read_text()
    assert right(received(book, proof(book, RIGHT), code=0)) == list(map(str, RIGHT)), "both parts in one"
    strange = received(book, proof(book, [1, 2, 3, 4, 7]))
    assert told(strange) == [("return-names", None)]
    assert "shows page 7 of delivery-2, which is not among these pages" in strange["findings"][0]["message"]


def test_an_older_state_of_a_page_is_told(book: TypedBook) -> None:
    put(book, "art/letters/p003.png", drawn(33))
    book.ledger("enter", "letters", "-m", "redrawn")
    book.ledger("deliver", "letters", "--to", "../again")
    document = received(book, proof(book, RIGHT))
    assert told(document) == [("page-reverted", "3")] and "went out with delivery-1" in said(document)
    assert (book.top / "notes/proofs-1.md").read_text().startswith("# Proofs of delivery-2\n")
    assert "on: letters-2" in (book.top / "notes/proofs-1.md").read_text()


def test_two_passes_and_a_cover(book: TypedBook) -> None:
    covers = '\n[[pass]]\nname = "covers"\nkind = "art"\nfiles = "art/covers/{page}.png"\n'
    book.write("book.toml", (book.top / "book.toml").read_text() + covers + "[cover]\ntrim_mm = [50.8, 76.2]\n")
    put(book, "art/covers/cover.png", drawn(50))
    book.ledger("enter", "covers", "-m", "a cover")
    book.ledger("save", "-m", "a cover", code=None)
    book.ledger("deliver", "covers", "--pages", "cover", "--to", "../cover")
    for order in (["50", *RIGHT], [*RIGHT, "50"]):
        assert sorted(right(received(book, proof(book, order), code=0))) == sorted(["cover", *map(str, RIGHT)])
    assert told(received(book, proof(book, RIGHT), "--check", code=0)) == [], "as the first delivery, without a cover"
    assert told(received(book, proof(book, ["50", *RIGHT[1:]]))) == [("return-count", "1")]


def test_passes_of_the_same_pages_are_one_page_or_each_by_itself(book: TypedBook) -> None:
    for number in RIGHT:
        put(book, f"art/inks/p{number:03d}.png", drawn(number + 40))
    book.ledger("enter", "inks", "-m", "inked")
    book.ledger("deliver", "inks", "letters", "--to", "../both")
    inks = [number + 40 for number in RIGHT]
    document = received(book, proof(book, [*inks[:4], *RIGHT[4:]]), code=0)
    assert right(document) == list(map(str, RIGHT))
    document = received(book, proof(book, [*inks, *RIGHT]), code=0)
    assert len(right(document)) == 16 and document["pages"][0]["page"] == "1 (inks)"
    document = received(book, proof(book, [*inks[:2], *inks[3:], *RIGHT]))
    assert told(document) == [("return-count", "3")] and "page 3 (inks) is on none" in said(document)


def test_a_spread_on_one_sheet_or_on_two(tmp_path: Path) -> None:
    book = entered(tmp_path / "here/book")
    (book.top / "art/letters/p004.png").unlink()
    (book.top / "art/letters/p005.png").unlink()
    put(book, "art/letters/p004-005.png", drawn(45, (400, 300)))
    book.ledger("enter", "letters", "-m", "a spread")
    book.ledger("deliver", "letters", "--to", "../out")
    folder = laid(book.top.parent / "proof", [1, 2, 3, 4, 6, 7, 8])
    whole = drawn(45, (400, 300))
    whole.resize((300, 225)).save(folder / "sheet-4.jpg")
    assert right(received(book, "../proof", code=0)) == ["1", "2", "3", "4-5", "6", "7", "8"]
    shutil.rmtree(folder)
    laid(folder, [*RIGHT])
    for number, left in ((4, 0), (5, 200)):
        whole.crop((left, 0, left + 200, 300)).save(folder / f"sheet-{number}.jpg")
    assert right(received(book, "../proof", code=0)) == list(map(str, RIGHT))


def test_what_is_not_on_this_machine_is_not_called_missing(book: TypedBook) -> None:
    oid = book.git("rev-parse", "HEAD:art/letters/p003.png").strip()
    objects = book.top / ".git/objects" / oid[:2] / oid[2:]
    assert objects.exists()
    source = proof(book, RIGHT[:2] + RIGHT[3:])
    objects.chmod(0o644)
    objects.unlink()
    ran = book.ledger("receive", source, "--proofs", "--check", "--json", code=None)
    assert ran.code in (0, 1) and ("return-count", "3") not in told(checked(ran.out))


@pytest.mark.parametrize(("make", "why"), [
    (lambda place: place.mkdir(), "no sheets of a proof"),
    (lambda place: place.write_bytes(b"%PDF-1.4 nothing"), "damaged"),
    (lambda place: place.write_bytes(b"words"), "no ZIP archive"),
    (lambda place: None, "no such folder or file"),
])  # fmt: skip
def test_what_is_no_proof_is_refused(book: TypedBook, make: Any, why: str) -> None:
    make(book.top.parent / "proof")
    assert why in book.ledger("receive", "../proof", "--proofs", code=2).err
    assert book.git("status", "--porcelain") == ""


def test_the_proof_of_another_book_is_refused_whole(book: TypedBook) -> None:
    ran = book.ledger("receive", proof(book, ["strange", "blank", "strange"]), "--proofs", code=2)
    assert "none of its 3 sheets shows a page that was delivered" in ran.err
    assert not (book.top / "ledger/handoff-1.toml").exists() and book.git("status", "--porcelain") == ""


def test_more_sheets_than_any_proof_has(book: TypedBook) -> None:
    source = proof(book, RIGHT)
    for number in range(9, 300):
        (book.top.parent / f"proof/sheet-{number}.jpg").write_bytes(b"x")
    assert re.search(r"holds 299 sheets, many more than", book.ledger("receive", source, "--proofs", code=2).err)
